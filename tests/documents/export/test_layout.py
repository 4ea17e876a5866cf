"""The sheets of a full export hold every column of every record."""

from __future__ import annotations

import pytest

from app.documents.export.layout import BY_KIND, BY_TITLE, SHEETS
from app.records.queries import everything

# Sums of the ledger, written anew after a restore; what was done can be undone in its own book.
DERIVED = {"balances"}


def test_every_kind_of_record_has_its_sheet_in_an_order_that_points_backwards() -> None:
    kinds = [layout.kind for layout in SHEETS]
    assert set(kinds) == set(everything.kinds()) - DERIVED
    for position, layout in enumerate(SHEETS):
        for field in layout.fields:
            if (
                field.points_to
                and field.points_to != layout.kind
                and field.name in everything.bound(layout.kind)
            ):
                assert field.points_to in kinds[:position], f"{layout.kind}.{field.name}"


@pytest.mark.parametrize("kind", sorted(BY_KIND))
def test_every_column_of_a_record_stands_in_its_sheet(kind: str) -> None:
    assert tuple(field.name for field in BY_KIND[kind].fields) == everything.columns(kind)


@pytest.mark.parametrize("kind", sorted(BY_KIND))
def test_headings_of_a_sheet_are_told_apart_and_never_look_like_a_key_or_a_name(kind: str) -> None:
    headings = [field.heading.casefold() for field in BY_KIND[kind].fields]
    assert len(set(headings)) == len(headings)
    assert not any(heading == "key" or heading.startswith("(") for heading in headings)


def test_titles_are_short_enough_for_a_sheet_and_unlike_each_other() -> None:
    assert len(BY_TITLE) == len(SHEETS)
    assert all(len(layout.title) <= 31 for layout in SHEETS)

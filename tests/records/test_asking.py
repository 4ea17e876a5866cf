"""Rows are built by the names of their columns, and what does not fit is refused at once."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import pytest
from sqlalchemy import func, select

from app.records import asking
from app.records.book import Book
from app.records.models import Hours, JobStep


@dataclass(frozen=True, kw_only=True)
class Sum:
    """Two figures of like type, which by position could change places unseen."""

    day: date
    expected: int
    minutes: int


@dataclass(frozen=True)
class Step:
    """A step with its surface groups."""

    name: str
    surface_groups: tuple[str, ...]


def test_each_column_comes_to_the_field_of_its_name(book: Book) -> None:
    columns = asking.columns(Sum, Hours, minutes=func.sum(Hours.minutes))
    day = date(2025, 3, 3)
    with book.load() as session:
        session.add_all(Hours(day=day, minutes=minutes, expected=7) for minutes in (30, 12))
    with book.reading() as session:
        result = session.execute(select(*reversed(columns)).group_by(Hours.day))
        assert asking.rows_of(Sum, result) == [Sum(day=day, expected=7, minutes=42)]


def test_a_list_of_the_book_becomes_a_tuple() -> None:
    row = JobStep(name="Sealant", surface_groups=["lowers", "upper sides"])
    assert asking.made(Step, row) == Step("Sealant", ("lowers", "upper sides"))
    assert asking.made(Step, row, name="Wax").name == "Wax"


@pytest.mark.parametrize(
    ("kind", "named", "said"),
    [(Sum, {"expectd": Hours.expected}, "no field for {'expectd'}"), (Step, {}, "column for name")],
)
def test_columns_that_do_not_fit_the_fields_are_refused(kind, named, said) -> None:
    with pytest.raises(TypeError, match=said):
        asking.columns(kind, Hours, **named)


def test_a_text_is_found_anywhere_with_its_own_wildcards_taken_literally(book: Book) -> None:
    with book.load() as session:
        session.add_all(
            Hours(day=date(2025, 3, 3), minutes=1, what=what) for what in ("50% OFF", "500 off")
        )
    with book.reading() as session:
        found = session.scalars(select(Hours.what).where(asking.anywhere(Hours.what, "0% o")))
        assert list(found) == ["50% OFF"]


def test_ids_come_in_parts_each_once() -> None:
    parts = list(asking.in_parts([*range(500), 3, 4]))
    assert [len(part) for part in parts] == [400, 100]
    assert [*parts[0], *parts[1]] == list(range(500))

"""Rates of tax as a person types them, and the basis with its day."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from app.actions.desk.desk import Desk
from app.actions.shop.tax_rates import (
    add_rate,
    all_rates,
    edit_rate,
    kinds,
    printed_words,
    rate_for,
    read_kind,
    remove_rate,
    set_basis,
)
from app.errors import Mendable
from app.records.models import Filing
from tests.shop import new_desk


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    one = new_desk(tmp_path / "shop.bayledger")
    yield one
    one.book.close()


def test_a_rate_is_typed_with_its_kind_and_holds_from_the_beginning(desk: Desk) -> None:
    add_rate(desk, "work 7.25 %")
    add_rate(desk, "goods sold Easton 7,375")
    assert rate_for(desk, "work", date(1999, 1, 1)) == 7250
    assert rate_for(desk, "goods sold", place="Easton") == 7375
    assert rate_for(desk, "goods sold") == 0
    assert kinds(desk) == ["work", "goods sold"]


def test_a_second_rate_of_a_kind_begins_today_and_the_first_stays_for_its_days(desk: Desk) -> None:
    add_rate(desk, "work 7.25")
    add_rate(desk, "work 8")
    assert (rate_for(desk, "work", date(2024, 1, 1)), rate_for(desk, "work")) == (7250, 8000)
    (new, _) = all_rates(desk)
    edit_rate(desk, new.rate_id, "from_day", "2025-09-01")
    edit_rate(desk, new.rate_id, "words", "city tax")
    assert rate_for(desk, "work") == 7250
    assert printed_words(desk, 8000, date(2025, 9, 1)) == "city tax"
    with pytest.raises(Mendable, match="such a rate"):
        edit_rate(desk, new.rate_id, "from_day", "")
    remove_rate(desk, new.rate_id)
    assert desk.book.undo(today=desk.today).name == "Tax on work taken out"
    assert len(all_rates(desk)) == 2


@pytest.mark.parametrize("typed", ["7.25", "work", "work 140", "work 7.12345", "none 5"])
def test_what_is_no_rate_is_refused(desk: Desk, typed: str) -> None:
    with pytest.raises(Mendable):
        add_rate(desk, typed)
    assert all_rates(desk) == []


def test_a_kind_is_read_by_how_it_begins(desk: Desk) -> None:
    add_rate(desk, "goods sold 7")
    assert [read_kind(desk, one) for one in ("g", "yes", "no", "Work")] == [
        "goods sold", "work", "", "work",
    ]  # fmt: skip
    with pytest.raises(Mendable, match="no kind of line"):
        read_kind(desk, "freight")


def test_the_basis_changes_on_a_periods_first_day_and_never_in_filed_days(desk: Desk) -> None:
    with pytest.raises(Mendable, match="first day of a quarter"):
        set_basis(desk, "received", date(2025, 8, 1))
    set_basis(desk, "received", date(2025, 7, 1))
    assert desk.settings.tax_basis == {"2025-07-01": "received"}
    with desk.book.load() as session:
        session.add(
            Filing(first_day=date(2025, 4, 1), last_day=date(2025, 9, 30), filed_on=desk.today,
                   at=desk.clock())
        )  # fmt: skip
    with pytest.raises(Mendable, match="were filed"):
        set_basis(desk, "invoiced", date(2025, 7, 1))
    set_basis(desk, "invoiced", date(2025, 10, 1))
    assert desk.settings.tax_basis == {"2025-07-01": "received", "2025-10-01": "invoiced"}

"""The till on a real book: what should be there, what the close says, and nothing blocks it."""

from __future__ import annotations

import pytest

from app.actions.costs.expenses import Typed, write_expense
from app.actions.day.closing import close_day
from app.actions.day.till import difference_text, differences, set_counted, till
from app.actions.desk.desk import Desk
from app.actions.jobs.job_changes import take_money
from app.errors import Mendable
from app.records.queries import days
from tests.shop import TODAY, Clock, SmallShop


def test_cash_that_came_and_went_is_compared_with_what_is_counted(
    desk: Desk, shop: SmallShop, clock: Clock
) -> None:
    before = TODAY.replace(day=13)
    clock.go_to(before)
    assert till(desk, before).expected is None
    set_counted(desk, before, "100")
    assert difference_text(desk, till(desk, before)) == ""
    close_day(desk, before)
    clock.go_to(TODAY)
    take_money(desk, shop.jobs["0412"], "60 cash")
    for kind, amount, text in (
        ("tips", "5", "Bo"), ("fuel", "20", ""), ("till in", "40", ""), ("till out", "70", ""),
    ):  # fmt: skip
        write_expense(desk, Typed(kind=kind, amount=amount, text=text, method="cash"))
    write_expense(desk, Typed(kind="rent", amount="900", method="transfer"))
    write_expense(desk, Typed(kind="phone", amount="2", method="cash", every="month"))
    open_till = till(desk, TODAY)
    assert open_till.expected == 10000 + 6000 - 500 - 2000 + 4000 - 7000 - 200
    set_counted(desk, TODAY, "91")
    said = "12.00 less in the till than should be there"
    assert difference_text(desk, till(desk, TODAY)) == said
    close_day(desk, TODAY)
    assert till(desk, TODAY).expected == open_till.expected
    assert [(one.day, one.difference) for one in differences(desk, before, TODAY)] == [
        (TODAY, -1200)
    ]
    with desk.book.reading() as session:
        sheet = days.sheet(session, TODAY)
    assert sheet is not None
    assert sheet.summary.endswith(f"expenses 2.00, {said}")


def test_a_day_closes_without_a_count_and_a_count_is_typed_again(empty: Desk) -> None:
    set_counted(empty, TODAY, "12")
    set_counted(empty, TODAY, "")
    assert till(empty, TODAY).counted is None
    with pytest.raises(Mendable, match="Less than nothing"):
        set_counted(empty, TODAY, "-1")
    close_day(empty, TODAY)
    with pytest.raises(Mendable, match="closed"):
        set_counted(empty, TODAY, "12")

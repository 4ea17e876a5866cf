"""Asking for what is owed: to whom, for what, judged again when it goes, and what they said."""

from __future__ import annotations

from contextlib import AbstractContextManager
from datetime import timedelta
from typing import Any

import pytest

from app.actions.desk import undoing
from app.actions.desk.desk import Desk
from app.actions.desk.papers import papers_folder
from app.actions.jobs import asking
from app.actions.jobs.invoice_payments import take_for_invoice
from app.actions.jobs.invoice_standing import Stand, last_word
from app.actions.jobs.invoices import credit, issue
from app.actions.jobs.statements import statement, statement_files, statement_sheet
from app.actions.people import customers
from app.calculations.numbers.dates import near
from app.errors import Mendable
from app.records.models import Customer
from tests.actions.jobs.test_invoice_standing import charged, only
from tests.shop import TODAY, Clock, SmallShop


@pytest.fixture
def owed(desk: Desk, shop: SmallShop) -> list[int]:
    """Two jobs of Mara Tolk on one invoice over 160.88, due 14 days after."""
    tolk = shop.customers["tolk"]
    customers.edit_customer(
        desk, tolk, street="3 Weir Terrace", city="Quill Landing", email="mara@example.org"
    )
    jobs = charged(desk, tolk, "100", "50")
    issue(desk, *jobs)
    return jobs


def later(desk: Desk, days: int) -> None:
    assert isinstance(desk.clock, Clock)
    desk.clock.now += timedelta(days=days)


def word(desk: Desk, jobs: list[int]) -> tuple[str, bool]:
    return last_word(only(desk, jobs), desk.today)


def number(desk: Desk, jobs: list[int]) -> int:
    found: Stand = only(desk, jobs)
    return found.invoice.invoice_id


def test_a_reminder_says_what_is_still_open_and_is_remembered_with_the_invoice(
    desk: Desk, shop: SmallShop, owed: list[int]
) -> None:
    tolk = shop.customers["tolk"]
    assert word(desk, owed) == (f"due {(TODAY + timedelta(14)).day} Aug", False)
    take_for_invoice(desk, number(desk, owed), "60.88 cash")
    later(desk, 20)
    assert word(desk, owed) == ("not asked yet", False)
    shown = asking.reminder(desk, tolk)
    assert shown.owed == ((number(desk, owed), 10_000),)
    assert "100.00 USD is still open" in shown.text
    changed, path = asking.ask(desk, shown, "mail")
    assert changed.name == "Asked Mara Tolk by mail"
    assert b"X-Unsent: 1" in path.read_bytes()
    asking.ask(desk, asking.reminder(desk, tolk), "letter")
    assert word(desk, owed) == ("asked twice", True)
    asking.ask(desk, asking.reminder(desk, tolk), "letter")
    assert word(desk, owed)[0] == "asked twice", "a second press asks nobody once more"
    undoing.undo(desk)
    assert word(desk, owed)[0].startswith("asked ")
    assert asking.reminder(desk, tolk).asked == f"Asked {near(desk.today, TODAY)}, by mail"
    asking.asked_by_phone(desk, asking.reminder(desk, tolk))
    assert [one.how for one in only(desk, owed).asked] == ["mail", "phone"]


def test_it_is_judged_again_when_it_goes(desk: Desk, shop: SmallShop, owed: list[int]) -> None:
    shown = asking.reminder(desk, shop.customers["tolk"])
    take_for_invoice(desk, number(desk, owed), "50 cash")
    with pytest.raises(Mendable, match="changed since this was written"):
        asking.ask(desk, shown, "mail")
    shown = asking.reminder(desk, shop.customers["tolk"])
    customers.deceased(desk, shop.customers["tolk"])
    with pytest.raises(Mendable, match="has died; no reminder goes to them"):
        asking.ask(desk, shown, "letter")
    assert only(desk, owed).words == ()


def test_what_comes_while_it_is_written_leaves_no_paper_behind(
    desk: Desk, shop: SmallShop, owed: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    shown, change = asking.reminder(desk, shop.customers["tolk"]), desk.book.change

    def after_their_money(name: str, **more: Any) -> AbstractContextManager[Any]:
        monkeypatch.setattr(desk.book, "change", change)
        take_for_invoice(desk, number(desk, owed), "60.88 cash")
        return change(name, **more)

    monkeypatch.setattr(desk.book, "change", after_their_money)
    with pytest.raises(Mendable, match="owes changed since this was written"):
        asking.ask(desk, shown, "mail")
    assert list(papers_folder(desk, "reminders").iterdir()) == []
    assert word(desk, owed)[0].startswith("due")


def test_one_who_has_died_is_not_written_to_and_it_says_whom_to_write_to(
    desk: Desk, shop: SmallShop, owed: list[int]
) -> None:
    tolk, quell = shop.customers["tolk"], shop.customers["quell"]
    customers.deceased(desk, tolk)
    with pytest.raises(Mendable, match="Write to whoever sees to what they left"):
        asking.reminder(desk, tolk)
    for one in (tolk, quell):
        customers.edit_customer(desk, one, household="Weir Terrace")
    with desk.book.reading() as session:
        name = session.get_one(Customer, quell).name
    with pytest.raises(Mendable, match=f"Of the same household is {name}"):
        asking.reminder(desk, tolk)


def test_what_is_disputed_or_credited_is_not_asked_for(
    desk: Desk, shop: SmallShop, owed: list[int]
) -> None:
    tolk = shop.customers["tolk"]
    asking.dispute(desk, number(desk, owed), "a spot on the roof")
    assert word(desk, owed) == ("disputed", True)
    with pytest.raises(Mendable, match="what they owe is disputed; settle that first"):
        asking.reminder(desk, tolk)
    asking.settle(desk, number(desk, owed))
    assert asking.reminder(desk, tolk).owed
    credit(desk, number(desk, owed), "not done")
    with pytest.raises(Mendable, match="they owe nothing"):
        asking.reminder(desk, tolk)
    with pytest.raises(Mendable, match="Nothing is due on invoice"):
        asking.promise(desk, number(desk, owed), "+7")


def test_the_day_that_they_named_is_the_last_word_until_it_has_gone_by(
    desk: Desk, owed: list[int]
) -> None:
    asking.promise(desk, number(desk, owed), "+7")
    day = TODAY + timedelta(days=7)
    assert word(desk, owed) == (f"pays on {day.day} Aug", False)
    with pytest.raises(Mendable, match="has gone by; type the day that they named"):
        asking.promise(desk, number(desk, owed), "1 Aug 2025")
    tolk = only(desk, owed).invoice.payer_id
    later(desk, 7)
    with pytest.raises(Mendable, match="is to be paid on 21 August, and that day is not over"):
        asking.reminder(desk, tolk)
    later(desk, 1)
    assert word(desk, owed) == (f"named {day.day} Aug", True)
    assert asking.reminder(desk, tolk).owed


def test_a_statement_sums_what_is_open_by_age_and_names_what_is_not_invoiced(
    desk: Desk, shop: SmallShop, owed: list[int]
) -> None:
    tolk = shop.customers["tolk"]
    before = statement(desk, tolk).not_invoiced
    later(desk, 40)
    more = charged(desk, tolk, "10")
    charged(desk, tolk, "20")
    issue(desk, *more)
    found = statement(desk, tolk)
    assert [band.amount for band in found.bands] == [1_073, 16_088, 0, 0]
    assert (found.due, found.not_invoiced - before) == (17_161, 2_145)
    sheet = statement_sheet(desk, tolk)
    assert [line.due for line in sheet.lines] == ["160.88", "10.73"]
    assert "done and not invoiced yet" in sheet.notes[0]
    pdf, draft = statement_files(desk, tolk)
    assert pdf.stat().st_size > 1000
    assert b"statement" in draft.read_bytes()
    with pytest.raises(Mendable, match="owes nothing on an invoice"):
        statement_files(desk, shop.customers["quell"])

"""Consent per channel and purpose: a withdrawal ends that one, the word "stop" all marketing.

That marketing by text needs written consent, and that a stop on one channel is best read as a stop
on all, is common practice and cautious reading; local law decides.
"""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest

from app.actions.desk.desk import Desk
from app.actions.exchange.bringing_in import bring_in, preview, read
from app.actions.exchange.exporting import export
from app.actions.letters import reminders
from app.actions.people import consents, customers, vehicles
from app.actions.shop.shop_settings import set_typed
from app.errors import Mendable
from app.records.models import Consent, Customer, Job, LayerEvent, Supply
from tests.shop import TODAY, SmallShop, new_desk


@pytest.fixture
def waxed(desk: Desk, shop: SmallShop) -> Desk:
    """Mara Tolk's wagon was waxed ten weeks ago; nobody is booked."""
    day = TODAY - timedelta(days=70)
    with desk.book.load() as session:
        session.get_one(Supply, shop.supplies["wax"]).protection = "carnauba wax"
        for job in shop.jobs.values():
            session.get_one(Job, job).state = "cancelled"
        session.add(
            LayerEvent(
                vehicle_id=shop.vehicles["wagon"],
                day=day,
                at=desk.clock() - timedelta(days=70),
                kind="applied",
                surface_group="upper sides",
                supply_id=shop.supplies["wax"],
            )
        )
    return desk


def tolk(desk: Desk, shop: SmallShop) -> Customer:
    with desk.book.reading() as session:
        return session.get_one(Customer, shop.customers["tolk"])


def withdrawn(desk: Desk) -> list[tuple[str, str, date | None]]:
    with desk.book.reading() as session:
        rows = session.query(Consent).order_by(Consent.id)
        return [(row.channel, row.purpose, row.withdrawn_on) for row in rows]


def test_a_text_goes_only_to_whoever_agreed_to_it(waxed: Desk, shop: SmallShop) -> None:
    number = shop.customers["tolk"]
    customers.edit_customer(waxed, number, asks_by="text")
    letter = reminders.whom_to_remind(waxed, TODAY).letters[0]
    assert "text" not in letter.channels
    consents.give(waxed, number, "text", "care", how="signed")
    assert "text" not in reminders.whom_to_remind(waxed, TODAY).letters[0].channels
    consents.give(waxed, number, "text", "reminders", how="signed at the counter", by="Ada")
    letter = reminders.whom_to_remind(waxed, TODAY).letters[0]
    assert letter.channel == "text"
    newest = consents.consents_of(waxed, number)[0]
    assert (newest.how, newest.by, newest.day) == ("signed at the counter", "Ada", TODAY)
    assert "reminders of what is due by text message" in newest.wording


def test_withdrawing_one_ends_that_one_alone_and_can_be_undone(
    waxed: Desk, shop: SmallShop
) -> None:
    number = shop.customers["tolk"]
    for channel, purpose in (("text", "reminders"), ("mail", "offers"), ("mail", "care")):
        consents.give(waxed, number, channel, purpose)
    first = consents.consents_of(waxed, number)[-1].consent_id
    consents.withdraw(waxed, first, TODAY)
    assert withdrawn(waxed) == [
        ("text", "reminders", TODAY),
        ("mail", "offers", None),
        ("mail", "care", None),
    ]
    assert tolk(waxed, shop).stopped_on is None
    (letter,) = reminders.whom_to_remind(waxed, TODAY).letters
    assert "text" not in letter.channels
    waxed.book.undo(today=TODAY)
    assert [day for _, _, day in withdrawn(waxed)] == [None, None, None]


def test_a_stop_withdraws_and_writing_again_needs_a_new_consent_for_texts(
    waxed: Desk, shop: SmallShop
) -> None:
    number = shop.customers["tolk"]
    customers.edit_customer(waxed, number, asks_by="text")
    consents.give(waxed, number, "text", "reminders")
    customers.stop(waxed, number, TODAY)
    assert withdrawn(waxed) == [("text", "reminders", TODAY)]
    customers.stop(waxed, number, TODAY, stopped=False)
    assert "text" not in reminders.whom_to_remind(waxed, TODAY).letters[0].channels
    consents.give(waxed, number, "text", "reminders")
    assert reminders.whom_to_remind(waxed, TODAY).letters[0].channel == "text"


def test_a_withdrawal_survives_putting_customers_together(waxed: Desk, shop: SmallShop) -> None:
    _, other = customers.add_customer(waxed, name="M. Tolk")
    consents.give(waxed, other, "text", "reminders")
    consents.withdraw(waxed, consents.consents_of(waxed, other)[0].consent_id, TODAY)
    kept = shop.customers["tolk"]
    consents.give(waxed, kept, "text", "reminders")
    customers.merge_customers(waxed, kept, other)
    assert tolk(waxed, shop).stopped_on is None
    assert [day for _, _, day in withdrawn(waxed)] == [TODAY, TODAY]
    assert len(consents.consents_of(waxed, kept)) == 2


def test_a_withdrawal_goes_out_and_comes_back_in_with_a_full_export(
    waxed: Desk, shop: SmallShop, tmp_path: Path
) -> None:
    number = shop.customers["tolk"]
    consents.give(waxed, number, "text", "offers", wording="Yes, texts please", how="signed")
    consents.withdraw(waxed, consents.consents_of(waxed, number)[0].consent_id, TODAY)
    customers.edit_customer(waxed, number, season_months="Oct, Nov", season_title="before salt")
    vehicles.edit_vehicle(waxed, shop.vehicles["wagon"], stored_until="2026-03-01")
    path = export(waxed, tmp_path / "all.xlsx")
    other = new_desk(tmp_path / "other.bayledger")
    bring_in(other, preview(other, [read(other, path)]))
    assert withdrawn(other) == [("text", "offers", TODAY)]
    with other.book.reading() as session:
        there = session.query(Customer).filter_by(name="Mara Tolk").one()
        assert there.stopped_on is None
        assert (there.season_months, there.season_title) == ([10, 11], "before salt")
        row = session.query(Consent).one()
        assert (row.wording, row.how) == ("Yes, texts please", "signed")
    other.book.close()


def test_an_older_export_never_lifts_a_stop_that_came_since(
    waxed: Desk, shop: SmallShop, tmp_path: Path
) -> None:
    number = shop.customers["tolk"]
    consents.give(waxed, number, "text", "offers")
    path = export(waxed, tmp_path / "before.xlsx")
    customers.stop(waxed, number, TODAY)
    bring_in(waxed, preview(waxed, [read(waxed, path)]))
    assert tolk(waxed, shop).stopped_on == TODAY
    assert withdrawn(waxed) == [("text", "offers", TODAY)]


def test_a_seasonal_wish_holds_the_letter_until_its_months(waxed: Desk, shop: SmallShop) -> None:
    number = shop.customers["tolk"]
    customers.edit_customer(waxed, number, season_months="Oct, Nov", season_title="before salt")
    view = reminders.whom_to_remind(waxed, TODAY)
    assert view.letters == ()
    assert view.suppressed[0].why == (
        "Wishes to be written to before salt, in October and November."
    )
    october = reminders.whom_to_remind(waxed, date(2025, 10, 6))
    assert [letter.name for letter in october.letters] == ["Mara Tolk"]


def test_a_stored_vehicle_is_left_in_peace_until_it_is_back(waxed: Desk, shop: SmallShop) -> None:
    vehicles.edit_vehicle(waxed, shop.vehicles["wagon"], stored_until="1 March 2026")
    view = reminders.whom_to_remind(waxed, TODAY)
    assert view.letters == ()
    assert "stored" in view.suppressed[0].why


def test_the_shops_own_words_are_written_down_as_agreed_to(waxed: Desk, shop: SmallShop) -> None:
    customer = shop.customers["tolk"]
    set_typed(waxed, "consent_wording", "Yes to {purpose} by {channel}.")
    consents.give(waxed, customer, "text", "reminders")
    assert [one.wording for one in consents.consents_of(waxed, customer)] == [
        "Yes to reminders of what is due by text message."
    ]
    for wrong in ("{name} agrees", "open {", "{0}", "{purpose.x}"):
        with pytest.raises(Mendable, match="can be filled in"):
            set_typed(waxed, "consent_wording", wrong)
    set_typed(waxed, "consent_wording", "")
    assert waxed.settings.consent_wording == ""


def test_what_cannot_be_is_refused_in_one_sentence(waxed: Desk, shop: SmallShop) -> None:
    number = shop.customers["tolk"]
    with pytest.raises(Mendable, match="no way to reach"):
        consents.give(waxed, number, "pigeon", "offers")
    with pytest.raises(Mendable, match="no purpose"):
        consents.give(waxed, number, "mail", "fun")
    assert consents.give(waxed, number, "mail", "offers").name
    assert consents.give(waxed, number, "mail", "offers").name == "", "not written twice"

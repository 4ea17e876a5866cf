"""Erasing a person: nothing of them is left in the file's bytes, and the books stand."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from app.actions.desk import undoing
from app.actions.desk.desk import Desk
from app.actions.finding import catch_up, find
from app.actions.jobs.invoices import issue
from app.actions.people import consents, customers, vehicles
from app.actions.people.erasing import erase_person, erased_and_back, still_held
from app.errors import Mendable
from app.records.book import Book
from app.records.models import (
    Charge,
    Customer,
    Job,
    JobMove,
    Judgement,
    LayerEvent,
    OwnerLink,
    Receipt,
    Reminder,
    ReminderEvent,
    Setting,
    Vehicle,
)
from app.records.storage.backup import restore
from tests.shop import TODAY, SmallShop

NAME = "Orla Quillfeather"
# Everything by which she is told, as the book keeps it somewhere.
WORDS = (
    "Quillfeather", "Orla", "Nightjar", "2065550177", "206-555-0177", "orla@quill.example",
    "Heron Lane", "PLT-7731", "1FTQU1LL000077310", "wedding wagon", "shy of the hose",
    "green gate", "as Orla said", "Torvald",
)  # fmt: skip


def at(day_offset: int) -> datetime:
    return datetime(2025, 8, 14, 12, tzinfo=UTC) + timedelta(days=day_offset)


@pytest.fixture
def orla(desk: Desk, shop: SmallShop) -> int:
    """A customer whose name stands in every corner of the book where it can be written."""
    number = customers.add_customer(desk, name="Orla Nightjar")[1]
    facts = {"phone": "206-555-0177", "email": "orla@quill.example", "street": "4 Heron Lane"}
    for field, value in {**facts, "name": NAME, "notes": "ring at the green gate"}.items():
        customers.edit_customer(desk, number, **{field: value})
    car = vehicles.add_vehicle(desk, number, description="Orla’s wedding wagon")[1]
    vehicles.edit_vehicle(
        desk, car, plate="PLT-7731", vin="1FTQU1LL000077310", color="red", make="Tarn"
    )
    vehicles.edit_vehicle(desk, car, notes="shy of the hose")
    consents.give(desk, number, "mail", "reminders", wording="as Orla said", by="Torvald")
    with desk.book.change(f"Booked {NAME}", day=TODAY) as session:
        job = Job(number=901, customer_id=number, vehicle_id=car, state="done", done_on=TODAY,
                  title=f"{NAME}, wedding", notes="Orla waits")  # fmt: skip
        session.add(job)
        session.flush()
        session.add(JobMove(job_id=job.id, day=TODAY, at=at(0), kind="moved",
                            asked_by="customer", note="Orla has a wedding"))  # fmt: skip
        session.add(Charge(job_id=job.id, text="Wash for Ms Quillfeather", amount=9000))
        session.add(Receipt(job_id=job.id, customer_id=number, day=TODAY, at=at(0), amount=9000,
                            method="card", note="from Orla"))  # fmt: skip
        session.add(Receipt(customer_id=number, day=TODAY, at=at(0), amount=500, kind="tip"))
        session.add(LayerEvent(vehicle_id=car, job_id=job.id, day=TODAY, at=at(0), kind="applied",
                               surface_group="upper sides", supply_id=shop.supplies["coating"],
                               note="Orla asked for it"))  # fmt: skip
        session.add(Judgement(vehicle_id=car, day=TODAY, surface_group="trim", before="fading",
                              note="Orla saw it first"))  # fmt: skip
        letter = Reminder(
            customer_id=number,
            day=TODAY,
            state="sent",
            sent_on=TODAY,
            subject=f"For {NAME}",
            text=f"Dear {NAME}, 4 Heron Lane",
            uid="r-1",
        )
        session.add(letter)
        session.flush()
        session.add(ReminderEvent(reminder_id=letter.id, day=TODAY, at=at(0), kind="sent",
                                  note=f"to {NAME}"))  # fmt: skip
        session.get_one(Customer, shop.customers["tolk"]).notes = f"Sent by {NAME}, likes wax"
        session.add(Setting(name="refused_proposals", value=[f"pickup {NAME}"]))
        done = job.id
    issue(desk, done)
    return number


def bytes_of(path: Path) -> bytes:
    """The book's file and its log, as they lie on the disk."""
    log = path.with_name(path.name + "-wal")
    return path.read_bytes() + (log.read_bytes() if log.exists() else b"")


def found(path: Path) -> list[str]:
    low = bytes_of(path).lower()
    return [word for word in WORDS if word.lower().encode() in low]


def money(desk: Desk) -> list[tuple[object, ...]]:
    with desk.book.reading() as session:
        charges = [(one.job_id, one.amount, one.tax_rate) for one in session.query(Charge)]
        came = [(one.day, one.amount, one.kind, one.method) for one in session.query(Receipt)]
    return [*charges, *came]


def test_no_word_of_them_is_left_in_the_bytes_of_the_file_or_its_log(desk: Desk, orla: int) -> None:
    path = desk.book.path
    while catch_up(desk):  # finding has their words too, and their number backwards
        pass
    assert set(found(path)) >= {"Quillfeather", "Nightjar", "PLT-7731", "Torvald"}
    assert b"plt7731" in bytes_of(path)
    assert b"7710555602" in bytes_of(path)
    erase_person(desk, orla, "erase")
    assert found(path) == []
    assert b"plt7731" not in bytes_of(path)
    assert b"7710555602" not in bytes_of(path)
    while catch_up(desk):
        pass
    assert find(desk, "quillfeather") == find(desk, "0177") == []
    desk.book.close()
    assert found(path) == []


def test_the_books_stand_as_they_did_and_the_book_is_whole(desk: Desk, orla: int) -> None:
    before = money(desk)
    erase_person(desk, orla, " Erase ")
    assert money(desk) == before
    assert desk.book.check() == []
    page = customers.customer_page(desk, orla)
    assert page.title == f"Erased {orla:04d}"
    assert page.subtitle == ""
    assert [(car.title, car.plate) for car in page.vehicles] == [("red Tarn", "")]
    assert [layer.layer for layer in page.vehicles[0].layers], "the paint's history stays"
    with desk.book.reading() as session:
        tolk = session.query(Customer).filter_by(name="Mara Tolk").one()
        assert tolk.notes == f"Sent by Erased {orla:04d}, likes wax"


def test_what_was_done_with_them_is_not_undone_and_what_was_done_else_is(
    desk: Desk, shop: SmallShop, orla: int
) -> None:
    customers.edit_customer(desk, shop.customers["quell"], city="Fenmarch")
    erase_person(desk, orla, "erase")
    assert undoing.undo(desk).name.endswith("Jonas Quell")
    with desk.book.reading() as session:
        assert session.get_one(Customer, shop.customers["quell"]).city == ""
    assert desk.book.next_undo() is None
    assert found(desk.book.path) == []


def test_an_entry_that_was_put_together_with_theirs_goes_too(desk: Desk, orla: int) -> None:
    other = customers.add_customer(desk, name="O. Quiverful", phone="773 555 0113")[1]
    vehicles.add_vehicle(desk, other, description="grey van")
    customers.merge_customers(desk, orla, other)
    assert b"Quiverful" in bytes_of(desk.book.path)
    erase_person(desk, orla, "erase")
    assert b"Quiverful" not in bytes_of(desk.book.path)
    assert b"7735550113" not in bytes_of(desk.book.path)


def test_a_name_of_two_letters_goes_from_the_list_of_actions_but_not_from_words(
    desk: Desk, shop: SmallShop
) -> None:
    customers.edit_customer(desk, shop.customers["tolk"], notes="Li went, likes wax")
    number = customers.add_customer(desk, name="Li")[1]
    customers.edit_customer(desk, number, city="Fenmarch")
    erase_person(desk, number, "erase")
    label = f"Erased {number:04d}"
    assert [one.name for one in desk.book.history(3)] == [
        label,
        f"Changed {label}",
        f"Added {label}",
    ]
    with desk.book.reading() as session:
        notes = session.get_one(Customer, shop.customers["tolk"]).notes
    assert notes == "Li went, likes wax", (
        "a short word is left to a person in what others are told by"
    )


def test_a_vehicle_that_somebody_else_holds_now_keeps_its_plate(
    desk: Desk, shop: SmallShop, orla: int
) -> None:
    with desk.book.load() as session:
        link = session.query(OwnerLink).filter_by(customer_id=orla).one()
        link.to_day, car = TODAY, link.vehicle_id
        session.add(OwnerLink(vehicle_id=car, customer_id=shop.customers["quell"], from_day=TODAY))
    erase_person(desk, orla, "erase")
    with desk.book.reading() as session:
        kept = session.get_one(Vehicle, car)
        assert (kept.plate, kept.archived_on) == ("PLT-7731", None)


def test_a_telephone_that_another_customer_has_too_stays_theirs(
    desk: Desk, shop: SmallShop
) -> None:
    with desk.book.change("Done") as session:
        for one in session.query(Job):
            one.state = "done"
    erase_person(desk, shop.customers["tolk"], "erase")
    with desk.book.reading() as session:
        assert session.get_one(Customer, shop.customers["quell"]).phone == "+13125550142"
        assert session.get_one(Customer, shop.customers["tolk"]).phone == ""


@pytest.mark.parametrize("typed", ["", "yes", "erase her"])
def test_without_the_word_nothing_is_changed(desk: Desk, orla: int, typed: str) -> None:
    before = desk.book.version
    with pytest.raises(Mendable, match="Type the word erase"):
        erase_person(desk, orla, typed)
    assert desk.book.version == before


def test_while_a_job_or_a_letter_is_under_way_they_are_not_erased(
    desk: Desk, shop: SmallShop, orla: int
) -> None:
    with pytest.raises(Mendable, match="Job 0412 is not done yet"):
        erase_person(desk, shop.customers["tolk"], "erase")
    with desk.book.load() as session:
        session.query(Reminder).one().state = "uncertain"
    with pytest.raises(Mendable, match="not settled"):
        erase_person(desk, orla, "erase")
    assert customers.customer_page(desk, orla).title == NAME


def test_while_somebody_reads_in_the_book_nothing_is_erased(desk: Desk, orla: int) -> None:
    """A reader's view needs the old pages, as SQLite says of its log (sqlite.org/wal.html)."""
    with Book.open(desk.book.path, write=False) as other, other.reading() as session:
        session.query(Customer).all()
        customers.edit_customer(desk, orla, city="Fenmarch")
        with pytest.raises(Mendable, match="being read by another program"):
            erase_person(desk, orla, "erase")
    assert customers.customer_page(desk, orla).title == NAME


def test_the_copies_that_still_hold_them_are_named(desk: Desk, orla: int) -> None:
    made = desk.book.backup()
    aside = desk.book.path.with_name("shop 2025-08-01 120000 before the restore.bayledger")
    for other in (aside, made.with_name("another.bayledger")):
        other.write_bytes(b"")
    assert NAME.encode() in made.read_bytes()
    said = erase_person(desk, orla, "erase").sentence
    assert f"1 backup in {made.parent}" in said
    assert f"{aside.name} in {aside.parent}" in said
    assert "a backup that is restored brings them back" in said
    assert NAME.encode() in made.read_bytes(), "what is said to hold them is not touched"
    assert said.endswith(still_held(desk))


def test_who_is_back_with_an_old_backup_is_named(desk: Desk, orla: int, tmp_path: Path) -> None:
    """A later close would have written to her."""
    path, made = desk.book.path, desk.book.backup()
    erase_person(desk, orla, "erase")
    later = desk.book.backup()
    desk.book.close()
    assert erased_and_back(path, restore(later, path)) == ""
    aside = restore(made, path)
    assert erased_and_back(path, aside).startswith(f"{NAME} was erased after that backup was made")
    assert aside is not None
    aside.write_bytes(b"not whole")
    assert erased_and_back(path, aside) == ""


def test_erasing_once_more_changes_nothing_that_stands(desk: Desk, orla: int) -> None:
    erase_person(desk, orla, "erase")
    before = money(desk)
    erase_person(desk, orla, "erase")
    assert money(desk) == before
    assert customers.customer_page(desk, orla).title == f"Erased {orla:04d}"

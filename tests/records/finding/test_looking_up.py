"""Finding: what a person remembers of a thing finds it, with slips, and without a full text too."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy.orm import Session

from app.records.book import Book
from app.records.finding import full_text, looking_up, plain
from app.records.finding.asked import asked
from app.records.finding.documents import KINDS
from app.records.models import (
    Customer,
    Invoice,
    InvoiceLine,
    Job,
    Order,
    OrderLine,
    OwnerLink,
    Receipt,
    Reminder,
    Service,
    Supplier,
    Supply,
    Vehicle,
)
from tests.records.shop import MONDAY, NOON

NOTE = "Comes on Fridays only, rings the bell at the side door and wants tea; no calls before noon."


def fill(session: Session) -> None:
    """Two customers with a vehicle each, one archived, and what stands around them."""
    session.add_all(
        [
            Customer(id=1, name="Zoë Łukasik", street="12 Bellwether Avenue", city="Low Fennick",
                     phone="+18055550142", phone_as_typed="(805) 555-0142", notes=NOTE),
            Customer(id=2, name="Bram Quillfeather", email="bram@example.org",
                     archived_on=MONDAY),
            Vehicle(id=1, description="dark green wagon", plate="LGC 4287", vin="7ABCD00000012345"),
            Vehicle(id=2, description="stationwagon", plate="K-AB99", archived_on=MONDAY),
            OwnerLink(vehicle_id=1, customer_id=1),
            OwnerLink(vehicle_id=2, customer_id=2, to_day=MONDAY),
            Job(id=1, number=412, vehicle_id=1, customer_id=1, notes="stone chip by the lamp"),
            Job(id=2, number=4125, vehicle_id=1, customer_id=1, title="Upkeep wash"),
            Receipt(job_id=2, customer_id=1, day=MONDAY, at=NOON, amount=100, note="check 7781"),
            Invoice(id=1, year=2025, number=43, issued_on=MONDAY, at=NOON,
                    currency="USD", tax_rule="total", net=100, tax=0, gross=100),
            InvoiceLine(invoice_id=1, position=1, job_id=2, text="Upkeep wash", amount=100),
            Supplier(id=1, name="Millbrook Supply"),
            Supply(id=1, name="rinseless wash", kind="liquid", shelf_place="Shelf B"),
            Service(id=1, name="Upkeep wash", stopped=True),
            Order(id=1, number=31, supplier_id=1, day=MONDAY, state="sent"),
            OrderLine(order_id=1, supply_id=1, pack_size=1, packs=1),
            Reminder(id=1, customer_id=1, day=MONDAY, subject="Time for a look", state="sent",
                     uid="one"),
        ]
    )  # fmt: skip


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    path: Path = tmp_path_factory.mktemp("finding") / "shop.bayledger"
    with Book.create(path) as book:
        with book.load() as session:
            fill(session)
        while book.mend_finding():
            pass
        yield book


def found(book: Book, text: str) -> list[tuple[str, int]]:
    with book.reading() as session:
        return [(hit.kind, hit.id) for hit in looking_up.find(session, text)]


FINDS = {
    "zoe": ("customer", 1),
    "lukasik zoe": ("customer", 1),
    "ŁUKASIK": ("customer", 1),
    "bellw": ("customer", 1),
    "low fennick": ("customer", 1),
    "0142": ("customer", 1),
    "805 555-0142": ("customer", 1),
    "+1 (805) 5550142": ("customer", 1),
    "555014": ("customer", 1),
    "side door": ("customer", 1),
    "bram@example.org": ("customer", 2),
    "lgc4287": ("vehicle", 1),
    "LGC-4287": ("vehicle", 1),
    "lgc 42": ("vehicle", 1),
    "4287": ("vehicle", 1),
    "kab 99": ("vehicle", 2),
    "green lukasik": ("customer", 1),
    "12345": ("vehicle", 1),
    "412": ("job", 1),
    "0412": ("job", 1),
    "job 4125": ("job", 2),
    "stone chip": ("job", 1),
    "7781": ("job", 2),
    "2025-0043": ("job", 2),
    "invoice 2025-0043": ("job", 2),
    "rinseless": ("supply", 1),
    "millbrook": ("supplier", 1),
    "upkeep": ("service", 1),
    "order 31": ("order", 1),
    "letter luka": ("letter", 1),
    # slips: dropped, doubled, exchanged, the key beside; while it is typed; in two words
    "quilfeather": ("customer", 2),
    "bbram": ("customer", 2),
    "lukaisk": ("customer", 1),
    "bellwerher": ("customer", 1),
    "qiull": ("customer", 2),
    "wahs upkepe": ("service", 1),
    # one word typed for two of the book, and two for one
    "lowfennick": ("customer", 1),
    "lowfen": ("customer", 1),
    "bell wether": ("customer", 1),
    "mill brook": ("supplier", 1),
    "feath": ("customer", 2),  # the middle of a word, where nothing begins so
}


def test_a_thing_is_found_by_what_is_remembered_of_it(book: Book) -> None:
    assert {typed: found(book, typed)[:1] for typed in FINDS} == {
        typed: [thing] for typed, thing in FINDS.items()
    }


def test_what_is_not_there_is_not_found(book: Book) -> None:
    assert [found(book, typed) for typed in ("", "  ,", "zzyzx", "zoe quillfeather")] == [[]] * 4


def test_it_is_said_where_a_word_was_found_and_what_is_archived(book: Book) -> None:
    with book.reading() as session:
        (note, *_) = looking_up.find(session, "tea")
        wagons = [h for h in looking_up.find(session, "wagon") if h.kind == "vehicle"]
        (bram, *_) = looking_up.find(session, "quillfeahter")
    assert note.detail == "…the side door and wants tea; no calls before noon."
    assert [(one.id, one.archived) for one in wagons] == [(1, False)]
    assert (bram.archived, bram.near) == (True, True)


def test_its_twin_finds_the_same_where_it_is_spelt_right(book: Book) -> None:
    """The twin finds the middle of words at once; so at least what the full text finds."""
    typed = ("zo", "fennick", "side door", "lgc4287", "412", "wagon", "upkeep", "bram", "wash",
             "millb", "letter", "order")  # fmt: skip
    with book.reading() as session:
        connection = session.connection()
        for what in map(asked, typed):
            full = full_text.look_up(connection, what, KINDS)
            assert full, what
            assert full.keys() <= plain.look_up(connection, what, KINDS).keys(), what


def test_its_twin_has_what_was_typed_before_what_only_holds_it(book: Book) -> None:
    with book.reading() as session:
        connection = session.connection()

        def grades(typed: str, *kind: str) -> list[int]:
            return sorted(plain.look_up(connection, asked(typed), kind).values())

        assert grades("0412", "job") == [0, 1]  # 412 before 4125, however many follow it
        assert grades("job 412", "job") == [0, 1]
        assert grades("quill", "customer") == [0]
        assert grades("feather", "customer") == [1]

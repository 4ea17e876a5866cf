"""Erasing a person on request: what goes, what stays, and which copies still hold them."""

from __future__ import annotations

from pathlib import Path

from app.actions.desk.desk import Changed, Desk, there
from app.calculations.numbers.wording import count_of, listed, noun
from app.errors import Mendable
from app.records.models import Customer
from app.records.queries import erasing
from app.records.storage import backup

WORD = "erase"
KINDS = frozenset(
    {"customers", "vehicles", "jobs", "money", "layers", "reminders", "orders", "days"}
)
GOES = (
    "Name, household, telephone, mail, address, wishes and notes; plates, VINs, answers and notes "
    "of their vehicles; titles and notes of their jobs; letters and the words of consents; and "
    "what the list of actions says of them. What was done with these entries can be undone no more."
)
STAYS = (
    "Jobs, hours, supplies, charges and receipts with their days and sums, under “Erased” and a "
    "number; what protects the vehicle, without its plate."
)


def still_held(desk: Desk) -> str:
    """Which copies that the program knows of still hold them, and that there may be others."""
    path = desk.book.path.resolve()
    folder = backup.folder_of(path)
    own, beside = (
        sorted(
            one.name
            for one in where.glob("*.bayledger*")
            if one.name.startswith(f"{path.stem} ") and one.is_file()
        )
        for where in (folder, path.parent)
    )
    papers = path.parent / f"{path.stem} papers"
    held = []
    if own:
        held.append(f"{count_of(len(own), 'backup')} in {folder}")
    second = desk.settings.backup_folder
    if second:
        there = backup.copies(path, Path(second))
        many = count_of(len(there), "backup") if Path(second).is_dir() else "the backups"
        if there or not Path(second).is_dir():
            held.append(f"{many} in the second place, {second}")
    if beside:
        held.append(f"{', '.join(beside)} in {path.parent}")
    if papers.is_dir():
        held.append(f"letters and drafts in {papers}")
    held.append("every export, list that was brought in, sent mail and copy elsewhere")
    return (
        f"Not touched, and still with their name: {'; '.join(held)}. Delete those that you need "
        "not keep; a backup that is restored brings them back."
    )


def erase_person(desk: Desk, customer_id: int, typed: str) -> Changed:
    """Erase a customer for good, also from the bytes of the book's file; `typed` is the word.

    `Mendable` while a job or a letter of theirs is under way, somebody else reads in the book, or
    the word was not typed: nothing is changed then.
    """
    if typed.strip().casefold() != WORD:
        raise Mendable(f"Type the word {WORD} to erase them; nothing was changed.")
    with desk.book.reading() as session:
        there(session.get(Customer, customer_id), "This customer")
        erasing.refuse_unfinished(session, customer_id)
    desk.book.write_anew()  # where the disk or a reader stands in the way, nothing is erased yet
    with desk.book.load() as session:
        label = erasing.erase(session, customer_id, desk.today, desk.clock())
    try:
        desk.book.write_anew()
    except Mendable as trouble:
        raise Mendable(
            f"{label} stands in the book now, but the old words may still lie in its file: "
            f"{trouble.sentence} Then erase {label} once more."
        ) from trouble
    return Changed(label, KINDS, sentence=f"{label} stands there now. {still_held(desk)}")


def erased_and_back(book: Path, aside: Path | None) -> str:
    """After a backup was put in the place of the book that is *aside* now: a sentence on who was
    erased there and is in the book again; "" for nobody."""
    # A damaged book is often why a backup is brought back: what cannot be read says nothing.
    before = backup.customers_in(aside) if aside is not None else {}
    erased = {key for key, name in before.items() if name == erasing.label_of(key)}
    now = backup.customers_in(book) if erased else {}
    names = [name for key, name in now.items() if key in erased and name != erasing.label_of(key)]
    if not names:
        return ""
    were, are = noun(len(names), "was", "were"), noun(len(names), "is", "are")
    return (
        f"{listed(names)} {were} erased after that backup was made and {are} in the book again: "
        "erase them once more before anything is written to them."
    )

"""Reminders as files: text to copy, mail drafts, letters on paper, and a calendar entry each."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path

from app.actions.desk.desk import NOTHING, Changed, Desk
from app.actions.letters.choosing import judge_prepared, off_words, take_off
from app.actions.letters.reminder_changes import KINDS
from app.actions.people.customers import shown_phone
from app.calculations.numbers.dates import day_year, near
from app.documents.papers.calendar import Entry, write_calendar
from app.documents.papers.call_list import Call, write_call_list
from app.documents.papers.mail import Letter, full_text, write_eml
from app.errors import Mendable
from app.records.queries import protection as queries
from app.records.queries.protection import PersonRow, ReminderRow

CALENDAR = "reminders.ics"
LOOK_AFTER_DAYS = 10  # when to ask oneself whether an answer came


@dataclass(frozen=True)
class Drafts:
    """The files that were written, and what was taken off the list instead."""

    changed: Changed
    files: tuple[Path, ...]


def draft_files(desk: Desk, day: date, reminder_ids: Sequence[int], out: Path) -> Drafts:
    """Write the reminders' files into a folder; what stands there of the same name is replaced.

    Each gets a text to copy; one by mail a draft besides; those by letter one PDF together; those
    by phone a list of calls together, as text and as PDF; all of them a calendar file with the day
    on which to look whether an answer came. What must not go any more is taken off the list.
    """
    if not reminder_ids:
        return Drafts(NOTHING, ())
    off = take_off(desk, day, reminder_ids)
    changed = Changed("", KINDS, off_words(off)) if off else NOTHING
    judged = judge_prepared(desk, day, reminder_ids)
    going = tuple(number for number, one in judged.items() if not one.why_not)
    reasons = {number: one.letter.reason for number, one in judged.items() if one.letter}
    return Drafts(changed, tuple(_write(desk, going, reasons, out)) if going else ())


def _write(
    desk: Desk, reminder_ids: tuple[int, ...], reasons: Mapping[int, str], out: Path
) -> list[Path]:
    out.mkdir(parents=True, exist_ok=True)
    with desk.book.reading() as session:
        rows = queries.reminders(session, ids=reminder_ids)
        people = {row.customer_id: row for row in queries.people(session)}
        held = {row.vehicle_id: row.description for row in queries.holders(session, desk.today)}
        visits = queries.last_visits(session, desk.today)
    files: list[Path] = []
    on_paper: list[Letter] = []
    calls: list[Call] = []
    entries: list[Entry] = []
    for prepared in rows:
        row = replace(prepared, reason=reasons[prepared.id])  # as it is told now
        person = people[row.customer_id]
        letter = as_letter(desk, row, person)
        stem = f"reminder {row.id:04d} {_file_name(person.name)}"
        text = out / f"{stem}.txt"
        text.write_text(_copy_text(letter), encoding="utf-8")
        files.append(text)
        if row.channel == "mail":
            files.append(write_eml(letter, out / f"{stem}.eml"))
        elif row.channel == "letter":
            on_paper.append(letter)
        elif row.channel == "phone":
            calls.append(_call(desk, row, person, held, visits))
        entries.append(_entry(desk, row, person, desk.today))
    if on_paper:
        from app.documents.papers.paper import letters_pdf

        files.append(letters_pdf(on_paper, desk.today, out / "letters.pdf", desk.settings.region))
    if calls:
        from app.documents.papers.paper import calls_pdf

        shop, today = desk.settings.shop_name, desk.today
        files.append(write_call_list(shop, today, calls, out / "calls.txt"))
        files.append(calls_pdf(shop, today, calls, out / "calls.pdf", desk.settings.region))
    files.append(write_calendar(entries, out / CALENDAR))
    return files


def drafts_stand(desk: Desk, reminder_ids: Sequence[int], out: Path) -> bool:
    """Whether the files of these reminders stand in a folder: the calendar is written last."""
    if not reminder_ids:
        return True
    with desk.book.reading() as session:
        rows = queries.reminders(session, states=("prepared",), ids=tuple(reminder_ids))
    try:
        calendar = (out / CALENDAR).read_text(encoding="utf-8")
    except OSError:
        return False
    return all(row.uid in calendar for row in rows)


def as_letter(desk: Desk, row: ReminderRow, person: PersonRow) -> Letter:
    """A reminder as it goes out.

    Raises `Mendable` for one by mail while the shop has no mail address of its own.
    """
    settings = desk.settings
    if row.channel == "mail" and not settings.shop_email:
        raise Mendable(
            "The shop has no mail address yet, so no mail can be written; "
            "enter it in the settings or choose another way."
        )
    city = " ".join(part for part in (person.city, person.region, person.postal_code) if part)
    return Letter(
        uid=row.uid,
        sender_name=settings.shop_name or "The shop",
        sender_mail=settings.shop_email,
        sender_phone=shown_phone(settings.shop_phone, settings.region),
        sender_address=settings.shop_address,
        name=person.name,
        mail=person.email,
        address=tuple(line for line in (person.street, city) if line),
        subject=row.subject,
        text=row.text,
        at=desk.clock(),
    )


def _call(
    desk: Desk,
    row: ReminderRow,
    person: PersonRow,
    held: Mapping[int, str],
    visits: Mapping[int, date],
) -> Call:
    last = visits.get(row.customer_id)
    return Call(
        person.name,
        shown_phone(person.phone, desk.settings.region) or "no number",
        tuple(held[vehicle] for vehicle in row.vehicles if vehicle in held),
        row.reason,
        row.text,
        near(last, desk.today) if last else "",
    )


def _copy_text(letter: Letter) -> str:
    return f"To: {letter.name}\nSubject: {letter.subject}\n\n{full_text(letter)}"


def _entry(desk: Desk, row: ReminderRow, person: PersonRow, today: date) -> Entry:
    look = (row.sent_on or today) + timedelta(days=LOOK_AFTER_DAYS)
    return Entry(
        uid=f"{row.uid}@bayledger",
        title=f"Has {person.name} answered?",
        text=f"{row.reason}\n{row.subject}\nWritten {day_year(row.day)}, by {row.channel}.",
        start=look,
        end=None,
        written=desk.clock(),
    )


def _file_name(name: str) -> str:
    """A person's name as part of a file's name, on every system."""
    kept = "".join(c if c.isalnum() or c in " -" else " " for c in name)
    return " ".join(kept.split())[:40] or "customer"

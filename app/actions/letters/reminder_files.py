"""Reminders as files: text to copy, mail drafts, letters on paper, and a calendar entry each."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path

from app.actions.desk.desk import NOTHING, Changed, Desk
from app.actions.desk.telephones import shown_phone
from app.actions.letters.choosing import judge_prepared, off_words, take_off
from app.actions.letters.reminder_changes import KINDS, LEFT, going_day
from app.actions.letters.words_now import in_words_of
from app.calculations.letters.letters import ChosenLetter
from app.calculations.numbers.dates import day_year, near
from app.documents.papers.calendar import Entry, write_calendar
from app.documents.papers.call_list import Call, write_call_list
from app.documents.papers.mail import Letter, full_text, write_eml
from app.errors import Mendable
from app.records.queries import protection as queries
from app.records.queries.protection import PersonRow, ReminderRow

CALENDAR = "reminders.ics"
LETTERS, CALLS, CALLS_TEXT = "letters.pdf", "calls.pdf", "calls.txt"
ASIDE = "taken off the list"  # the folder for drafts that must not go any more
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
    on which to look whether an answer came. What must not go any more is taken off the list, and
    its draft that stands there is put aside.
    """
    if not reminder_ids:
        return Drafts(NOTHING, ())
    day = going_day(desk, day)
    off = take_off(desk, day, reminder_ids)
    changed = Changed("", KINDS, off_words(off)) if off else NOTHING
    judged = judge_prepared(desk, day, reminder_ids)
    going = tuple(number for number, one in judged.items() if not one.why_not)
    letters = {number: one.letter for number, one in judged.items() if one.letter}
    _put_aside(desk, out)
    return Drafts(changed, tuple(_write(desk, going, letters, out)) if going else ())


def _off_the_list(desk: Desk, out: Path) -> list[Path]:
    """The files in a folder of reminders that are off the list by now."""
    named = ((path, path.name.split(" ")[1]) for path in out.glob("reminder * *"))
    numbered = {path: int(number) for path, number in named if number.isdecimal()}
    if not numbered:
        return []
    with desk.book.reading() as session:
        rows = queries.reminders(session, states=LEFT, ids=tuple(set(numbered.values())))
    gone = {row.id for row in rows}
    return sorted(path for path, number in numbered.items() if number in gone)


def _put_aside(desk: Desk, out: Path) -> None:
    """Put the drafts of what is off the list out of the way, with the lists that tell of it."""
    stale = _off_the_list(desk, out)
    if not stale:
        return
    aside = out / ASIDE
    aside.mkdir(exist_ok=True)
    lists = (out / name for name in (LETTERS, CALLS_TEXT, CALLS, CALENDAR))
    for path in (*stale, *(one for one in lists if one.exists())):
        path.replace(aside / path.name)


def _write(
    desk: Desk, reminder_ids: tuple[int, ...], letters: Mapping[int, ChosenLetter], out: Path
) -> list[Path]:
    out.mkdir(parents=True, exist_ok=True)
    with desk.book.reading() as session:
        rows = queries.reminders(session, ids=reminder_ids)
        people = {row.customer_id: row for row in queries.people(session)}
        held = {row.vehicle_id: row.description for row in queries.holders(session, desk.today)}
        visits = queries.last_visits(session, desk.today)
        proposed = queries.in_proposed_words(session, reminder_ids)
    files: list[Path] = []
    on_paper: list[Letter] = []
    calls: list[Call] = []
    entries: list[Entry] = []
    for prepared in rows:
        # As it is told now.
        person, now = people[prepared.customer_id], letters[prepared.id]
        row = in_words_of(desk, desk.today, prepared, now, person, proposed)
        row = replace(row, reason=now.reason)
        letter = as_letter(desk, row, person)
        stem = f"reminder {row.id:04d} {_file_name(person.name)}"
        text = out / f"{stem}.txt"
        text.write_text(_copy_text(desk, row, person, letter), encoding="utf-8")
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

        files.append(letters_pdf(on_paper, desk.today, out / LETTERS, desk.settings.region))
    if calls:
        from app.documents.papers.call_paper import calls_pdf

        shop, today = desk.settings.shop_name, desk.today
        files.append(write_call_list(shop, today, calls, out / CALLS_TEXT))
        files.append(calls_pdf(shop, today, calls, out / CALLS, desk.settings.region))
    files.append(write_calendar(entries, out / CALENDAR))
    return files


def drafts_stand(desk: Desk, day: date, reminder_ids: Sequence[int], out: Path) -> bool:
    """Whether the files of these reminders stand in a folder, and none that must not go any more.

    The calendar is written last.
    """
    if not reminder_ids:
        return True
    judged = judge_prepared(desk, going_day(desk, day), reminder_ids)
    if any(one.why_not for one in judged.values()) or _off_the_list(desk, out):
        return False
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
    if row.channel == "mail" and not desk.settings.shop_email:
        raise Mendable(
            "The shop has no mail address yet, so no mail can be written; "
            "enter it in the settings or choose another way."
        )
    return letter_to(desk, person, row.uid, row.subject, row.text)


def letter_to(desk: Desk, person: PersonRow, uid: str, subject: str, text: str) -> Letter:
    """These words to a customer, from the shop."""
    settings = desk.settings
    city = " ".join(part for part in (person.city, person.region, person.postal_code) if part)
    return Letter(
        uid=uid,
        sender_name=settings.shop_name or "The shop",
        sender_mail=settings.shop_email,
        sender_phone=shown_phone(settings.shop_phone, settings.region),
        sender_address=settings.shop_address,
        name=person.name,
        mail=person.email,
        address=tuple(line for line in (person.street, city) if line),
        subject=subject,
        text=text,
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
        near(last, desk.today) if last else "",
    )


def _copy_text(desk: Desk, row: ReminderRow, person: PersonRow, letter: Letter) -> str:
    """What is written or said by hand: of a call and a text message with its number."""
    if row.channel in ("phone", "text"):
        number = shown_phone(person.phone, desk.settings.region)
        return f"To: {letter.name}, {number}\n\n{letter.text}\n"
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

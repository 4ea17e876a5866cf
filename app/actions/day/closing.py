"""Station 6, *Close the day*: what will be booked, booking it, and opening the day again."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

from app.actions.bay.plan_papers import feed
from app.actions.costs.repeating import due_texts, write_due, written_texts
from app.actions.day.booking import book_day, orders_to_write, take_back_day, work_of
from app.actions.day.jobs_worked import jobs_worked
from app.actions.day.money_taken import came_beside, money_taken
from app.actions.day.till import Till, difference_text, till, till_and_road
from app.actions.desk.amounts import all_supplies, money, need_said
from app.actions.desk.desk import Changed, Desk
from app.actions.desk.meant_days import must_be_meant
from app.actions.desk.open_day import is_closed, open_sheet
from app.actions.letters import reminder_files, reminders
from app.actions.letters.letter_views import LetterView, prepared_letters
from app.actions.orders.order_papers import order_files, order_files_stand
from app.actions.orders.order_proposal import order_day
from app.actions.orders.order_writing import (
    add_orders,
    order_text,
    orders_standing,
    orders_written,
)
from app.actions.plan.job_plan import JobPlan, plans, plans_on
from app.actions.shop.backups import NONE_MADE, Made, back_up, kept_key, newest_second
from app.actions.stock.left import left_on, used_on
from app.actions.stock.pool_stock import clean_left, lacking_text
from app.calculations.numbers.dates import weekday_day
from app.calculations.numbers.durations import shown_duration
from app.calculations.numbers.wording import count_of, listed, words_of
from app.errors import Mendable, reason_of
from app.records.book import Book
from app.records.models import DaySheet
from app.records.queries import days as queries
from app.records.queries.days import JobRow
from app.records.storage.backup import opened

_KINDS = "jobs hours uses stock money layers orders reminders days expenses"
KINDS = frozenset(_KINDS.split())
Progress = Callable[[float, str], object]
FAR = timedelta(days=60)  # from all that stands in the book: rather a typing error
LOOK_AHEAD_DAYS = 7  # where tomorrow is free, the next day with work is shown, within a week


@dataclass(frozen=True)
class Tomorrow:
    """A job of the next working day, and what it lacks."""

    job: JobRow
    services: str
    lacks: tuple[str, ...]


@dataclass(frozen=True)
class ToBook:
    """A line of what will be booked, and whether it is so far only what was filled in."""

    text: str
    unconfirmed: bool = False


@dataclass(frozen=True)
class Closing:
    """The station."""

    lines: tuple[ToBook, ...]
    tomorrow: tuple[Tomorrow, ...]
    tomorrow_text: str  # "Tomorrow", or the weekday of the next day with work
    follows: bool  # that day is the next one
    not_yet: str
    backup_place: str
    till: Till
    driven: int  # metres
    lacks_backup: bool = False  # the day is closed, and the close broke off before its backup


@dataclass(frozen=True)
class Closed:
    """What closing did."""

    changed: Changed
    already: bool
    lines: tuple[str, ...]
    files: tuple[Path, ...]
    made: Made = NONE_MADE
    trouble: tuple[str, ...] = ()  # of the lines, what could not be written

    def written(self) -> dict[str, object]:
        """The files and backups as the command's data tells them (docs/day-json.md)."""
        made = self.made
        return {
            "files": [str(path) for path in self.files],
            "backup": None if made.path is None else str(made.path),
            "backup_jobs": None if made.path is None else made.jobs,
            "second_backup": None if made.second is None else str(made.second),
            "trouble": list(self.trouble),
        }


def closing(desk: Desk, day: date, *, slow: bool = True) -> Closing:
    """What will be booked, one line each; what comes next and what it lacks.

    `slow` false leaves out who is to be reminded, for which every layer is looked through.
    """
    following, jobs = next_work(desk, day)
    follows = following == day + timedelta(days=1)
    return Closing(
        tuple(_will_be_booked(desk, day, slow)),
        jobs,
        "" if following is None else "Tomorrow" if follows else weekday_day(following),
        follows,
        _not_yet(desk, day),
        str(desk.book.path.resolve().parent / "backups"),
        *till_and_road(desk, day),
        is_closed(desk, day) and not _is_backed_up(desk, day, None),
    )


def _not_yet(desk: Desk, day: date) -> str:
    if day > desk.today:
        return f"{weekday_day(day)} has not come yet; it can be closed from that day on."
    return ""


def _will_be_booked(desk: Desk, day: date, slow: bool) -> list[ToBook]:
    """One line for each station: what stands there, and whether anyone confirmed it."""
    with desk.book.reading() as session:
        sheet = queries.sheet(session, day)
    stations = sheet.stations if sheet is not None else ()
    lines: list[ToBook] = []

    def add(text: str, station: str = "", word: str = "") -> None:
        doubt = bool(station) and station not in stations
        lines.append(ToBook(f"{text} ({word}, unconfirmed)" if doubt else text, doubt))

    work = jobs_worked(desk, day)
    if work.rows:
        steps = sum(step.state == "done" for row in work.rows for step in row.steps)
        total = work.total_text.replace("  ", ", ")
        add(f"{total}, {count_of(steps, 'step')} done", "jobs", "as expected")
    if work.other_minutes:
        add(f"The shop's own work, {shown_duration(work.other_minutes)}", "jobs", "as usual")
    finished = [row.job.number_text for row in work.rows if row.finished]
    if finished:
        add(f"Finished: {', '.join(finished)}")
    used = {one: amount for one, amount in used_on(desk, day).items() if amount}
    if used:
        add(f"{count_of(len(used), 'supply')} off the shelf", "supplies", "from recipe")
    for sentence in _protected(desk, day):
        add(sentence)
    paid = money_taken(desk, day)
    if paid.expected:
        beside = came_beside(desk, paid.rows)
        add(f"{money(desk, paid.expected)} taken{beside}", "money", "as expected")
    shut = sheet is not None and sheet.state == "closed"
    lines += [ToBook(text) for text in (written_texts if shut else due_texts)(desk, day)]
    for one in orders_to_write(desk, day):
        add(f"Order to {one.name}, {one.total_text}: {one.lines_text}; written, you send it")
    lines += [ToBook(order_text(desk, one)) for one in orders_standing(desk, day)]
    if shut:
        letters: Sequence[LetterView] = prepared_letters(desk, day)
    else:
        letters = reminders.whom_to_remind(desk, day).letters if slow else ()
    for letter in letters:
        add(_letter_text(letter))
    return lines


def _protected(desk: Desk, day: date) -> list[str]:
    """What the day puts on which vehicle, and where: one sentence for each supply on a job."""
    supplies = all_supplies(desk)
    said = []
    for plan in plans_on(desk, day):
        where: dict[int | None, dict[str, None]] = {}
        for one in plan.steps_on(day):
            if one.state == "done" and one.step.effect == "applies":
                where.setdefault(one.step.supply_id, {}).update(
                    dict.fromkeys(one.step.surface_groups)
                )
        for supply_id, groups in where.items():
            supply = supplies.get(supply_id or 0)
            what = supply.name if supply is not None else "Protection"
            on = f" on {listed(list(groups))}" if groups else ""
            vehicle = f" of the {plan.job.vehicle}" if plan.job.vehicle else ""
            said.append(f"{what}{on}{vehicle} ({plan.job.number_text})")
    return said


def _letter_text(letter: LetterView) -> str:
    """`Reminder to Ann Marlow, by mail: silver wagon; you send it`."""
    about = ", ".join(letter.vehicles)
    way = f", by {letter.channel}" if letter.channel else ""
    return f"Reminder to {letter.name}{way}{f': {about}' if about else ''}; you send it"


def next_work(desk: Desk, day: date) -> tuple[date | None, tuple[Tomorrow, ...]]:
    """The next day with booked work, its jobs, and what each lacks after those before it."""
    with desk.book.reading() as session:
        found: dict[int, JobPlan] = {}
        following = None
        for ahead in range(1, LOOK_AHEAD_DAYS + 1):
            following = day + timedelta(days=ahead)
            jobs = queries.visits(session, following, following)
            found = {
                job_id: plan
                for job_id, plan in plans(desk, session, jobs).items()
                if following in plan.days and not plan.is_off(following)
            }
            if found:
                break
    if following is None or not found:
        return None, ()
    left = left_on(desk, day) | clean_left(desk, day)
    supplies = all_supplies(desk)
    rows = []
    for plan in found.values():
        lacks = []
        for supply_id in plan.supplies_on(following):
            amount = plan.filled_in(following, supply_id)[0]
            before = left.get(supply_id, 0)
            left[supply_id] = before - amount
            if amount and before < amount and supply_id in supplies:
                supply, short = supplies[supply_id], amount - max(0, before)
                if supply.pool:
                    lacks.append(lacking_text(short, supply))
                else:
                    lacks.append(f"short by {need_said(desk, supply, short)} of {supply.name}")
        rows.append(Tomorrow(plan.job, plan.services_text, tuple(lacks)))
    return following, tuple(rows)


def far_from_all(desk: Desk, day: date) -> str:
    """Why a day is hardly one of this book's; nothing where something stands near it."""
    with desk.book.reading() as session:
        near = queries.nearest(session, day) or desk.today
    if abs(near - day) <= FAR or abs(desk.today - day) <= FAR:
        return ""
    return f"{day} lies far from all days of this book; the nearest is {near}"


def close_day(
    desk: Desk,
    day: date,
    *,
    out: Path | None = None,
    seconds: int = 0,
    progress: Progress | None = None,
) -> Closed:
    """Book the day as one action, its reminders too, then write its papers and make a backup.

    What nobody confirmed is booked as it was filled in, and marked so. With `out`, the order
    sheets, the drafts of the reminders and a backup go to that folder. On a day that is closed
    already, only papers and backup that are missing are written. `progress` may raise to stop the
    close until it is booked: then nothing was changed.
    """
    not_yet = _not_yet(desk, day)
    if not_yet:
        raise Mendable(not_yet)
    if out is not None:
        _make_folder(out)
    if is_closed(desk, day):
        return _write_missing(desk, day, out)
    say = progress or (lambda _share, _words: None)
    name = f"Closed {weekday_day(day)}"
    with desk.book.change(name, day=day, kinds=KINDS, at=desk.clock()) as session:
        # All that is booked is worked out here, while nobody else can write: what was typed
        # until this moment is in it, and nothing can be typed beside it.
        row = open_sheet(session, desk, day)
        say(0.1, "Working out what is booked")
        work = work_of(desk, day)
        in_till = difference_text(desk, till(desk, day))
        if work.orders:
            must_be_meant(desk, desk.today)  # an older page's orders, too, leave on the clock's day
        say(0.4, "Preparing the reminders")
        prepared = reminders.add_all(session, desk, day)
        say(0.6, "Booking the day")
        booked = book_day(session, desk, day, row, work)
        if work.orders:
            add_orders(session, day, order_day(desk, day), work.orders)
        row.state, row.closed_at = "closed", (at := desk.clock())
        row.times_closed += 1
        row.seconds = seconds or row.seconds
        spent = write_due(session, desk, day, at)
        parts = (booked.summary, f"expenses {money(desk, spent)}" if spent else "", in_till)
        row.summary = summary = ", ".join(filter(None, parts))
        say(0.8, "Writing the papers and the backup")
    lines = [*booked.lines]
    if prepared:
        lines.append(f"{count_of(len(prepared), 'reminder')} to send, by you")
    files, made, said, trouble = _files(desk, day, out, prepared)
    return Closed(
        Changed(name, KINDS, summary),
        False,
        (*lines, *said, *trouble),
        tuple(files),
        made,
        tuple(trouble),
    )


def _write_missing(desk: Desk, day: date, out: Path | None) -> Closed:
    """The papers and the backup of a closed day that are not there: a close may have broken off."""
    files, made, more, trouble = _files(desk, day, out, reminders.unsent(desk, day))
    text = f"{weekday_day(day)} is closed already; "
    if files:
        text += f"what was missing is written: {count_of(len(files), 'file')}."
    elif more:
        text += "what waits to be sent was looked through again."
    else:
        text += "something is missing." if trouble else "there is nothing to do."
    lines = (text, *more, *trouble)
    return Closed(Changed("", frozenset(), text), True, lines, tuple(files), made, tuple(trouble))


def _make_folder(out: Path) -> None:
    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as trouble:
        raise Mendable(
            f"The folder {out} cannot be made ({reason_of(trouble)}); nothing was closed."
        ) from trouble


def _files(
    desk: Desk, day: date, out: Path | None, prepared: Sequence[int]
) -> tuple[list[Path], Made, list[str], list[str]]:
    """Write the papers of a closed day and its backups, those that are not there yet.

    Which they are is known from the book. What must not go any more is taken off the list and
    said; what fails is said and undoes nothing.
    """
    files: list[Path] = []
    said: list[str] = []
    trouble: list[str] = []
    made = NONE_MADE
    if out is not None:
        try:
            for order in orders_written(desk, day):
                if not order_files_stand(desk, order, out):
                    files += order_files(desk, order, out)
        except (Mendable, OSError) as wrong:
            trouble.append(
                f"The day is closed, but the order sheets are not written: {reason_of(wrong)}"
            )
        try:
            if not reminder_files.drafts_stand(desk, day, prepared, out):
                drafts = reminder_files.draft_files(desk, day, prepared, out)
                files += drafts.files
                said += filter(None, [drafts.changed.sentence])
        except (Mendable, OSError) as wrong:
            trouble.append(f"The day is closed, but the drafts are not written: {reason_of(wrong)}")
    files += feed(desk, trouble)
    lacks_first = not _is_backed_up(desk, day, out)
    if lacks_first or _lacks_second(desk, day):
        made = back_up(desk, out, first=lacks_first, turn=_turn(desk))
        files += made.paths
        said += filter(None, [made.sentence])
        trouble += [f"The day is closed, but {one}" for one in made.trouble]
    return files, made, said, trouble


def _turn(desk: Desk) -> int:
    """Which part of the indexes the backup of a close looks at: the next one at each close."""
    with desk.book.reading() as session:
        return queries.times_closed(session)


def make_up_backup(desk: Desk) -> str:
    """Back up the day that was closed last, where no backup here holds that; in words.

    Also in the second place, where that was not there then and is now.
    """
    with desk.book.reading() as session:
        day = queries.closed_last(session)
    if day is None:
        return ""
    lacks_first = not _is_backed_up(desk, day, None)
    there = Path(desk.settings.backup_folder).is_dir()
    if not lacks_first and not (there and _lacks_second(desk, day)):
        return ""
    made = back_up(desk, first=lacks_first, turn=_turn(desk))
    if made.trouble:
        raise Mendable(f"{weekday_day(day)} is closed, but {' '.join(made.trouble)}")
    if lacks_first:
        # A close that broke off, or a book that was copied here without its backups.
        return f"No backup here held the close of {weekday_day(day)}; its backup is made now"
    return f"The second backup of {weekday_day(day)} was missing and is made now"


def _is_backed_up(desk: Desk, day: date, out: Path | None) -> bool:
    """Whether the newest backup, looked into, has this day closed as the book has."""
    newest = desk.book.newest_backup(out)
    return newest is not None and _holds_close(desk, newest, day)


def _lacks_second(desk: Desk, day: date) -> bool:
    """Whether there is a second place of backups, and its newest has not this day closed so."""
    if not desk.settings.backup_folder:
        return False
    newest = newest_second(desk)
    if newest is None:
        return True
    try:
        with opened(newest, kept_key(desk)) as plain:
            return not _holds_close(desk, plain, day)
    except (Mendable, OSError):
        return True


def _holds_close(desk: Desk, backup: Path, day: date) -> bool:
    try:
        with Book.open(backup, write=False) as copy, copy.reading() as session:
            there = queries.sheet(session, day)
    except Mendable:
        return False
    with desk.book.reading() as session:
        here = queries.sheet(session, day)
    return (
        here is not None
        and there is not None
        and there.state == here.state
        and there.times_closed == here.times_closed
        and there.closed_at == here.closed_at
    )


def reopen_day(desk: Desk, day: date, reason: str) -> Changed:
    """Open a closed day again; its lines are taken back by counter-entries with the reason.

    It may then be changed and closed again. Orders, reminders and what was typed stay.
    """
    if not reason.strip():
        raise Mendable("Say why the day is opened again, such as: wrong supply on 0412.")
    name = f"Reopened {weekday_day(day)}"
    with desk.book.change(name, day=day, kinds=KINDS, at=desk.clock()) as session:
        sheet = queries.sheet(session, day)
        if sheet is None or sheet.state != "closed":
            raise Mendable(f"{weekday_day(day)} is not closed.")
        count = take_back_day(session, desk, day, f"Reopened: {reason.strip()}")
        session.get_one(DaySheet, day).state = "open"
    lines = words_of(count, "line").capitalize()
    said = f"{lines} taken back by counter-entries." if count else "Nothing was booked on that day."
    return Changed(name, KINDS, said)

"""The plan outside the program: a calendar file of the jobs, a week's sheet for the wall."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

from app.actions.bay.plan_of_shop import PlannedJob, clock_words, plan_of_shop
from app.actions.desk.desk import Desk
from app.actions.desk.papers import file_name, papers_folder
from app.calculations.bay.opening import instant_of
from app.calculations.bay.runs import Kind
from app.calculations.numbers.dates import day_short, weekday_day
from app.documents.papers.calendar import Entry, write_calendar
from app.documents.papers.week_sheet import WeekBar, WeekDay, WeekJob, WeekSheet
from app.errors import Mendable, reason_of

AHEAD = 60  # days of a calendar
WORDS = {Kind.HANDS: "", Kind.CURES: "cures", Kind.DRIES: "dries"}
PLACES = {"bay": "the bay", "outside": "outside", "yard": "the customer’s yard"}


def calendar_entries(desk: Desk, *, holds: bool) -> list[Entry]:
    """The open jobs as they are planned: an entry for each stretch of hands on, and with `holds`
    for each in which a vehicle cures or dries."""
    found = plan_of_shop(desk, days=AHEAD)
    return [entry for row in found.rows for entry in _entries(desk, row, holds)]


def _entries(desk: Desk, row: PlannedJob, holds: bool) -> Iterator[Entry]:
    about = [row.work, row.vehicle, f"ready {clock_words(desk, row.ready, long=True)}"]
    if row.promised is not None:
        about.append(f"promised {clock_words(desk, row.promised, long=True)}")
    numbers: dict[Kind, int] = {}
    for bar in row.bars:
        numbers[bar.kind] = numbers.get(bar.kind, 0) + 1
        if bar.kind is not Kind.HANDS and not holds:
            continue
        what = WORDS[bar.kind] or row.work
        yield Entry(
            # The same stretch keeps its name, so that a calendar which reads the file again moves
            # it; one that is gone goes with the file where that is subscribed to.
            uid=f"job-{row.job_id}-{bar.kind.name.casefold()}-{numbers[bar.kind]}@bayledger",
            title=f"{row.number} {row.customer or row.vehicle}: {what}",
            text="\n".join(filter(None, about)),
            start=instant_of(bar.start),
            end=instant_of(bar.end),
            written=desk.clock(),
            place=PLACES[row.place],
        )


def write_jobs_calendar(desk: Desk, path: Path, *, holds: bool | None = None) -> Path:
    """The calendar file, with or without cures and drying, as the setting has it unless said; it
    stands whole or not at all."""
    if path.suffix.lower() != ".ics":
        raise Mendable(f"A calendar file ends in .ics; write {path.with_suffix('.ics').name}.")
    with_holds = desk.settings.calendar_holds == "in" if holds is None else holds
    unfinished = path.with_name(path.name + ".unfinished")
    try:
        write_calendar(calendar_entries(desk, holds=with_holds), unfinished)
        unfinished.replace(path)
    finally:
        unfinished.unlink(missing_ok=True)
    return path


def feed(desk: Desk, trouble: list[str]) -> list[Path]:
    """The one calendar file that is written at each close, where one is set; what fails is said
    in `trouble`."""
    if not desk.settings.calendar_file:
        return []
    try:
        return [write_jobs_calendar(desk, Path(desk.settings.calendar_file))]
    except (Mendable, OSError) as wrong:
        said = "The day is closed, but the calendar file is not written"
        trouble.append(f"{said}: {reason_of(wrong)}")
        return []


def week_sheet(desk: Desk, first: date) -> WeekSheet:
    """The week from a day on; vehicles and no customers, for a wall is read by whoever comes in."""
    found = plan_of_shop(desk, first, days=7)
    days = []
    for one in found.days:
        words = "closed"
        if one.window:
            opens, closes = (_clock(desk, minute) for minute in one.window)
            words = f"{opens} to {closes}"
        days.append(
            WeekDay(one.day, one.start, one.end, one.window, ", ".join(
                filter(None, (words, one.weather))
            ))
        )  # fmt: skip
    numbers = {row.job_id: row.number for row in found.rows}
    start, end = found.days[0].start, found.days[-1].end
    clashes = tuple(
        f"Two at once in the bay, {clock_words(desk, one.start, long=True)}: "
        f"{numbers[one.first]} and {numbers[one.second]}."  # type: ignore[index]
        for one in found.clashes
        if one.start < end and start < one.end and {one.first, one.second} <= numbers.keys()
    )
    waiting = [f"{one.number} {one.work}" for one in found.unplaced if one.waits]
    return WeekSheet(
        title=f"Week from {weekday_day(first)}", shop=desk.settings.shop_name,
        printed=desk.today, days=tuple(days),
        jobs=tuple(_week_job(desk, row, found.bays) for row in found.rows), clashes=clashes,
        waiting=(f"Without a day: {'; '.join(waiting)}.",) if waiting else (),
    )  # fmt: skip


def _week_job(desk: Desk, row: PlannedJob, bays: int) -> WeekJob:
    where = "Outside or in a yard"
    if row.bay is not None:
        where = "The bay" if bays <= 1 else f"Bay {row.bay + 1}"
    bars = [
        *(WeekBar("hands" if bar.kind is Kind.HANDS else "holds", bar.start, bar.end)
          for bar in row.bars),
        *(WeekBar("waits", start, end) for start, end in row.waits if row.bay is not None),
    ]  # fmt: skip
    promised = f"promised {_moment(desk, row.promised)}" if row.promised is not None else ""
    return WeekJob(
        where, f"{row.number} {row.vehicle}".strip(), row.work, tuple(bars),
        f"ready {_moment(desk, row.ready)}", promised,
    )  # fmt: skip


def _moment(desk: Desk, minute: int) -> str:
    at = instant_of(minute)
    day = desk.day_of(at)
    return f"{day:%a} {day_short(day)}, {_clock(desk, minute)}"


def _clock(desk: Desk, minute: int) -> str:
    return desk.clock_of(instant_of(minute)).removeprefix("0")


def write_week(desk: Desk, first: date | None = None, path: Path | None = None) -> Path:
    """The week's sheet, from this week's Monday unless said, among the papers of the plan."""
    from app.documents.papers.week_paper import week_pdf

    first = first or desk.today - timedelta(days=desk.today.weekday())
    if path is None:
        path = papers_folder(desk, "plan") / f"{file_name(f'Week {first}')}.pdf"
    return week_pdf(week_sheet(desk, first), path, desk.settings.region)

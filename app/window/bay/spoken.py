"""The plan in words: minutes as people say them, and its rows for who cannot see them."""

from __future__ import annotations

from app.calculations.bay.opening import instant_of
from app.calculations.bay.runs import Kind
from app.calculations.numbers.dates import day_short, weekday_day
from app.calculations.numbers.durations import shown_duration
from app.calculations.numbers.instants import clock_of, day_of
from app.calculations.numbers.wording import capital, words_of
from app.window.bay.shown import PlanGroup, PlanRow, PlanShown


def clock(minute: int, zone: str) -> str:
    """A minute of the plan on the shop's clock: `8:30`."""
    return clock_of(instant_of(minute), zone).removeprefix("0")


def short_when(minute: int, zone: str) -> str:
    """`Fri 8:30`, where the days are in view."""
    return f"{day_of(instant_of(minute), zone):%a} {clock(minute, zone)}"


def when(minute: int, zone: str) -> str:
    """`Fri 21 Aug, 17:00`."""
    day = day_of(instant_of(minute), zone)
    return f"{day:%a} {day_short(day)}, {clock(minute, zone)}"


def spoken_days(shown: PlanShown) -> str:
    """The head: what each day holds."""
    said = []
    for day in shown.days:
        if day.is_open:
            hours = shown_duration(day.hands)
            said.append(f"{weekday_day(day.day)}: {shown_duration(day.booked)} of {hours} booked")
        else:
            said.append(f"{weekday_day(day.day)}: closed")
    return "; ".join(said) or "no day"


def spoken_row(row: PlanRow, group: PlanGroup, shown: PlanShown) -> str:
    """A job with all that its bar, its flag and its marks say."""
    said = [f"{row.number} {row.who}", group.title, row.work]
    if row.run is None:
        return ", ".join([one for one in said if one] + ["no place in these weeks"])
    zone = shown.zone
    said.append(f"begins {when(row.run.begin, zone)}")
    hands = sum(end - start for start, end in row.run.hands)
    said.append(f"{shown_duration(hands)} hands on")
    for kind in (Kind.CURES, Kind.DRIES):
        minutes = sum(bar.end - bar.start for bar in row.run.bars if bar.kind is kind)
        said.append(f"{kind.value} {shown_duration(minutes)}" if minutes else "")
    said.append(f"ready {when(row.run.ready, zone)}")
    if row.ready is not None:
        low, high = (when(minute, zone) for minute in row.ready)
        said.append(f"four times in five between {low} and {high}")
    if row.promised is not None:
        said.append(f"promised {when(row.promised, zone)}")
    if row.instead:
        said.append(f"cannot be kept, {row.instead}")
    elif row.chance is not None:
        said.append(f"kept with {round(100 * row.chance)} %")
    if row.few:
        said.append("from few jobs like it")
    for clash in shown.clashes:
        if row.job_id in (clash.first, clash.second):
            other = shown.row(clash.first if row.job_id == clash.second else clash.second)  # type: ignore[arg-type]
            said.append(f"clashes with {other.number if other else 'another'} in the bay")
    if shown.move is not None and shown.move.job_id == row.job_id:
        said.append("moved, not kept yet")
    return ", ".join(one for one in said if one)


def fact_of(shown: PlanShown) -> tuple[str, str]:
    """Hours booked of those open: `78 of 84`, and how much more is to be said of it."""
    booked = sum(day.booked for day in shown.days)
    is_open = sum(day.hands for day in shown.days)
    return f"{round(booked / 60)} of {round(is_open / 60)}", "open hours booked"


def remains_of(shown: PlanShown) -> str:
    """What is wrong with the plan, for the foot: `One clash, and one promise that cannot be
    kept.`"""
    clashes = len(shown.clashes)
    broken = sum(bool(row.instead) for row in shown.rows)
    said = [words_of(clashes, "clash", "clashes")] if clashes else []
    if broken:
        said.append(f"{words_of(broken, 'promise')} that cannot be kept")
    words = ", and ".join(said)
    return f"{capital(words)}." if words else ""

"""What is chosen by typing beside the plan: how late a vehicle came, the weather of a day."""

from __future__ import annotations

from functools import partial

from app.actions.bay.moving import came_late
from app.actions.bay.weather import note_weather
from app.calculations.bay.opening import instant_of
from app.calculations.numbers.dates import weekday_day
from app.calculations.numbers.durations import read_duration, shown_duration
from app.errors import Mendable
from app.window.house.acting import on_book
from app.window.house.office import Office
from app.window.paper.finder import FoundLine

OFTEN = (15, 30, 60, 120)  # minutes that vehicles come late, as they are offered


def late_lines(office: Office, job_id: int, text: str) -> list[FoundLine]:
    """How late a vehicle came, as typed or as often happens."""
    try:
        times = [read_duration(text, bare=1)] if text.strip() else OFTEN
    except Mendable:
        return []
    return [
        FoundLine("It came late by", shown_duration(minutes), "",
                  partial(on_book, office, came_late, job_id, minutes))
        for minutes in times
    ]  # fmt: skip


def weather_lines(office: Office, minute: int, text: str) -> list[FoundLine]:
    """The weather of a minute's day: no work outside, and why, or the low at night."""
    day = office.desk.day_of(instant_of(minute))
    note = partial(on_book, office, note_weather, day)
    lines = [
        ("no work outside", partial(note, holds_outside=True)),
        ("work outside again", partial(note, holds_outside=False, note="")),
    ]
    if any(one.isdigit() for one in text):
        lines = [(f"{text} at night", partial(note, low=text))]
    elif text.strip():
        lines = [(f"no work outside: {text}", partial(note, holds_outside=True, note=text))]
    return [FoundLine(weekday_day(day), words, "", do) for words, do in lines]

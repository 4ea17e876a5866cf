"""The weather as somebody notes it: no work outside on a day, the low of its night."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from app.actions.desk.desk import NOTHING, Changed, Desk
from app.calculations.numbers.dates import near
from app.calculations.numbers.temperatures import read_temperature, shown_temperature
from app.errors import Mendable
from app.records.models import Weather
from app.records.queries import bay as queries
from app.records.queries.bay import WeatherRow

KINDS = frozenset({"jobs", "days"})
NOTHING_NOTED = WeatherRow(day=date.min, holds_outside=False, low=None, note="")


def weather(desk: Desk, first: date, last: date) -> Mapping[date, WeatherRow]:
    """What was noted of the days from one to another."""
    with desk.book.reading() as session:
        return {row.day: row for row in queries.weather_between(session, first, last)}


def note_weather(
    desk: Desk,
    day: date,
    *,
    holds_outside: bool | None = None,
    low: str | None = None,
    note: str | None = None,
) -> Changed:
    """Note that nothing is worked outside on a day, the low of the night after it (`41 F`), words;
    what is not given stays, and what is emptied goes."""
    before = weather(desk, day, day).get(day, NOTHING_NOTED)
    words = before.note if note is None else " ".join(note.split())
    if len(words) > 200:
        raise Mendable("What is noted of the weather is longer than 200 characters; shorten it.")
    holds = before.holds_outside if holds_outside is None else holds_outside
    degrees = before.low
    if low is not None:
        degrees = read_temperature(low, desk.settings.system) if low.strip() else None
    if (holds, degrees, words) == (before.holds_outside, before.low, before.note):
        return NOTHING
    row = WeatherRow(day, holds, degrees, words)
    name = f"Weather of {near(day, desk.today)}: {weather_words(desk, row) or 'nothing noted'}"
    with desk.book.change(name[:200], day=desk.today, kinds=KINDS, at=desk.clock()) as session:
        kept = session.get(Weather, day)
        if not (holds or words or degrees is not None):
            session.delete(kept)
        else:
            if kept is None:
                kept = Weather(day=day)
                session.add(kept)
            kept.holds_outside, kept.low, kept.note = holds, degrees, words
    return Changed(name, KINDS)


def weather_words(desk: Desk, row: WeatherRow) -> str:
    """`no work outside, 4 °C at night, hail`; nothing where nothing was noted."""
    said = ["no work outside"] if row.holds_outside else []
    if row.low is not None:
        said.append(f"{shown_temperature(row.low, desk.settings.system)} at night")
    return ", ".join([*said, *filter(None, [row.note])])

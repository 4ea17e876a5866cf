"""Days in words, alike on every system (strftime's day without a zero is not portable)."""

from __future__ import annotations

from datetime import date


def day_month(day: date) -> str:
    """`14 August`."""
    return f"{day.day} {day:%B}"


def day_short(day: date) -> str:
    """`14 Aug`."""
    return f"{day.day} {day:%b}"


def day_year(day: date) -> str:
    """`14 August 2025`."""
    return f"{day.day} {day:%B %Y}"


def weekday_day(day: date) -> str:
    """`Thursday 14 August`."""
    return f"{day:%A} {day.day} {day:%B}"


def near_short(day: date, today: date) -> str:
    """`14 Aug`, with its year where that may be mistaken: `30 Sep 2025`."""
    return day_short(day) if abs((day - today).days) < 300 else f"{day_short(day)} {day.year}"


def near(day: date, today: date) -> str:
    """The shortest words that are not mistaken: within the year no year is said."""
    if abs((day - today).days) < 300:
        return day_month(day)
    return day_year(day)


def months_of(first: date, last: date) -> str:
    """The months from one day to another: `May–Oct 2026`, `Dec 2026–Jan 2027`, `May 2026`."""
    end = f"{last:%b} {last.year}"
    if (first.year, first.month) == (last.year, last.month):
        return end
    year = f" {first.year}" if first.year != last.year else ""
    return f"{first:%b}{year}–{end}"


def age_words(days: float) -> str:
    """An age as a shop says it: days up to six weeks, weeks up to half a year, months after."""
    if days < 42:
        return f"{days:.0f} days"
    if days < 183:
        return f"{days / 7:.0f} weeks"
    return f"{days / 30.44:.0f} months"


def span_words(low: float, high: float) -> str:
    """A range of ages in one unit, that of its far end."""
    far = age_words(high)
    number, unit = far.split(" ")
    near_end = f"{low / {'days': 1, 'weeks': 7, 'months': 30.44}[unit]:.0f}"
    return far if near_end == number else f"{near_end} to {far}"

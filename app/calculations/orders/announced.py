"""Days that a supplier announced, as spans on the calendar; yearly ones come back each year."""

from __future__ import annotations

from datetime import date

from app.calculations.orders.shelf_state import Span


def occurrences(first: date, last: date, yearly: bool, around: date) -> tuple[Span, ...]:
    """The spans (day ordinals, both ends counted in) of announced days near a day.

    Yearly ones from the year before to the year after next; 29 February is the 28th in other
    years.
    """
    if not yearly:
        return ((first.toordinal(), last.toordinal()),)
    over = last.year - first.year
    return tuple(
        (_in_year(first, year).toordinal(), _in_year(last, year + over).toordinal())
        for year in range(around.year - 1 - over, around.year + 3)
        if year >= 1 and year + over <= 9999
    )


def _in_year(day: date, year: int) -> date:
    try:
        return day.replace(year=year)
    except ValueError:
        return date(year, 2, 28)

"""The same year booked as on a paper calendar: by days, first come first served.

Each day has its open hours and each bay one vehicle a day: whoever asks gets the first days that
have hours left, in a bay that nobody has on any of them, nights of a hold between them. It is the
usual way (common practice, no source).

    python -m tests.simulated_bay.by_hand
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta

from app.calculations.bay.opening import Window
from app.calculations.bay.runs import Kind, Piece
from tests.simulated_bay import year
from tests.simulated_bay.year import AHEAD, HOURS, Asked, Office, Year, a_year

OVERNIGHT = 6 * 60  # minutes of a hold from which it is another day


@dataclass
class ByHand(Office):
    """The shop whose calendar is a sheet of paper."""

    hours: dict[date, int] = field(default_factory=dict)  # booked
    inside: list[set[date]] = field(default_factory=list)  # days taken, of each bay

    def book(self, asked: Asked, now: int, windows: list[Window]) -> None:
        self.inside = self.inside or [set() for _ in range(self.bays)]
        self.year.asked += 1
        today = _day(now)
        for at in range(AHEAD):
            first = today + timedelta(days=at)
            worked = self._days(asked.pieces, first)
            if worked is None:
                continue
            last = max(worked)
            stay = {first + timedelta(days=day) for day in range((last - first).days + 1)}
            bay = next((bay for bay in self.inside if not bay & stay), None)
            if asked.in_bay and bay is None:
                continue
            if asked.in_bay and bay is not None:
                bay |= stay
            before = self.hours.get(first, 0)
            for day, minutes in worked.items():
                self.hours[day] = self.hours.get(day, 0) + minutes
            start, _end = HOURS.windows(first, first)[0]
            asked.begin = max(now, start + before // self.people)
            asked.promised, asked.said = HOURS.windows(last, last)[0][1], 0.0
            self.jobs.append(asked)
            self.year.booked += 1
            return

    def _days(self, pieces: tuple[Piece, ...], first: date) -> dict[date, int] | None:
        """Minutes of hands by day from a day on; none where that day has no hour left."""
        worked: dict[date, int] = {}
        day = first
        for piece in pieces:
            if piece.kind is not Kind.HANDS:
                day = _open(day + timedelta(days=1)) if piece.minutes >= OVERNIGHT else day
                worked.setdefault(day, 0)
                continue
            left = piece.minutes
            while left:
                has = self.people * HOURS.on(day) - self.hours.get(day, 0) - worked.get(day, 0)
                if has <= 0 and day == first:
                    return None
                worked[day] = worked.get(day, 0) + min(left, max(0, has))
                left -= min(left, max(0, has))
                if left:
                    day = _open(day + timedelta(days=1))
        return worked


def _day(now: int) -> date:
    from app.calculations.bay.opening import instant_of
    from app.calculations.numbers.instants import day_of

    return day_of(instant_of(now), HOURS.zone)


def _open(day: date) -> date:
    while not HOURS.on(day):
        day += timedelta(days=1)
    return day


def by_hand(seed: int, **how: float) -> Year:
    """A year that is booked by hand."""
    return a_year(seed, office=ByHand, **how)  # type: ignore[arg-type]


def main() -> None:
    """Print how many jobs each way of booking finishes in a year, and what promises it keeps."""
    for people, bays in ((1, 1), (1, 2)):
        for name, book in (("the search", year.a_year), ("by hand", by_hand)):
            years = [book(seed, people=people, bays=bays, busy=1.3 * people) for seed in (1,)]
            promises = [kept for one in years for _said, kept in one.promises]
            print(
                f"{people} people, {bays} bays, {name}: "
                f"{sum(one.finished for one in years) / len(years):.0f} jobs a year, "
                f"{sum(promises) / len(promises):.3f} of promises kept, "
                f"{sum(one.waited for one in years) / len(years):.0f} quarters waited",
                flush=True,
            )


if __name__ == "__main__":
    main()

"""How files are read: what the shop's settings say, the limits, and the way to stop."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date

from app.documents.reading.grid import Cell
from app.errors import Mendable

# Called with what is done and what there is in all; answers False to stop.
Progress = Callable[[int, int], bool]

# Where month comes first when nothing else tells (CLDR; these and their outlying islands only).
MONTH_FIRST = frozenset({"US", "PH", "PR", "GU", "VI", "AS", "FM", "MH", "PW", "CA"})


class ReadingStopped(Mendable):
    """The person stopped the work; nothing was kept."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Options:
    """What a reading needs to know beside the file.

    `region` is the country that telephone numbers without a country code belong to (ISO 3166,
    two letters). `imperial` gallons and fluid ounces are meant, not the US ones.
    `dilution` says how a bare "10:1" is read: "ask" (left open, with a sentence), "water_first" or
    "product_first".
    """

    region: str = "US"
    currency: str = "USD"
    imperial: bool = False
    date_order: str = "auto"  # MDY, DMY; auto looks at the column, then at the region
    decimal: str = "either"  # comma, point, either
    dilution: str = "ask"
    encoding: str = ""  # "" finds out
    today: date | None = None
    most_cells: int = 3_000_000
    most_text: int = 200_000_000  # characters, of all cells
    longest_text: int = 1_000_000_000  # characters, of one cell
    most_bytes: int = 200_000_000  # of the file
    most_unpacked: int = 400_000_000  # of a workbook's parts, unpacked
    most_seconds: float = 600
    most_memory: int = 1_500_000_000  # bytes

    def usual_order(self) -> str:
        """The order of day and month where a column does not tell."""
        if self.date_order in ("MDY", "DMY"):
            return self.date_order
        return "MDY" if self.region in MONTH_FIRST else "DMY"


class TooMuch(Mendable):
    """A file holds more than may be read of it."""


class Room:
    """How much may still be read of a file."""

    def __init__(self, file: str, options: Options, times: int = 1) -> None:
        """`times` as many cells as the options say, where each costs less."""
        self._file = file
        self._cells = options.most_cells * times
        self._text = options.most_text
        self._longest = options.longest_text

    def take(self, values: Iterable[Cell], cells: int, where: str) -> None:
        """Count a row of so many cells; raises TooMuch with its place when that is too much."""
        self._cells -= cells
        for value in values:
            if isinstance(value, str):
                self._text -= len(value)
                if len(value) > self._longest:
                    self._text = -1
        if self._cells < 0 or self._text < 0:
            what = "cells" if self._cells < 0 else "text"
            raise TooMuch(
                f"{self._file} holds more {what} than can be read at once ({where}); split it "
                "into several files."
            )


class Step:
    """Calls a progress now and then, and stops when it says so."""

    def __init__(self, progress: Progress | None, total: int, every: int = 500) -> None:
        """`total` is the number of steps in all; the progress hears of every `every`-th."""
        self._progress = progress
        self._total = max(total, 1)
        self._every = every
        self._done = 0

    def on(self, steps: int = 1) -> None:
        """Count steps; raises ReadingStopped when the person wants no more."""
        before = self._done
        self._done += steps
        if self._progress is None or before // self._every == self._done // self._every:
            return
        self.say()

    def say(self) -> None:
        """Tell where the work stands now."""
        if self._progress is not None and not self._progress(
            min(self._done, self._total), self._total
        ):
            raise ReadingStopped("Stopped; nothing was brought in and nothing was changed.")

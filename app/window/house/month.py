"""What the month in the contents shows of the book: days closed, left open, and booked."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from datetime import date

from app.window.house.leaf import Leaf
from app.window.house.office import Office

MonthMarks = Callable[[date], tuple[Collection[date], Collection[date]]]
MonthLoad = Callable[[date], Mapping[date, float]]


@dataclass(frozen=True)
class Month:
    """`marks(first of a month)` gives its closed days and those left open, `load` how much of each
    day to come is booked, which is read in the background."""

    office: Office
    marks: MonthMarks | None
    load: MonthLoad | None

    def show(self, leaf: Leaf) -> None:
        """Read the shown month anew."""
        month, marks, load = leaf.month, self.marks, self.load
        if marks is not None:
            found = self.office.read(lambda: marks(month))
            if found is not None:
                leaf.set_month_marks(*found)
        if load is None:
            return

        def show(booked: Mapping[date, float]) -> None:
            if leaf.month == month:
                leaf.set_load(booked)

        self.office.runner.run(
            "the load of the month", lambda _task: load(month), done=show, owner=leaf, later=True,
            quiet=True,
        )  # fmt: skip

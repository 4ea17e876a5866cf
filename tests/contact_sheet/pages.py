"""Every page of the window: each place, card and form, each entry opened, and what is found."""

from __future__ import annotations

import time
from collections.abc import Iterator, Sequence

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.window.figures.figures_place import FiguresPlace
from app.window.figures.pages import PAGES
from app.window.house.shell import Shell
from app.window.paper.strip import Strip
from app.window.places import asides, places
from tests.pictures import settle

HARD_TO_SEE = frozenset({"lost"})  # only shown when the book is gone


def pages(shell: Shell, only: Sequence[str] = ()) -> Iterator[str]:
    """Open each page in turn, Figures at each of its pages; yields its name while it stands.

    `only`: parts of names; none means all.
    """
    for key, item in doors(shell):
        if only and not any(key.startswith(one.split(":")[0]) for one in only):
            continue
        shell.open_item(key, item)
        if item is None and key in {entry.key for entry in places()}:
            for _ in range(3):  # an earlier sheet ended on a card or in a form, which waits there
                if shell.here is None or not shell.here.back():
                    break
        settle(shell, 0.05)
        strip = shell.here.body if shell.here is not None else None
        name = key if item is None else f"{key} {_short(item)}"
        if isinstance(shell.here, FiguresPlace):
            for figure in (page[0] for page in PAGES):
                shell.here.turn(figure)
                _wait_for_drawings(shell.here)
                yield f"{name} {figure}"
            continue
        if not isinstance(strip, Strip):
            if _wanted(name, only):
                yield name
            continue
        for entry in strip.entries:
            if _wanted(f"{name}: {entry.key}", only):
                strip.open(entry.key, still=True)
                settle(shell, 0.05)
                yield f"{name}: {entry.key}"
    if _wanted("found", only):
        shell.open("jobs")
        shell.find_anything()
        QTest.keyClicks(shell.finder.field, "wash")
        settle(shell)
        yield "found"
        QTest.keyClick(shell.finder.field, Qt.Key.Key_Escape)


def _wait_for_drawings(place: FiguresPlace) -> None:
    """A figure draws itself in the background, and nothing says that it is busy."""
    begun = time.monotonic()
    while any(view.draws for view in place.views) and time.monotonic() - begun < 60:
        QApplication.processEvents()
        time.sleep(0.01)


def _short(item: object) -> str:
    return "new" if isinstance(item, tuple) else "card"


def _wanted(name: str, only: Sequence[str]) -> bool:
    return not only or any(one in name for one in only)


def doors(shell: Shell) -> list[tuple[str, object]]:
    """Places and pages, then the cards of the first of each kind that the book holds."""
    from app.actions.jobs.jobs import list_jobs
    from app.actions.people.customers import list_customers
    from app.actions.shelf.shelf import shelf

    desk = shell.office.desk
    found: list[tuple[str, object]] = [
        (entry.key, None)
        for entry in (*places(), *asides())
        if entry.key not in HARD_TO_SEE and entry.key not in ("person", "statement")
    ]
    people, _count = list_customers(desk)
    for which in ("work", "done"):
        found += [("jobs", one.job_id) for one in list_jobs(desk, which).rows[:1]]
    found.append(("jobs", ("new", people[0].id if people else None)))
    if people:
        found += [("customers", people[0].id), ("person", people[0].id)]
        found += [("statement", people[0].id)]
    found.append(("jobs", ("part", "owed")))
    rows = [row for group in shelf(desk, shell.office.day).groups for row in group.rows]
    found += [("shelf", row.supply_id) for row in rows[:1]]
    return found

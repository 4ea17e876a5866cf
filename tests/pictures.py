"""Draws the pictures in docs/: every place of the demo shop, light and dark, and each page aside
in light, at 1366 by 768.

    python -m tests.pictures docs/pictures             (also the pages of the guide)
    python -m tests.pictures docs/pictures PLACE…
    python -m tests.pictures docs/pictures layers      (Renewals with 0, 12 and 2,000 layers)

The demo's day is fixed, so that the same version draws the same pictures.
"""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PIL import Image
from PySide6.QtCore import QSettings, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit

from app.actions.day.day import month_load, month_marks
from app.actions.desk.desk import Desk
from app.actions.jobs.invoices import issue, who_pays
from app.actions.jobs.jobs import list_jobs
from app.actions.jobs.services import list_services
from app.actions.people.customers import list_customers
from app.actions.shop.backups import back_up
from app.demo.story import build_demo
from app.records.book import Book
from app.window.found import BookFinder
from app.window.house.office import Office
from app.window.house.runner import Runner
from app.window.house.shell import Shell
from app.window.jobs.place import JobsPlace
from app.window.paper.theme import Theme
from app.window.places import asides, places
from tests.worn_layers import fill_with_layers

DAY = date(2026, 8, 13)  # a Thursday in summer
EVENING = datetime(2026, 8, 13, 22, 54, tzinfo=UTC)
LOOKS = ("light", "dark")
# The pages aside that are told of in the guide, but for what is only seen when the book is gone.
ASIDES = tuple(entry.key for entry in asides() if entry.key not in ("lost", "guide"))
WIDTH, HEIGHT = 1366, 768


def draw(folder: Path, only: list[str] | None = None) -> list[Path]:
    """Build the demo, open each place in each look, and keep what is seen."""
    drawn = []
    with tempfile.TemporaryDirectory() as made:
        path = Path(made) / "demo.bayledger"
        build_demo(path, today=DAY)
        with Book.open(path) as book, shown(book) as shell:
            keep_evenings(shell.office.desk)
            shell.leaf.month_shown.emit(shell.leaf.month)
            shell.ask_statuses()
            for look in LOOKS:
                shell.theme.set_look(look)
                for entry in places():
                    if only and entry.key not in only:
                        continue
                    shell.open(entry.key)
                    settle(shell)
                    if entry.key == "day":  # the station that the day turns on
                        QTest.keyClick(shell, Qt.Key.Key_2, Qt.KeyboardModifier.AltModifier)
                    drawn.append(keep(shell, folder / f"{entry.key}-{look}.png"))
                    if entry.key == "jobs":
                        drawn += keep_plan(shell, folder, look)
            shell.theme.set_look("light")
            for key in ASIDES:
                if not only or key in only:
                    shell.open_item(key, shown_on(shell.office.desk, key))
                    settle(shell)
                    if key == "person" and shell.here is not None:
                        # Not where the book of the picture happened to lie.
                        shell.here.findChild(QLineEdit).setText(
                            "Documents/Bayledger/what is kept.xlsx"
                        )
                    drawn.append(keep(shell, folder / picture_of(key)))
    return drawn


def keep_plan(shell: Shell, folder: Path, look: str) -> list[Path]:
    """The plan with a job that is moved and not kept, and in light how a new one finds its day."""
    press = QTest.keyClick
    press(shell, Qt.Key.Key_2, Qt.KeyboardModifier.AltModifier)
    settle(shell)
    jobs = shell.here
    assert isinstance(jobs, JobsPlace)
    plan = jobs.listing.plan
    rows = [row for row in plan.chart.rows if getattr(row, "bay", None) == 0 and not row.begun]
    # One whose promise is likely, and is less so a day later.
    plan.go(max(rows, key=lambda row: 0.8 < (row.chance or 0) < 0.99).job_id)
    press(plan.chart, Qt.Key.Key_Right, Qt.KeyboardModifier.ShiftModifier)
    settle(shell)
    drawn = [keep(shell, folder / f"plan-{look}.png")]
    jobs.back()
    if look == "light":
        jobs.begin_booking(list_customers(shell.office.desk)[0][0].id)
        lines = list_services(shell.office.desk, stopped=False)
        for service in sorted(lines, key=lambda one: -one.minutes)[:1]:
            jobs.new._sell(service.service_id, 1)
        jobs.new.open("when", still=True)
        settle(shell)
        drawn.append(keep(shell, folder / "booking-light.png"))
        jobs._show_list()
    jobs.listing.open("work", still=True)
    return drawn


def shown_on(desk: Desk, key: str) -> int | None:
    """Whom a page aside is opened for: the first customer; of a statement who owes for most jobs,
    once these stand on an invoice."""
    if key == "person":
        return list_customers(desk)[0][0].id
    if key != "statement":
        return None
    owed: dict[str, list[int]] = {}
    for row in list_jobs(desk, "owed").rows:
        owed.setdefault(row.customer, []).append(row.job_id)
    jobs = max(owed.values(), key=len)
    for job in jobs[1:]:
        issue(desk, job)
    issue(desk, jobs[0])
    return who_pays(desk, jobs[0])


def keep_evenings(desk: Desk, count: int = 5) -> None:
    """Backups of the last evenings, as closing makes them: else there would be none to show."""
    made = back_up(desk).path
    assert made is not None
    for days in range(1, count + 1):
        day = DAY - timedelta(days=days)
        if day.weekday() < 5:
            evening = f"{desk.book.path.stem} {day} 18{7 * days:02d}00{made.suffix}"
            shutil.copy(made, made.with_name(evening))
    made.unlink()


BESIDE = ("plan-light.png", "booking-light.png")  # of a place that has more than one picture


def picture_of(key: str) -> str:
    """The picture of a place or page in light, as the guide names it."""
    return f"{key.replace(' ', '-')}-light.png"


def draw_filled(
    folder: Path, place: str, counts: Sequence[int], fill: Callable[[Book, int, date], object]
) -> list[Path]:
    """One place over new books that hold so much, in each look."""
    drawn = []
    for count in counts:
        with (
            tempfile.TemporaryDirectory() as made,
            Book.create(Path(made) / "filled.bayledger") as book,
        ):
            fill(book, count, DAY)
            with shown(book) as shell:
                shell.open(place)
                for look in LOOKS:
                    shell.theme.set_look(look)
                    drawn.append(keep(shell, folder / f"{place}-{count}-{look}.png"))
    return drawn


@contextmanager
def shown(book: Book) -> Iterator[Shell]:
    """A window over a book on the fixed evening, with settings of its own."""
    found = QApplication.instance()
    application = found if isinstance(found, QApplication) else QApplication([])
    with tempfile.TemporaryDirectory() as made:
        theme = Theme(QSettings(str(Path(made) / "window.ini"), QSettings.Format.IniFormat))
        theme.set_less_motion(True)
        theme.dress(application)
        desk = Desk(book, clock=lambda: EVENING)
        office = Office(desk, theme, Runner())
        finder = BookFinder(office)
        shell = Shell(
            office,
            places(),
            find=finder.find,
            month_marks=lambda first: month_marks(desk, first),
            month_load=lambda first: month_load(desk, first),
            asides=asides(),
        )
        finder.setParent(shell)
        shell.resize(WIDTH, HEIGHT)
        shell.show()
        yield shell
        shell.close()
        office.runner.close()


def keep(shell: Shell, path: Path) -> Path:
    """Keep what is seen, once nothing more comes."""
    path.parent.mkdir(parents=True, exist_ok=True)
    settle(shell)
    shell.grab().save(str(path))
    make_small(path)
    return path


def make_small(path: Path) -> None:
    """A page has few colours: as many as it needs make a third of the file."""
    with Image.open(path) as picture:
        few = picture.convert("RGB").quantize(256, dither=Image.Dither.NONE)
    few.save(path, optimize=True)


def settle(shell: Shell, quiet: float = 0.4) -> None:
    """Let work in the background end and its results be painted."""
    last = begun = time.monotonic()
    while time.monotonic() - last < quiet and time.monotonic() - begun < 60:
        QApplication.processEvents()
        if shell.office.runner.busy:
            last = time.monotonic()
        time.sleep(0.01)


if __name__ == "__main__":
    if len(sys.argv) < 2:
        sys.exit("usage: python -m tests.pictures FOLDER [PLACE…]")
    into = Path(sys.argv[1])
    if sys.argv[2:] == ["layers"]:
        found_pictures = draw_filled(into, "renewals", (0, 12, 2000), fill_with_layers)
    else:
        found_pictures = draw(into, sys.argv[2:] or None)
    for picture in found_pictures:
        print(picture)

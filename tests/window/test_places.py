"""Every place and page as a whole: what holds for the inputs of all their forms."""

from __future__ import annotations

import shutil
import subprocess
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QAbstractSpinBox,
    QApplication,
    QCheckBox,
    QComboBox,
    QLineEdit,
    QPlainTextEdit,
    QWidget,
)
from pytestqt.qtbot import QtBot

from app.records.book import Book
from app.records.models import DaySheet
from app.window.house.office import Office
from app.window.house.shell import Shell
from app.window.paper.entrytable import EntryTable
from app.window.paper.fields import Form
from app.window.paper.strip import Strip
from app.window.places import asides, places
from tests import ROOT
from tests.shop import SmallShop
from tests.window.conftest import NOW, let_go
from tests.window.keys import press

TYPED = "abcdefghijklmnopqrstuvwxyz0123456789 /.,-"
INPUTS = (QLineEdit, QPlainTextEdit, QComboBox, QCheckBox, QAbstractSpinBox)
Key = Qt.Key
CONTROL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def shell(office: Office, shop: SmallShop, shown: Callable[[QWidget, int, int], QWidget]) -> Shell:
    made = Shell(office, places(), asides=asides())
    shown(made, 1366, 768)
    return made


def settle(shell: Shell, qtbot: QtBot) -> None:
    """Until nothing is read in the background any more."""
    qtbot.waitUntil(lambda: not shell.office.runner.busy)
    QApplication.processEvents()


def pages(shell: Shell, shop: SmallShop, qtbot: QtBot) -> Iterator[str]:
    """Every place, page and card, with each of its entries opened once."""
    doors: list[tuple[str, object]] = [
        *((entry.key, None) for entry in (*places(), *asides())),
        ("jobs", shop.jobs["0411"]),
        ("jobs", ("new", shop.customers["tolk"])),
        ("customers", shop.customers["tolk"]),
        ("shelf", shop.supplies["coating"]),
        ("shelf", shop.supplies["cloths"]),
    ]
    for key, item in doors:
        shell.open_item(key, item)
        settle(shell, qtbot)
        strip = shell.here.body if shell.here is not None else None
        if not isinstance(strip, Strip):
            yield key
            continue
        for entry in strip.entries:
            strip.open(entry.key, still=True)
            settle(shell, qtbot)
            yield f"{key}: {entry.key}"


def inputs(shell: Shell) -> list[QWidget]:
    """The inputs that can be seen and written in."""
    place = shell.here
    assert place is not None
    found = [one for kind in INPUTS for one in place.findChildren(kind)]
    return [
        one
        for one in found
        if one.isVisible() and one.isEnabled() and not isinstance(one.parent(), QComboBox)
    ]


def watch(shell: Shell, fired: list[str]) -> None:
    """Note every shortcut of the window that needs no Ctrl, Alt or function key."""
    for shortcut in shell.findChildren(QShortcut):
        keys = shortcut.key().toString()
        typed = shortcut.key()[0].keyboardModifiers() == Qt.KeyboardModifier.NoModifier
        wanted = (typed and not keys.startswith("F")) or len(keys) == 1
        if wanted and not shortcut.property("watched"):
            shortcut.setProperty("watched", True)
            shortcut.activated.connect(lambda keys=keys: fired.append(keys))


def test_no_shortcut_acts_on_what_is_typed_into_any_input_of_any_form(
    shell: Shell, shop: SmallShop, qtbot: QtBot
) -> None:
    fired: list[str] = []
    seen: Counter[str] = Counter()
    for page in pages(shell, shop, qtbot):
        watch(shell, fired)
        for one in inputs(shell):
            seen[type(one).__name__] += 1
            for letter in TYPED:
                one.setFocus()
                if not one.hasFocus():
                    break  # it went with what was typed before
                QTest.keyClicks(one, letter)
                assert not fired, f"{fired} on {page}, {one.accessibleName()}, at {letter!r}"
            settle(shell, qtbot)
        shell.office.say_trouble("")
    assert seen["LineField"] > 40
    assert seen["Choice"] > 8
    assert seen["Tick"] > 2


def test_every_form_saves_what_is_typed_when_the_place_is_left_or_says_that_it_did_not(
    shell: Shell, shop: SmallShop, qtbot: QtBot
) -> None:
    office, left = shell.office, Counter[str]()
    for page in pages(shell, shop, qtbot):
        here = shell.here_key
        assert shell.here is not None
        for form in [one for one in shell.here.findChildren(Form) if one.isVisible()]:
            lines = [field for _label, field in form.lines()]
            if not lines:
                continue
            office.say("")
            before = office.next_undo()
            lines[0].setFocus()
            lines[0].selectAll()
            QTest.keyClicks(lines[0], "7 Dec")
            press(Key.Key_6 if here != "figures" else Key.Key_1, CONTROL)
            assert shell.here_key != here
            told = office.trouble or office.question
            assert told or office.next_undo() != before, page
            left[type(form).__name__] += 1
            shell.open(here)
            settle(shell, qtbot)
    assert {"SavedForm", "DoingForm", "PackForm", "WhenForm", "Form"} <= set(left)
    assert left["SavedForm"] > 10


def test_space_ticks_every_tick_box(shell: Shell, shop: SmallShop, qtbot: QtBot) -> None:
    ticked: set[str] = set()
    for _page in pages(shell, shop, qtbot):
        for one in inputs(shell):
            if isinstance(one, QCheckBox):
                one.setFocus()
                before = one.isChecked()
                press(Key.Key_Space)
                assert one.isChecked() is not before, one.text()
                ticked.add(one.text())
                settle(shell, qtbot)
    assert {"only an enquiry yet", "each year"} <= ticked


def test_no_shortcut_acts_while_a_drop_down_shows_its_words(
    shell: Shell, shop: SmallShop, qtbot: QtBot
) -> None:
    fired: list[str] = []
    opened = 0
    for page in pages(shell, shop, qtbot):
        watch(shell, fired)
        for one in inputs(shell):
            if isinstance(one, QComboBox):
                one.setFocus()
                one.showPopup()
                for letter in TYPED.replace(" ", ""):
                    QTest.keyClicks(one.view(), letter)
                one.hidePopup()
                opened += 1
                assert not fired, f"{fired} on {page}"
                settle(shell, qtbot)
    assert opened > 8


def test_no_shortcut_acts_while_a_cell_is_written_in(
    shell: Shell, shop: SmallShop, qtbot: QtBot
) -> None:
    fired: list[str] = []
    written = 0
    for page in pages(shell, shop, qtbot):
        watch(shell, fired)
        assert shell.here is not None
        for table in shell.here.findChildren(EntryTable):
            if not table.isVisible() or not table.rows:
                continue
            table.setFocus()
            at = table.currentIndex()
            if not table.entries.cell(at.row(), at.column()).editable:
                continue
            table.edit(at)
            assert table.writing is not None
            written += 1
            for letter in TYPED:
                QTest.keyClicks(table.writing, letter)
            assert not fired, f"{fired} on {page}"
            press(Key.Key_Escape)
            fired.clear()
    assert written > 8


def test_the_watch_itself_sees_a_letter_that_is_a_key_of_the_page(
    shell: Shell, shop: SmallShop, qtbot: QtBot
) -> None:
    """Else the tests above could not fail."""
    fired: list[str] = []
    shell.open("shelf")
    settle(shell, qtbot)
    watch(shell, fired)
    place = shell.here
    assert place is not None
    place.setFocus()
    QTest.keyClicks(place, "d")
    assert fired == [QKeySequence("D").toString()]


def test_at_another_size_the_window_is_built_anew_and_nothing_of_before_is_left(
    shell: Shell,
) -> None:
    counts = []
    for _ in range(2):
        for entry in (*places(), *asides()):
            shell.place(entry.key)
        let_go()
        let_go()  # and what went with that
        counts.append(len(QApplication.allWidgets()))
        shell.theme.step_scale(1)
    assert counts[0] == counts[1]


def in_a_new_window(code: str, folder: Path) -> str:
    """What the code prints in a process of its own (here the other tests imported everything),
    after the program's window was opened there over the book in the folder."""
    begun = f"""
import sys
from datetime import datetime
from pathlib import Path
from app.bootstrap import before_qt
before_qt()
from sqlalchemy import Engine, event
from PySide6.QtCore import QSettings
from PySide6.QtWidgets import QApplication
from app.actions.opening import open_desk
from app.window.opening import Opening, dressed
from app.window.places import import_places, places

application = QApplication([])
settings = QSettings({str(folder / "window.ini")!r}, QSettings.Format.IniFormat)
opening = Opening(
    settings,
    dressed(application, settings),
    open_book=lambda path: open_desk(path, clock=lambda: datetime.fromisoformat("{NOW}")),
)
asked = []
event.listen(Engine, "before_cursor_execute", lambda *given: asked.append(given[2].split()[0]))
opening.open(Path({str(folder / "shop.bayledger")!r}))
opening.window.grab()
"""
    done = subprocess.run(
        [sys.executable, "-c", f"{begun}{code}opening.close()\n"],
        cwd=ROOT, capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return done.stdout.strip()


def test_the_first_picture_waits_for_nothing_that_it_does_not_show(
    shop_book: tuple[Path, SmallShop], tmp_path: Path
) -> None:
    with Book.open(shutil.copy(shop_book[0], tmp_path)) as book, book.load() as session:
        session.add(DaySheet(day=date(2025, 8, 13), page=1, state="closed"))
    # Of what Qt does not need, nothing is imported after it (its binding reads each such text).
    code = """
late = ("numpy", "app.documents", "app.actions.day.closing", "app.actions.day.money_taken",
        "app.actions.orders", "app.actions.jobs", "app.actions.finding",
        "app.window.house.printing", "app.window.house.filechoice", "app.window.shop.more_page")
print(sorted(name for name in sys.modules if name.startswith(late)))
names = list(sys.modules)
after = names[names.index("PySide6"):]
print([name for name in after if name.startswith(("sqlalchemy", "app.records", "app.actions"))])
print(sum(name.startswith("app.") for name in names), asked.count("SELECT"))
"""
    late, after_qt, counted = in_a_new_window(code, tmp_path).splitlines()
    assert (late, after_qt) == ("[]", "[]")
    modules, questions = map(int, counted.split())
    assert modules <= 139  # of ours; some 300 more are SQLAlchemy's and Python's
    assert questions <= 24


def test_what_draws_figures_is_imported_when_nothing_is_done_and_not_before(tmp_path: Path) -> None:
    Book.create(tmp_path / "shop.bayledger").close()
    code = """
from app.window import first_picture
first_picture.RESTED = 300  # ms
runner = opening.window.office.runner
while runner.held or runner.busy:
    application.processEvents()
print("matplotlib" in sys.modules)
while "matplotlib.figure" not in sys.modules:
    application.processEvents()
while runner.busy:
    application.processEvents()
runner.close()
"""
    assert in_a_new_window(code, tmp_path) == "False"


def test_a_place_that_is_opened_first_imports_nothing_that_was_not_imported_before_it(
    tmp_path: Path,
) -> None:
    Book.create(tmp_path / "shop.bayledger").close()
    code = """
import_places(lambda: None)
before = set(sys.modules)
for entry in places():
    opening.window.open(entry.key)
new = set(sys.modules) - before
print(sorted(name for name in new if name.startswith(("app.window", "phone"))))
"""
    assert in_a_new_window(code, tmp_path) == "[]"

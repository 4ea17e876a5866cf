"""The page that lists all keys says what F1 says.

After a change of keys: `python -m tests.window.test_keys_page` writes it anew.
"""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.actions.desk.desk import Desk
from app.window.house.office import Office
from app.window.house.runner import Runner
from app.window.house.shell import Shell
from app.window.house.windowkeys import WINDOW_KEYS
from app.window.paper.notes import AllKeys, Keys
from app.window.paper.theme import Theme
from app.window.places import asides, places
from tests import ROOT
from tests.shop import SmallShop, empty_book
from tests.window.keys import press

PAGE = ROOT / "docs" / "keys.md"
HEAD = """# All keys

F1 shows those of the open page. Right click, or the menu key, opens a menu that does the same. In a
list a click on a head sorts by it, again turns it round, a third time puts the rows back; a head's
edge is dragged to make a column wider, a double click on it fits it.
"""
Groups = Sequence[tuple[str, Keys]]


def page_of(all_pages: Sequence[tuple[str, Groups]]) -> str:
    """The page, from the names of pages and their groups of keys."""
    lines = [HEAD]
    for name, groups in (("The window", WINDOW_KEYS), *all_pages):
        lines.append(f"## {name}\n")
        for title, keys in groups:
            if title != name:
                lines.append(f"{title}:\n")
            lines += ["| key | does |", "|---|---|", *(f"| {key} | {what} |" for key, what in keys)]
            lines.append("")
    return "\n".join(lines).rstrip() + "\n"


def keys_of(office: Office) -> list[tuple[str, Groups]]:
    """Each page with its groups of keys."""
    return [(entry.name, entry.build(office).keys) for entry in (*places(), *asides())]


def test_the_page_lists_every_key_of_every_page(office: Office, shop: SmallShop) -> None:
    assert PAGE.read_text(encoding="utf-8") == page_of(keys_of(office))


def test_f1_shows_the_same_keys_and_cuts_none_of_their_words(
    office: Office, shop: SmallShop, shown: Callable[[QWidget, int, int], QWidget], qtbot: QtBot
) -> None:
    shell = Shell(office, places(), asides=asides())
    shown(shell, 1366, 768)
    for entry in (*places(), *asides()):
        shell.open(entry.key)
        qtbot.waitUntil(lambda: not office.runner.busy)
        place = shell.here
        assert place is not None
        press(Qt.Key.Key_F1)
        assert place.margin.shows_all_keys
        views = [one for one in place.margin._views if isinstance(one.block, AllKeys)]
        assert [one.block.keys for one in views] == [  # type: ignore[union-attr]
            keys for _title, keys in (*place.keys, *WINDOW_KEYS)
        ]
        for view in views:
            view.grab()
            assert view._cut == [], entry.key
        press(Qt.Key.Key_F1)


def main() -> None:
    """Write the page."""
    application = QApplication([])
    with tempfile.TemporaryDirectory() as folder, empty_book(Path(folder) / "x.bayledger") as book:
        office = Office(Desk(book), Theme(), Runner(held=True))
        PAGE.write_text(page_of(keys_of(office)), encoding="utf-8")
        office.runner.close()
    application.quit()


if __name__ == "__main__":
    main()

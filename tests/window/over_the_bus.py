"""Walks the window as a screen reader does: over the AT-SPI bus of a Linux desktop.

    xvfb-run -a dbus-run-session -- /usr/bin/python3 -m tests.window.over_the_bus .venv/bin/python

Needs at-spi2-core, gir1.2-atspi-2.0, xvfb and the system's own Python with gi. That reads; the
window runs with the given Python in a process of its own, goes through the demo's pages, and waits
on each until it was read. `accessible_tree` counts the same without a bus. Prints what takes a key
or a press and has no name, then the counts; ends with 1 where there was such a thing.
"""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Iterator
from typing import Any

PRESSED = frozenset(
    {"push button", "check box", "radio button", "combo box", "entry", "text", "list item", "link",
     "page tab", "spin button", "slider", "menu item", "password text", "button"}
)  # fmt: skip
SAYS_NOTHING = frozenset({"filler", "unknown", "invalid", "redundant object"})


def show() -> None:
    """The window's side: each page in turn, until a line comes for it."""
    import select
    import tempfile
    from pathlib import Path

    from PySide6.QtWidgets import QApplication

    from app.demo.story import build_demo
    from app.records.book import Book
    from app.window.paper.accessible import tell_of_drawings
    from tests.contact_sheet.pages import pages
    from tests.pictures import DAY, shown

    tell_of_drawings()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "demo.bayledger"
        build_demo(path, today=DAY)
        with Book.open(path) as book, shown(book) as shell:
            for page in pages(shell):
                shell.grab()  # what can be clicked in a drawing is known once it is drawn
                print(page, flush=True)
                while not select.select([sys.stdin], [], [], 0)[0]:
                    QApplication.processEvents()  # the answers to the reader are among them
                    time.sleep(0.001)
                sys.stdin.readline()


def read(python: str) -> int:
    """The reader's side: 1 where something that is pressed has no name."""
    import gi  # type: ignore[import-not-found]

    gi.require_version("Atspi", "2.0")
    from gi.repository import Atspi  # type: ignore[import-not-found]

    Atspi.init()
    asked = {**os.environ, "QT_QPA_PLATFORM": "xcb", "QT_LINUX_ACCESSIBILITY_ALWAYS_ON": "1"}
    window = subprocess.Popen(
        [python, "-m", "tests.window.over_the_bus"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        env=asked,
    )
    assert window.stdin is not None
    assert window.stdout is not None
    counts: Counter[str] = Counter()
    roles: Counter[str] = Counter()
    for page in iter(window.stdout.readline, ""):
        counts["pages"] += 1
        for path, role, name, states in walk(Atspi, application(Atspi, window.pid)):
            counts["things"] += 1
            counts["named"] += bool(name)
            if not takes_a_press(role, states):
                continue
            counts["interactive"] += 1
            roles[role] += 1
            if not name or role in SAYS_NOTHING:
                counts["flaws"] += 1
                print(page.strip(), role, name or "no name", path, flush=True)
        window.stdin.write("\n")
        window.stdin.flush()
    print(dict(counts), dict(roles.most_common()))
    return 1 if window.wait() or counts["flaws"] or not counts["interactive"] else 0


def takes_a_press(role: str, states: frozenset[str]) -> bool:
    """Whether a key or a press does something there; any cell can be gone to, so that is not it."""
    if role == "table cell":
        return bool(states & {"editable", "focused"})
    if role == "text":
        return "editable" in states
    return role in PRESSED or "focusable" in states


def application(atspi: Any, process: int) -> Any:
    """The window's place on the bus; it takes a moment until it stands there."""
    until = time.monotonic() + 30
    while time.monotonic() < until:
        desktop = atspi.get_desktop(0)
        for at in range(desktop.get_child_count()):
            one = desktop.get_child_at_index(at)
            if one is not None and one.get_process_id() == process:
                return one
        time.sleep(0.2)
    raise SystemExit("The window did not come onto the bus.")


def walk(atspi: Any, face: Any, path: str = "") -> Iterator[tuple[str, str, str, frozenset[str]]]:
    """(path, role, name, states) of all that can be seen."""
    if face is None:
        return
    role, name = face.get_role_name(), (face.get_name() or "").strip()
    states = frozenset(one.value_nick for one in face.get_state_set().get_states())
    if path.count("/") > 1 and "showing" not in states:
        return
    yield path, role, name, states
    if role == "combo box":
        return  # its list is shown only while it is open
    # A table of thousands of rows would take minutes: those that are seen come first.
    for at in range(min(face.get_child_count(), 600)):
        yield from walk(atspi, face.get_child_at_index(at), f"{path}/{role}")


if __name__ == "__main__":
    sys.exit(read(sys.argv[1]) if len(sys.argv) > 1 else show())

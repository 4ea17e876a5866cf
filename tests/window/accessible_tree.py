"""Walks what a screen reader is given of the window; counts it over every page of the demo.

python -m tests.window.accessible_tree
"""

from __future__ import annotations

import os
import tempfile
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PySide6.QtGui import QAccessible, QAccessibleInterface
from PySide6.QtWidgets import QWidget

Role = QAccessible.Role
# What takes a key or a press, by its role.
PRESSED = frozenset(
    {
        *(Role.Button, Role.CheckBox, Role.RadioButton, Role.ComboBox, Role.EditableText),
        *(Role.ListItem, Role.Link, Role.PageTab, Role.SpinBox, Role.Slider, Role.MenuItem),
    }
)
NAMELESS = frozenset({Role.NoRole, Role.Client})  # roles that say nothing


@dataclass(frozen=True)
class Told:
    """One thing of the tree as a screen reader is told of it."""

    role: QAccessible.Role
    name: str
    more: str
    interactive: bool
    path: str

    @property
    def flaw(self) -> str:
        """What is wrong with it, or nothing."""
        if not self.interactive:
            return ""
        if not self.name.strip():
            return f"no name: {self.path}"
        return f"no role: {self.path}, {self.name}" if self.role in NAMELESS else ""


def told(widget: QWidget) -> Iterator[Told]:
    """All that stands in a widget and can be seen."""
    face = QAccessible.queryAccessibleInterface(widget)
    if face is not None:
        yield from _walk(face, "")


def _walk(face: QAccessibleInterface, path: str) -> Iterator[Told]:
    state = face.state()
    if not face.isValid() or state.invisible:
        return
    role = face.role()
    what = face.object()
    here = f"{path}/{type(what).__name__ if what is not None else role.name}"
    cell = role == Role.Cell and bool(state.editable or state.focused)
    drop = isinstance(what, QWidget) and what.metaObject().className().startswith("QComboBoxPriv")
    interactive = (role in PRESSED or cell or _takes_focus(what)) and not drop
    yield Told(
        role,
        face.text(QAccessible.Text.Name),
        face.text(QAccessible.Text.Description),
        interactive,
        here,
    )
    if role == Role.ComboBox:
        return  # its list is Qt's own, and shown only while it is open
    for at in range(face.childCount()):
        child = face.child(at)
        if child is not None:
            yield from _walk(child, here)


def _takes_focus(what: object) -> bool:
    """Whether Tab stops at a widget (not what only holds others, or hands the focus on)."""
    from PySide6.QtCore import Qt

    return (
        isinstance(what, QWidget)
        and bool(what.focusPolicy() & Qt.FocusPolicy.TabFocus)
        and what.focusProxy() is None
    )


def main() -> None:
    """Count over the demo's pages."""
    from app.demo.story import build_demo
    from app.records.book import Book
    from tests.contact_sheet.pages import pages
    from tests.pictures import DAY, shown

    try:
        from app.window.paper.accessible import tell_of_drawings
    except ImportError:  # counted before there was any
        pass
    else:
        tell_of_drawings()
    counts: Counter[str] = Counter()
    roles: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "demo.bayledger"
        build_demo(path, today=DAY)
        with Book.open(path) as book, shown(book) as shell:
            for page in pages(shell):
                counts["pages"] += 1
                shell.grab()  # what can be clicked in a drawing is known once it is drawn
                for one in told(shell):
                    counts["things"] += 1
                    counts["named"] += bool(one.name.strip())
                    counts["interactive"] += one.interactive
                    if one.interactive:
                        roles[one.role.name] += 1
                    if one.flaw:
                        counts["flaws"] += 1
                        print(page, one.flaw, flush=True)
    print(dict(counts), dict(roles))


if __name__ == "__main__":
    main()

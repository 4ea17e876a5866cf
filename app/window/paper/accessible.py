"""What a screen reader is told of drawings: their parts, each with a name, a role and what it does.

Qt tells of its own widgets; what is drawn is one widget of many parts, which is told of here. Qt
asks for a face only when something reads the screen, so nothing of this costs anything else.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Protocol, runtime_checkable

from PySide6.QtCore import QObject, QPoint, QRect, QRectF, QTimer
from PySide6.QtGui import (
    QAccessible,
    QAccessibleAnnouncementEvent,
    QAccessibleEvent,
    QAccessibleInterface,
)
from PySide6.QtWidgets import QAccessibleWidget, QWidget
from shiboken6 import isValid

Role = QAccessible.Role
_TEXT = QAccessible.Text


@dataclass(frozen=True)
class Part:
    """A part of a drawing: what it is called, where it stands, and what a press on it does.

    `states` name those of `QAccessible.State` that hold; `more` is said after the name if asked.
    """

    name: str
    box: QRectF
    do: Callable[[], object] | None = None
    role: QAccessible.Role = Role.StaticText
    states: frozenset[str] = frozenset()
    more: str = ""


class Told:
    """What a widget is besides whose drawing has parts. `told_as` is the role of the whole."""

    told_as = Role.Grouping

    def told_parts(self) -> tuple[Part, ...]:
        """The parts that can be read or pressed now, in the order of reading."""
        return ()

    def heading_of(self, inside: QWidget) -> str:
        """The title that stands over a widget in this one, or nothing."""
        return ""


_NOWHERE = Part("", QRectF())


class _PartFace(QAccessibleWidget):
    """One part, found anew by its place among the parts each time that it is asked."""

    def __init__(self, whole: _Face, at: int) -> None:
        super().__init__(whole.told, Role.StaticText, "")
        self._whole, self.at = whole, at
        self.number = QAccessible.registerAccessibleInterface(self)

    def _part(self) -> Part:
        parts = self._whole.told_parts()
        return parts[self.at] if self.at < len(parts) else _NOWHERE

    def isValid(self) -> bool:
        return self.at < len(self._whole.told_parts())

    def object(self) -> QObject | None:  # type: ignore[override]
        return None

    def parent(self) -> QAccessibleInterface:
        return self._whole

    def window(self) -> Any:
        return self._whole.window()

    def childCount(self) -> int:
        return 0

    def child(self, index: int) -> QAccessibleInterface | None:  # type: ignore[override]
        return None

    def childAt(self, x: int, y: int) -> QAccessibleInterface | None:  # type: ignore[override]
        return None

    def indexOfChild(self, child: QAccessibleInterface) -> int:
        return -1

    def focusChild(self) -> QAccessibleInterface | None:  # type: ignore[override]
        return None

    def relations(self, match: Any = None) -> list[Any]:
        return []

    def role(self) -> QAccessible.Role:
        return self._part().role

    def text(self, kind: QAccessible.Text) -> str:
        part = self._part()
        return {_TEXT.Name: part.name, _TEXT.Description: part.more}.get(kind, "")

    def rect(self) -> QRect:
        box = self._part().box.toRect()
        return QRect(self._whole.told.mapToGlobal(box.topLeft()), box.size())

    def state(self) -> QAccessible.State:
        found, part = QAccessible.State(), self._part()
        for word in part.states:
            setattr(found, word, True)
        if part.do is not None:
            found.focusable = True
        found.invisible = not self._whole.told.isVisible()
        return found

    def actionNames(self) -> list[str]:
        return [self.pressAction()] if self._part().do is not None else []

    def doAction(self, action: str) -> None:
        do = self._part().do
        if do is not None and action == self.pressAction():
            # What reads the screen waits for the answer; what is done may ask it something itself.
            QTimer.singleShot(0, self._whole.told, do)


class _Face(QAccessibleWidget):
    """A drawing: its parts first, then the widgets that stand in it."""

    def __init__(self, told: Told) -> None:
        assert isinstance(told, QWidget)
        super().__init__(told, told.told_as, "")
        self.told: Any = told  # both: the widget, and what is told of it
        self._as = told.told_as
        self._faces: list[_PartFace] = []

    def told_parts(self) -> tuple[Part, ...]:
        """The drawing's parts now; none of one that is not shown."""
        seen = isValid(self.told) and self.told.isVisible()
        return tuple(self.told.told_parts()) if seen else ()

    def faces(self) -> list[_PartFace]:
        """A face for each part; they are kept and used again."""
        count = len(self.told_parts())
        while len(self._faces) < count:
            self._faces.append(_PartFace(self, len(self._faces)))
        return self._faces[:count]

    def role(self) -> QAccessible.Role:
        return self._as

    def childCount(self) -> int:
        return len(self.told_parts()) + super().childCount()

    def child(self, index: int) -> QAccessibleInterface | None:  # type: ignore[override]
        faces = self.faces()
        if 0 <= index < len(faces):
            return faces[index]
        return super().child(index - len(faces))

    def indexOfChild(self, child: QAccessibleInterface) -> int:
        if isinstance(child, _PartFace):
            return child.at
        at = super().indexOfChild(child)
        return at if at < 0 else at + len(self.told_parts())

    def childAt(self, x: int, y: int) -> QAccessibleInterface | None:  # type: ignore[override]
        here = self.told.mapFromGlobal(QPoint(x, y))
        for face, part in zip(self.faces(), self.told_parts(), strict=True):
            if part.box.contains(here):
                return face
        return super().childAt(x, y)

    def focusChild(self) -> QAccessibleInterface | None:  # type: ignore[override]
        if self.told.hasFocus():
            for face, part in zip(self.faces(), self.told_parts(), strict=True):
                if "focused" in part.states:
                    return face
        return super().focusChild()

    def forget(self) -> None:
        """The widget is gone: let Qt drop the faces of its parts."""
        for face in self._faces:
            QAccessible.deleteAccessibleInterface(face.number)
        self._faces.clear()


_kept: list[_Face] = []
_installed: list[Callable[[str, QObject], QAccessibleInterface | None]] = []


def _face_of(_kind: str, what: QObject) -> QAccessibleInterface | None:
    """Qt deletes a face with its widget; until then it must be held here."""
    if not isinstance(what, Told):
        return None
    for face in [one for one in _kept if not isValid(one)]:
        _kept.remove(face)
        face.forget()
    made = _Face(what)
    _kept.append(made)
    return made


def tell_of_drawings() -> None:
    """Let Qt ask here for the faces of drawings; once per process."""
    if not _installed:
        _installed.append(_face_of)
        QAccessible.installFactory(_face_of)


def say_aloud(widget: QWidget, words: str, *, at_once: bool = False) -> None:
    """Have a screen reader, where one is at work, say something; `at_once` before all else."""
    if words and QAccessible.isActive():
        event = QAccessibleAnnouncementEvent(widget, words)
        kinds = QAccessible.AnnouncementPoliteness
        event.setPoliteness(kinds.Assertive if at_once else kinds.Polite)
        QAccessible.updateAccessibility(event)


def say_focus(widget: QWidget, part: int) -> None:
    """Say that a part of a drawing has the focus now."""
    if QAccessible.isActive():
        event = QAccessibleEvent(widget, QAccessible.Event.Focus)
        event.setChild(part)
        QAccessible.updateAccessibility(event)


@runtime_checkable
class Headed(Protocol):
    """What is called by the title that stands over it."""

    def call_by_heading(self) -> None:
        """Take that title for a name."""


def heading_over(widget: QWidget) -> str:
    """What stands over a widget: the title of its entry, or of its page."""
    over = widget.parentWidget()
    while over is not None:
        heading = over.heading_of(widget) if isinstance(over, Told) else ""
        if heading:
            return heading
        over = over.parentWidget()
    return ""

"""The keys of the window: for F1, for the menu of a page, and for the documents."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtGui import QKeySequence

from app.window.paper.notes import Keys

LIST_KEYS: Keys = (
    ("Ctrl F", "narrow the list"),
    ("Ctrl C", "copy the row, or the chosen ones"),
    ("⇧ ↑ ↓", "choose several rows"),
    ("Ctrl A", "choose all rows"),
    ("Ctrl R", "sort by the next column"),
    ("Ctrl ⇧ R", "the other way round"),
)
WINDOW_KEYS: tuple[tuple[str, Keys], ...] = (
    (
        "Everywhere",
        (
            ("Ctrl 1–6", "the six places"),
            ("Ctrl 7", "more: settings, suppliers"),
            ("Ctrl ↵", "this page’s action"),
            ("Esc", "back"),
            ("Alt ←", "back, also to the place before"),
            ("Ctrl K", "find anything"),
            ("Ctrl Z", "undo"),
            ("Ctrl ⇧ Z", "do again"),
            ("Ctrl ←", "the day before"),
            ("Ctrl →", "the day after"),
            ("Ctrl T", "today"),
            ("Ctrl M", "an odd day is meant"),
            ("Alt K", "an odd number is meant: keep it"),
            ("Ctrl +", "larger"),
            ("Ctrl –", "smaller"),
            ("Ctrl 0", "as the screen suggests"),
            ("Ctrl L", "cover the window"),
            ("Ctrl D", "light, dark, system"),
            ("Ctrl .", "stop what is at work"),
            ("Alt 1–9", "an entry of the page"),
            ("Alt ↑ ↓", "the entry above, below"),
            ("Tab", "what has no key; then arrows, ↵"),
            ("F1", "these keys"),
            ("⇧ F1", "the guide’s page of this place"),
        ),
    ),
    ("In a list", LIST_KEYS),
    (
        "The book",
        (
            ("Ctrl P", "print this page, with a preview"),
            ("Ctrl S", "say what is saved"),
            ("Ctrl O", "open another book"),
            ("Ctrl N", "begin a new book"),
            ("Ctrl Q", "leave"),
        ),
    ),
)
_NAMES = {
    "↵": "Return", "⇧": "Shift", "–": "-", "↑": "Up", "↓": "Down", "←": "Left", "→": "Right",
    "PgDn": "PgDown",
}  # fmt: skip


def sequence_of(cap: str) -> QKeySequence | None:
    """The one key that a cap stands for; None where it stands for several, as `0–9` does."""
    words: Sequence[str] = cap.split()
    if not words:
        return None
    *held, key = (_NAMES.get(word, word) for word in words)
    if any(word not in ("Ctrl", "Alt", "Shift") for word in held):
        return None
    made = QKeySequence("+".join((*held, key)))
    one = made.count() == 1 and bool(made.toString())
    return made if one else None

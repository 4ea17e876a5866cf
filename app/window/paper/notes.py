"""What the notes margin can say: plain blocks, put together by a place."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from PySide6.QtCore import QRectF

from app.window.paper.brush import Brush

Keys = tuple[tuple[str, str], ...]  # key cap, what it does


@dataclass(frozen=True)
class Alert:
    """One line with its mark: `level` is "look" or "wrong"."""

    text: str
    level: str = "look"


@dataclass(frozen=True)
class Voice:
    """The margin's italic voice: an explanation, never data."""

    text: str


@dataclass(frozen=True)
class Facts:
    """Label and value pairs; a third item may name a palette colour for the value, a fourth is
    the old value, struck out beside a new one."""

    pairs: tuple[tuple[str, ...], ...]


def known(*pairs: tuple[str, ...]) -> Facts:
    """Facts of the pairs that have a value."""
    return Facts(tuple(pair for pair in pairs if pair[1]))


@dataclass(frozen=True)
class Rule:
    """A hairline between two thoughts."""


@dataclass(frozen=True)
class NoteHeading:
    """Another serif title within the note, after a first one."""

    text: str


@dataclass(frozen=True)
class Plain:
    """A helper in small sans: a label over something."""

    text: str
    tone: str = "ink3"


@dataclass(frozen=True)
class StripLine:
    """An upright line on a dot strip, with its word above."""

    value: float
    label: str
    tone: str = "ink2"
    strong: bool = False
    dashed: bool = False


@dataclass(frozen=True)
class DotStrip:
    """Past values as dots over an axis, with the usual range and a few named lines."""

    values: tuple[float, ...]
    low: float | None = None
    high: float | None = None
    lines: tuple[StripLine, ...] = ()
    caption: str = ""
    labelled: bool = False  # write each value under its dot instead of an axis


@dataclass(frozen=True)
class Writable:
    """A text that is yours to change. `on_change(text)` is called when it was changed and left."""

    key: str
    label: str
    text: str
    on_change: Callable[[str], object] = field(compare=False)
    lines: int = 7


@dataclass(frozen=True)
class Offer:
    """A thing to do, in act colour, with its key."""

    key: str
    text: str
    on_click: Callable[[], object] = field(compare=False)


@dataclass(frozen=True)
class Drawing:
    """A small drawing: `paint(brush, box)` in a box of `height` pixels at scale 1."""

    height: int
    paint: Callable[[Brush, QRectF], None]
    words: str = ""  # what it shows, for who cannot see it


@dataclass(frozen=True)
class AllKeys:
    """Keys with what they do, as F1 lists them; no word of it is cut."""

    keys: Keys


Block = (
    Alert
    | Voice
    | Facts
    | Rule
    | NoteHeading
    | Plain
    | DotStrip
    | Writable
    | Offer
    | Drawing
    | AllKeys
)


@dataclass(frozen=True)
class Note:
    """A title, blocks under it, and this page's four keys."""

    title: str = ""
    blocks: tuple[Block, ...] = ()
    keys: Keys = ()

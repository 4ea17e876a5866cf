"""What is drawn, in words: how a cell stands, what a bar or a row of dots shows."""

from __future__ import annotations

from app.window.paper.cells import Cell, Column, GroupRow, State
from app.window.paper.notes import (
    Alert,
    AllKeys,
    Block,
    DotStrip,
    Drawing,
    Facts,
    NoteHeading,
    Offer,
    Plain,
    Voice,
)

_STATES = {
    State.FEW: "from few jobs, worth a look",
    State.LOOK: "worth a look",
    State.ALARM: "wrong or too late",
    State.GOOD: "done",
}
_MARKS = {"look": "worth a look", "wrong": "wrong or too late", "done": "done", "tick": "ticked"}


def spoken_cell(cell: Cell, column: Column) -> str:
    """A cell with what its state, its mark and its struck-out number say."""
    if column.say is not None and cell.data is not None:
        return column.say(cell.data)
    name = f"{column.head} {column.subhead}".strip()
    text = cell.text
    if text and cell.unit:
        text = f"{text} {cell.unit}"
    if not text and not cell.detail and not cell.under:
        if not (cell.editable or cell.state is State.UNUSED or cell.mark):
            return ""
        text = f"{name}: none" if name else "none"
    said = [one for one in (text, cell.detail, cell.under) if one]
    if cell.state is State.CHANGED:
        said.append(f"changed from {cell.old}" if cell.old else "changed")
    for one in (_STATES.get(cell.state, ""), _MARKS.get(cell.mark, cell.mark)):
        if one and one not in said and not any(one in before for before in said):
            said.append(one)
    return ", ".join(said)


def spoken_group(line: GroupRow) -> str:
    """The line over a group of rows."""
    return f"{line.title}, {line.note}" if line.note else line.title


def _number(value: float) -> str:
    return f"{value:,.4g}" if abs(value) < 1000 else f"{value:,.0f}"


def _spoken_dots(strip: DotStrip) -> str:
    said = []
    if strip.low is not None and strip.high is not None:
        said.append(f"usual range {_number(strip.low)} to {_number(strip.high)}")
    said += [f"{line.label} {_number(line.value)}".strip() for line in strip.lines]
    if strip.values:
        past = ", ".join(_number(value) for value in strip.values)
        said.append(f"{len(strip.values)} before: {past}")
    return "; ".join([*said, strip.caption] if strip.caption else said)


def _spoken_fact(label: str, value: str, _tone: str = "", old: str = "") -> str:
    return f"{label}: {value}, was {old}" if old else f"{label}: {value}"


def spoken_block(block: Block) -> str:
    """A block of the notes margin."""
    if isinstance(block, NoteHeading | Voice | Plain):
        return block.text
    if isinstance(block, Alert):
        return f"{_MARKS.get(block.level, block.level)}: {block.text}"
    if isinstance(block, Facts):
        return "; ".join(_spoken_fact(*pair) for pair in block.pairs)
    if isinstance(block, DotStrip):
        return _spoken_dots(block)
    if isinstance(block, AllKeys):
        return "; ".join(f"{key}: {what}" for key, what in block.keys)
    if isinstance(block, Offer):
        return f"{block.text}, {block.key}" if block.key else block.text
    return block.words if isinstance(block, Drawing) else ""

"""The day sheet of a new book: three steps with how far each is, in any order."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass
from functools import partial

from PySide6.QtCore import QRectF
from PySide6.QtWidgets import QWidget

from app.actions.exchange.first_hour import (
    BEGIN,
    STEPS,
    TITLES,
    TOGETHER,
    FirstHour,
    Sort,
    pass_steps,
)
from app.calculations.numbers.wording import count_of
from app.window.house.acting import on_book
from app.window.house.office import Office
from app.window.paper.action import ActionRow
from app.window.paper.brush import Brush
from app.window.paper.cells import Cell, Column, State, TableRow, given, quiet, row_of
from app.window.paper.entrytable import EntryTable
from app.window.paper.leafbody import LeafBody
from app.window.paper.marks import keycap_width
from app.window.paper.notes import Alert, Block, Facts, Note, Rule, Voice
from app.window.paper.page import TEXT_LEFT, Page
from app.window.paper.partsbody import PartsBody
from app.window.paper.runs import Run
from app.window.paper.strip import Strip, StripEntry

WORDS = {
    "bring": "Files as you keep them. Nothing is written until you say so.",
    "sell": "What you do, how long it takes, what it costs.",
    "book": "A name or a vehicle is enough.",
}
_ACTIONS = {"bring": "Choose files", "sell": "What you sell", "book": "Book a job"}
_PASS = {"bring": "Nothing to bring in", "sell": "Later", "book": "Later"}
_BODIES = {
    "sell": "Each service fills in the hours, supplies and price of the jobs it is sold on. Type "
    "the five or six that you do most; the others can come when somebody asks for them.",
    "book": "With the first job this page holds the evening’s six entries, filled in from the "
    "services it is booked for.",
}
_EVENING = ("Jobs worked", "Supplies used", "Money taken", "What to order", "Whom to remind",
            "Close the day")  # fmt: skip
_PAD = 18  # before a track
TRACK, LEAST = 120, 6  # how wide a track is, and the least of a part that waits
_KEYS = {
    "bring": (("↵", "look at the lines"), ("Ins", "add a file")),
    "sell": (("Ctrl ↵", "what you sell"),),
    "book": (("Ctrl ↵", "book a job"),),
}
_ALWAYS = (("Alt 1–3", "another step"), ("Del", "pass this step"))


@dataclass(frozen=True)
class StepEntry(StripEntry):
    """A step with how far it is (0 to 1), and the key and words of what begins it."""

    share: float = 0.0
    key_cap: str = ""
    begins: str = ""


def draw_track(brush: Brush, left: float, middle: float, brought: float, waits: float) -> None:
    """How far a sort is: solid brought in, hatched waits, dashed no file. Shares, 0 to 1."""
    c, px = brush.c, brush.px
    wide, high = px(TRACK), px(10)
    box = QRectF(round(left), round(middle - high / 2), wide, high)
    solid, hatched = wide * brought, wide * waits
    if waits:
        hatched = max(hatched, px(LEAST))
        solid = min(solid, wide - hatched)
    with brush.smooth():
        if not brought and not waits:
            brush.stroke(c.rule2, 1, dash=(4, 3))
            brush.painter.drawRect(box.adjusted(0.5, 0.5, -0.5, -0.5))
            return
        brush.painter.fillRect(QRectF(box.left(), box.top(), solid, high), c.bar)
        if waits:
            part = QRectF(box.left() + solid, box.top(), hatched, high)
            brush.hatch(part, c.look)
            brush.stroke(c.look, 1)
            brush.painter.drawRect(part.adjusted(0.5, 0.5, -0.5, -0.5))


def _paint_far(brush: Brush, box: QRectF, data: object, _selected: bool) -> None:
    """The track of a row, with its words behind it."""
    if not isinstance(data, Sort):
        return
    px, middle = brush.px, box.center().y()
    waits = data.waits + data.unread
    at = box.left() + px(_PAD)
    words = brush.theme.width("unit", far_words(data)) + (px(18) if data.all_in else 0)
    if box.width() >= px(_PAD + TRACK + 10) + words:  # else its words alone
        draw_track(brush, at, middle, data.share, waits / data.read if data.read else 0.0)
        at += px(TRACK + 10)
    if data.all_in:
        brush.mark("done", at + px(7), middle, size=14)
        at += px(18)
    base = brush.base("unit", middle)
    brush.write("unit", at, base, far_words(data), brush.c.ink2, box.right() - at)


def far_words(sort: Sort) -> str:
    """How far a sort is, in two or three words."""
    if not sort.read:
        return "may wait"
    if sort.all_in:
        return "all in"
    if sort.name == TOGETHER:
        return f"{int(100 * sort.share)} %"
    if sort.asks:
        return f"{sort.asks:,} to answer"
    if sort.waits:
        return "bring it in"
    return f"{sort.unread:,} not read"


_COLUMNS = (
    Column("what", "What", width=172, least=116),
    Column("file", "From", width=0, least=60),
    Column("read", "Lines", subhead="read", width=72, least=46, right=True),
    Column("brought", "Brought", subhead="in", width=76, least=56, right=True),
    Column("waits", "Wait for", subhead="an answer", width=90, least=66, right=True),
    Column("far", "How far", width=228, least=96, pad=_PAD, paint=_paint_far),
)


class FirstSteps(Strip):
    """Bring in, say what you sell, book a job; `found` says how far each is."""

    folded_from, folded_to = 58, 64

    def __init__(self, office: Office, say: Callable[[Note], object]) -> None:
        super().__init__(office.theme, self._make)
        self._office, self._say = office, say
        self.found: FirstHour | None = None
        self._rows: dict[str, ActionRow] = {}
        self.table = EntryTable(office.theme, _COLUMNS, rows_from=24, rows_to=34)
        self.table.row_opened.connect(lambda _key: self.primary())
        self.table.add_asked.connect(self.add_file)
        self.table.row_entered.connect(lambda _key, _column: self.explain())
        self.opened.connect(lambda _key: self.explain())

    def _make(self, key: str) -> QWidget:
        row = ActionRow(self._theme, _ACTIONS[key])
        row.button.clicked.connect(self.primary)
        self._rows[key] = row
        self._show_hints(key)
        if key == "bring":
            return PartsBody(self._theme, self.table, row, gap=2)
        return LeafBody(self._theme, _BODIES[key], None, row)

    def _show_hints(self, key: str) -> None:
        row, found = self._rows.get(key), self.found
        if row is None or found is None:
            return
        passed = key in found.passed
        runs = [Run("Take it up again" if passed else _PASS[key], "unit", key="Del",
                    on_click=self.pass_step, gap=20)]  # fmt: skip
        if key == "bring":
            runs.insert(0, Run("Add a file", "unit", key="Ins", on_click=self.add_file, gap=20))
            waits = self._sort_here()
            here = waits if waits is not None and waits.waits else found.whole
            named = f"Look at {here.name.lower()}" if here.name != TOGETHER else "Look at it"
            row.button.set_label(named if here.waits else _ACTIONS["bring"])
        row.show_hints(runs)

    # what it shows -------------------------------------------------------------------------
    def show_on(self, page: Page, found: FirstHour) -> None:
        """Stand on the page of the day, and show how far the steps are."""
        page.set_head("Day sheet", "a new book, in three steps", "page 1", italic=True)
        page.set_body(self, bleeds=True)
        page.say_remaining("Stop where you like. The book opens here again.")
        self.show_steps(found)

    def show_steps(self, found: FirstHour) -> None:
        """Show how far the steps are; the first that is left is open at first."""
        self.found = found
        rows = [_row(sort, sort.name) for sort in found.sorts]
        self.table.show_rows([*rows, _row(found.whole, "together")])
        entries = []
        for at, step in enumerate(STEPS, 1):
            done = found.is_done(step) or step in found.passed
            entry = StepEntry(
                step,
                TITLES[step],
                WORDS[step],
                found.result(step),
                state="done" if done else "to come",
                share=found.share(step),
                key_cap=f"Alt {at}",
                begins=_ACTIONS[step],
            )
            entries.append(entry)
        self.set_entries(entries)
        for step in STEPS:
            self._show_hints(step)
        if not self.open_key:
            self.open((*found.left, "bring")[0], still=True)
        self.relay()
        self.explain()

    def _sort_here(self) -> Sort | None:
        key: Hashable = self.table.current_key()
        sorts = self.found.sorts if self.found is not None else ()
        return next((one for one in sorts if one.name == key), None)

    # doing ---------------------------------------------------------------------------------
    def primary(self) -> None:
        """Go on with the open step."""
        place, item = BEGIN[self.open_key]
        if self.open_key == "bring" and self.found is not None and self.found.whole.waits:
            item = "lines"
        self._office.go(place, item)

    def add_file(self) -> None:
        """Choose a file more."""
        if self.open_key == "bring":
            self._office.go("bringing in", "choose")

    def pass_step(self) -> None:
        """Leave the open step out, or take it up again; then the next that is left is open."""
        found, step = self.found, self.open_key
        if found is None or on_book(self._office, pass_steps, step) is None:
            return
        left = [one for one in found.left if one != step]
        if step not in found.passed and left:
            self.open(left[0])

    # note ----------------------------------------------------------------------------------
    def explain(self) -> None:
        """Say in the margin what there is to know of the open step."""
        if self.found is None or not self.isVisible():
            return
        step = self.open_key
        if step == "bring":
            self._show_hints(step)
        keys = (*_KEYS.get(step, ()), *_ALWAYS)
        sort = self._sort_here() if step == "bring" else None
        if sort is None or not sort.read:
            self._say(Note(TITLES.get(step, ""), (Voice(_note_words(step)),), keys))
            return
        blocks: list[Block] = []
        if sort.asks:
            blocks.append(Alert(f"{count_of(sort.asks, 'line')} to answer for"))
        elif sort.waits:
            blocks.append(Alert(f"{sort.waits:,} not brought in yet"))
        if sort.unread:
            blocks.append(Voice("A line that could not be read stays in its file; mend it there "
                                "and add the file again."))  # fmt: skip
        facts: list[tuple[str, ...]] = [
            ("Lines read", f"{sort.read:,}"),
            ("Brought in", f"{sort.brought:,}"),
        ]
        facts += [("Ready to come in", f"{sort.waits:,}")] if sort.waits else []
        facts += [("Could not be read", f"{sort.unread:,}", "look")] if sort.unread else []
        blocks += [Rule(), Facts(tuple(facts)), *(Voice(file) for file in sort.files[:6])]
        self._say(Note(sort.name, tuple(blocks), keys))

    # paint ---------------------------------------------------------------------------------
    def draw(self, brush: Brush) -> None:
        super().draw(brush)
        c, px = brush.c, brush.px
        left, top = float(px(TEXT_LEFT)), sum(self._heights) + px(20)
        wide = self.width() - left
        text = (
            "After the first job this page holds the evening’s six entries, filled in from what "
            "you sell. Correct what differs, close the day; a usual evening takes about three "
            "minutes."
        )
        words = min(wide, px(560))
        high = self._theme.wrapped_height("voice", text, words)
        if top + px(24) + high > self.height():
            return
        brush.write("entry", left, top + px(12), "No job was worked today", c.ink, wide)
        box = QRectF(left, top + px(24), words, high + 1)
        brush.write_wrapped("voice", box, text, c.ink2)
        base, at = box.bottom() + px(24), left
        for number, name in enumerate(_EVENING, 1):
            if at + px(32) + self._theme.width("month", name) > self.width():
                base, at = base + px(24), left
            if base > self.height():
                return
            brush.write("month", at, base, str(number), c.ink2)
            brush.mark("to come", at + px(19), base - px(5), size=14)
            at = brush.write("month", at + px(32), base, name, c.ink2) + px(14)

    def _draw_folded(
        self, brush: Brush, at: int, entry: StripEntry, top: float, height: float
    ) -> None:
        c, px = brush.c, brush.px
        first = min(height, px(36))
        assert isinstance(entry, StepEntry)
        track = px(TRACK)
        right = float(self.width())
        middle = top + first / 2 + px(4)
        done = entry.state == "done"
        base = brush.base("entry", middle)
        brush.write_centred("entry_quiet", px(19), base, str(at + 1), c.ink2)
        brush.mark("done" if done else "to come", px(40), middle)
        left = float(px(TEXT_LEFT))
        role, told = ("entry", "total") if done else ("entry_quiet", "row")
        ink = c.act if at == self._over else c.ink if done else c.ink2
        end = brush.write(role, left, base, entry.title, ink)
        frame = QRectF(right - track + 0.5, middle - px(5) + 0.5, track - 1, px(10) - 1)
        brush.fill(right - track, middle - px(5), track * entry.share, px(10), c.bar)
        brush.stroke(c.rule2, 1)
        brush.painter.drawRect(frame)
        base = brush.base(told, middle)
        room = right - track - px(12) - end - px(30)
        start = brush.write_right(told, right - track - px(12), base, entry.result, ink, room)
        brush.leader(end + px(9), start - px(9), base, c.rule2)
        second = top + first + (height - first) / 2 - px(2)
        base = brush.base("unit_total", second)
        need = self._theme.width("unit_total", entry.begins)
        brush.write("unit_total", right - need, base, entry.begins, c.act)
        cap = keycap_width(self._theme, entry.key_cap)
        brush.keycap(entry.key_cap, right - need - px(8) - cap, second)
        room = right - need - cap - px(24) - left
        brush.write("voice", left, brush.base("voice", second), entry.subtitle, c.ink2, room)


def left_runs(office: Office, left: Sequence[str], later: Callable[[], object]) -> list[Run]:
    """The steps that are left as one line, each to click, and the key that passes them."""
    runs = [
        Run(TITLES[step], "unit_total", "act", on_click=partial(office.go, *BEGIN[step]))
        for step in left
    ]
    return [*runs, Run("Later", "unit", key="Ctrl Del", on_click=later)]


def pass_all(office: Office, left: Sequence[str]) -> None:
    """Pass what is left of the steps."""
    on_book(office, pass_steps, *left)


def _row(sort: Sort, key: str) -> TableRow:
    whole = key == "together"
    files = ", ".join(sort.files)
    waits = sort.waits + sort.unread
    return row_of(
        key,
        Cell(sort.name, bold=True),
        quiet("" if whole else files or "no file yet", tip=files),
        given(f"{sort.read:,}" if sort.read else "", bold=whole),
        given(f"{sort.brought:,}" if sort.brought else "", bold=True),
        Cell(f"{waits:,}", State.LOOK, mark="" if whole else "look") if waits else given(""),
        Cell("", data=sort, tip=far_words(sort)),
    )


def _note_words(step: str) -> str:
    return {
        "bring": "Choose the files as you keep them: lists of customers and vehicles, the shelf, "
        "past jobs, payments. Title rows and totals may stay. You see line by line what would "
        "come in before anything does.",
        "sell": "A service that has a time and a price fills in the jobs it is sold on. Its recipe "
        "can come later: what you type in the evening teaches it.",
        "book": "Hours, supplies and price are filled in from the services, for the size and "
        "condition of the vehicle.",
    }.get(step, "")

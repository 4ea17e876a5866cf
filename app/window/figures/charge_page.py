"""What to charge: each kind of job with what it asks for, and what other prices had brought."""

from __future__ import annotations

from collections.abc import Hashable
from functools import partial

from PySide6.QtCore import QRectF, Qt

from app.actions.desk.amounts import money
from app.actions.figures import charging, figures
from app.actions.figures.charging import Charging, Kind
from app.calculations.figures.charging import ENOUGH
from app.calculations.numbers.money import shown_whole
from app.calculations.numbers.wording import MINUS, counted
from app.errors import Mendable
from app.window.figures.behind import go_or_list
from app.window.house.acting import in_background
from app.window.house.filechoice import FileChoice
from app.window.house.office import Office
from app.window.house.place import Place
from app.window.paper.action import ActionRow
from app.window.paper.brush import Brush
from app.window.paper.cells import Cell, Column, EmptyText, GroupRow, State, TableRow, row_of
from app.window.paper.entrytable import EntryTable
from app.window.paper.fields import Form, LineField
from app.window.paper.notes import Block, Facts, Note, Plain, Rule, Voice
from app.window.paper.pagepdf import write_page
from app.window.paper.palette import mix
from app.window.paper.partsbody import PartsBody
from app.window.paper.runs import Run

KEYS = (
    ("↵", "open the jobs behind it"),
    ("E", "another wish, price or time"),
    ("Ctrl ↵", "keep this page as PDF"),
)
HOW = "Asked for: supplies, and all hours at the wish."
_EMPTY = EmptyText(
    "No job with hours and supplies is done yet",
    "What each kind of job asks for stands here, from the last year’s own jobs.",
)
_FAR = 3.0  # times what is charged, at which the strip ends


class ChargePage(Place):
    """The kinds of job of the last year; the margin asks what if, of the one in focus."""

    shows_money = True
    shows = frozenset({"days", "money", "jobs", "hours", "uses", "settings", "orders", "supplies"})
    keys = (("What to charge", KEYS),)

    def __init__(self, office: Office) -> None:
        super().__init__(office)
        self._found: Charging | None = None
        self._kinds: dict[Hashable, Kind] = {}
        self._rate: int | None = None  # typed here; else that of the settings
        self._percent, self._less = 5, 60
        self._wanted: Hashable | None = None  # the kind that had the focus before
        theme = office.theme
        self.form = Form(theme, 3)
        self.rate = self.form.add_line("An hour should bring", "90", on_enter=self._typed)
        self.percent = self.form.add_line("What if prices rose by, %", "5", on_enter=self._typed)
        self.less = self.form.add_line("What if a job took less by", "1 h", on_enter=self._typed)
        self.form.on_leave = self._read_form
        self.table = EntryTable(theme, _columns(), rows_from=24, rows_to=28, empty=_EMPTY)
        self.table.row_entered.connect(lambda _key, _column: self._explain())
        self.table.row_opened.connect(self._behind)
        self.row = ActionRow(theme, "Keep this page as PDF")
        self.row.button.clicked.connect(self.primary)
        body = PartsBody(
            theme, self.form, self.table, self.row, focus=lambda: self.table, fill=True
        )
        self.set_body(body)
        self.on_key("E", self._to_form)
        self._fill_form()

    # reading -------------------------------------------------------------------------------
    def refresh(self, kinds: frozenset[str]) -> None:
        desk, rate = self.office.desk, self._rate
        in_background(
            self.office, self, "Adding up the year",
            lambda: charging.charging(desk, rate), self._show,
        )  # fmt: skip

    def _show(self, found: Charging) -> None:
        self._found = found
        self._kinds = {kind.name: kind for kind in found.kinds}
        self.table.show_rows(self._rows(found))
        if self._wanted is not None and self.table.go(self._wanted):
            self._wanted = None
        self.row.set_ready("" if found.kinds else "There is nothing to keep yet.")
        self.set_head("What to charge", charging.span_of(found), [Run(found.finding)])
        self.row.show_hints([Run("What if", "unit", key="E", on_click=self._to_form)])
        self.say_remaining(charging.MARKET)
        self._explain()

    def _rows(self, found: Charging) -> list[TableRow | GroupRow]:
        whole = partial(shown_whole, currency=found.currency)
        rows: list[TableRow | GroupRow] = []
        few = False
        for kind in found.kinds:
            price = kind.price
            hour = "" if price.an_hour is None else money(self.office.desk, round(price.an_hour))
            if price.asks is None:
                if not few:
                    title = f"Fewer than {counted(ENOUGH)} jobs"
                    rows.append(GroupRow("few", title, "what each of them asks for; no middle"))
                few = True
                each = ", ".join(whole(one) for one in price.each)
                rows.append(
                    row_of(kind.name, Cell(kind.name, tip=kind.name), str(price.jobs), "", "",
                           Cell(each, State.QUIET, tip=each), Cell(), "", hour)
                )  # fmt: skip
                continue
            short = price.short or 0
            span = f"{whole(round(price.asks.low))}–{whole(round(price.asks.high))}"
            under = (price.charged or 0) < price.asks.low  # nine jobs in ten ask for more
            state = State.LOOK if under else State.PLAIN
            sign = "+" if short > 0 else MINUS if short < 0 else ""
            rows.append(
                row_of(
                    kind.name,
                    Cell(kind.name, tip=kind.name),
                    str(price.jobs),
                    whole(price.charged or 0),
                    Cell(whole(round(price.asks.middle)), bold=True),
                    span,
                    Cell(data=kind),
                    Cell(f"{sign}{whole(abs(short))}", state, order=short),
                    hour,
                )
            )
        return rows

    def _explain(self) -> None:
        found = self._found
        if found is None:
            return
        kind = self._kinds.get(self.table.current_key())
        blocks: list[Block] = []
        if kind is not None:
            rows = charging.what_if(found, kind, self._percent, self._less)
            shown = partial(money, self.office.desk)
            hours = [(one.words, "" if one.an_hour is None else shown(one.an_hour)) for one in rows]
            blocks += [Voice(charging.year_ago(found, kind))]
            blocks += [Plain("Left for each hour of all work"), Facts(tuple(hours)), Rule()]
            blocks += [Plain("Left of these jobs in the year")]
            blocks += [Facts(tuple((one.words, shown(one.left)) for one in rows)), Rule()]
            blocks += [Voice(charging.pack_words(found, kind))]
        blocks += [Voice(words) for words in (found.carried, found.without, HOW) if words]
        self.margin.say(Note(kind.name if kind else "What to charge", tuple(blocks), KEYS))

    def _behind(self, key: Hashable) -> None:
        """The jobs of a kind, each a step away."""
        kind = self._kinds.get(key)
        if kind is None:
            return
        ids = tuple(job.job_id for job in kind.jobs)
        table = figures.FigureTable((), ((kind.name,),), (ids,))
        found = self.office.read(partial(figures.behind, self.office.desk, table, 0)) or ()
        note = go_or_list(self.office, kind.name, found, "jobs", KEYS)
        if note is not None:
            self.margin.say(note)

    # what if -------------------------------------------------------------------------------
    def _fill_form(self) -> None:
        rate = self.office.desk.settings.hourly_rate if self._rate is None else self._rate
        self.rate.setText(money(self.office.desk, rate))
        self.percent.setText(str(self._percent))
        self.less.setText(charging.shown_duration(self._less))

    def _to_form(self) -> None:
        self.rate.setFocus(Qt.FocusReason.ShortcutFocusReason)
        self.rate.selectAll()

    def _typed(self) -> None:
        """Enter goes on to the next field, from the last one back to the table."""
        fields: list[LineField] = [self.rate, self.percent, self.less]
        at = next((at for at, one in enumerate(fields) if one.hasFocus()), 0)
        if not self._read_form():
            return
        if at + 1 < len(fields):
            fields[at + 1].setFocus()
            fields[at + 1].selectAll()
        else:
            self.table.setFocus()

    def _read_form(self) -> bool:
        """Take what was typed; False where it cannot be read, and the foot says why."""
        try:
            wished = charging.read_wishes(
                self.office.desk, self.rate.text(), self.percent.text(), self.less.text()
            )
        except Mendable as trouble:
            self.office.say_trouble(trouble.sentence)
            return False
        self.office.say_trouble("")
        rate, self._percent, self._less = wished
        self._rate = None if rate == self.office.desk.settings.hourly_rate else rate
        self._fill_form()
        if self._found is not None and rate != self._found.rate:
            self._show(charging.at_rate(self._found, rate))
        else:
            self._explain()
        return True

    def entered(self) -> None:
        self.table.setFocus()

    def keep(self) -> object:
        return self._rate, self._percent, self._less, self.table.current_key()

    def resume(self, kept: object) -> None:
        if isinstance(kept, tuple):
            self._rate, self._percent, self._less, key = kept
            self._fill_form()
            self._wanted = key

    def back(self) -> bool:
        if any(one.hasFocus() for one in (self.rate, self.percent, self.less)):
            self._fill_form()
            self.table.setFocus()
        else:
            self.office.go_back()
        return True

    def primary(self) -> None:
        """Keep the page as a PDF, where the person says."""
        found = self._found
        if found is None or not found.kinds:
            return
        choice = FileChoice(self.theme, self, "figures")
        path = choice.save("Keep this page as", "what to charge.pdf", "PDF (*.pdf)")
        title = f"What to charge, {charging.span_of(found)}. {charging.MARKET}"
        body = self.body
        if path is None:
            return
        if self.office.act_now(lambda: write_page(path, body, title)):
            self.office.say(f"Kept as {path.name}")


def _columns() -> tuple[Column, ...]:
    return (
        Column("kind", "Kind of job", least=150, dense=True),
        Column("jobs", "Jobs", width=50, least=44, right=True),
        Column("charged", "Charged", width=76, least=62, right=True),
        Column("asks", "Asks for", width=76, least=62, right=True),
        Column("span", "Four in five", width=112, least=90, right=True, aside=1),
        Column(
            "strip", width=92, least=70, paint=_strip, paint_head=_strip_head, say=_said, aside=2
        ),
        Column("short", "Short by", width=76, least=62, right=True, aside=3),
        Column("hour", "Left an hour", width=96, least=74, right=True, aside=4),
    )


def _place(brush: Brush, box: QRectF, times: float) -> float:
    left, wide = box.left() + brush.px(8), box.width() - brush.px(16)
    return left + wide * min(max(times, 0.0), _FAR) / _FAR


def _strip(brush: Brush, box: QRectF, kind: Kind, _selected: bool) -> None:
    """What is charged as an upright line, and around its middle what four jobs in five ask for."""
    price = kind.price
    if price.asks is None or not price.charged or price.charged < 0:
        return
    c, px, mid = brush.c, brush.px, box.center().y()
    at = [_place(brush, box, one / price.charged) for one in
          (price.asks.low, price.asks.middle, price.asks.high)]  # fmt: skip
    brush.fill(at[0], mid - px(2), max(at[2] - at[0], 1), px(4), mix(c.paper, c.bar, 0.5))
    line = _place(brush, box, 1.0)
    brush.fill(line, mid - px(8), px(1.6), px(16), c.ink)
    with brush.smooth():
        brush.painter.setPen(Qt.PenStyle.NoPen)
        brush.painter.setBrush(c.act)
        brush.painter.drawEllipse(QRectF(at[1] - px(3.5), mid - px(3.5), px(7), px(7)))


def _strip_head(brush: Brush, box: QRectF) -> None:
    words = "charged"
    at = _place(brush, box, 1.0) - brush.theme.width("unit", words) / 2
    brush.write("unit", at, box.bottom() - brush.px(9), words, brush.c.ink3)


def _said(kind: Kind) -> str:
    short = kind.price.short
    return "" if short is None else "asks for more" if short > 0 else "asks for no more"

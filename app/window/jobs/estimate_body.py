"""A job's estimate on its card: the range, its lines, its words, and where the work waits."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from datetime import date
from functools import partial
from typing import TYPE_CHECKING

from app.actions.desk.amounts import money
from app.actions.desk.desk import Changed, Desk
from app.actions.jobs import estimate_calls, estimate_papers
from app.actions.jobs import estimate_versions as does
from app.actions.jobs import estimate_writing as writes
from app.actions.jobs.job_card import JobCard, rate_text
from app.calculations.numbers.dates import day_year, near
from app.calculations.numbers.durations import shown_duration
from app.calculations.numbers.money import minor_digits
from app.window.house.acting import on_book
from app.window.house.outside import open_outside
from app.window.jobs.bodies import CardBody
from app.window.jobs.estimate_drawing import RangeLine
from app.window.paper.cells import (
    Cell,
    Column,
    EmptyText,
    GroupRow,
    Outcome,
    State,
    TableRow,
    entry,
    new_row,
    row_of,
)
from app.window.paper.entrytable import EntryTable
from app.window.paper.finder import FoundLine
from app.window.paper.runs import Run

if TYPE_CHECKING:
    from app.records.queries.estimates import HoldRow, LineRow
    from app.window.jobs.card import CardStrip

_WHY_FILLED = (
    "Worked out from the recipes of the services and what you really used. It counts, and stands "
    "on the paper, once you take it with Space or type its price; Ctrl Del takes it away."
)
_WORDS = {
    "reason": "Why it is a range",
    "assumptions": "What we take as given",
    "not_included": "Not in this price",
    "left_alone": "Left alone on purpose",
    "valid_until": "The price stands until",
    "deposit": "Deposit asked",
}
_LABELS = {"": "Make the estimate", "draft": "It is given", "given": "They said yes",
           "approved": "The next version"}  # fmt: skip


class EstimateBody(CardBody):
    """The newest version; a given one is read, and its answers are written."""

    def __init__(self, strip: CardStrip) -> None:
        self.range = RangeLine(strip.office.theme)
        self.table = EntryTable(
            strip.office.theme,
            (
                Column("text", "What it takes", width=0, least=200),
                Column(
                    "minutes", "Hours", subhead="likely", width=92, least=70, right=True, aside=2
                ),
                Column("rate", "Tax", width=76, least=60, right=True, aside=1),
                Column("low", "Low", width=96, least=76, right=True),
                Column("likely", "Likely", width=96, least=76, right=True),
                Column("high", "Not above", width=96, least=80, right=True),
            ),
            rows_from=22,
            rows_to=28,
            empty=EmptyText(
                "No estimate yet",
                "It is filled in from what the job sells: hours and price, low, likely and not "
                "above. Nothing is given to the customer by that.",
            ),
        )
        self.table.on_commit = self._typed
        self.table.add_asked.connect(self.add)
        super().__init__(strip, "Make the estimate", self.range, self.table)

    @property
    def version(self) -> does.Version | None:
        """The newest version."""
        return self.job.versions[-1] if self.job.versions else None

    def show_card(self, card: JobCard) -> None:
        version = card.versions[-1] if card.versions else None
        self.row.button.set_label(_LABELS[version.row.state if version else ""])
        over = card.job.state in ("done", "cancelled")
        self.row.set_ready(f"This job is {card.job.state}." if over else "")
        if version is None:
            self.range.hide()
            self.table.show_rows([])
            self.row.show_total([])
            return
        desk, row = self.office.desk, version.row
        three = (row.low, row.likely, row.high)
        low, likely, high = (money(desk, one) for one in three)
        ceiling = version.ceiling
        self.range.show_range(
            three, (low, likely, high if ceiling is None else money(desk, ceiling)),
            row.high if ceiling is None else ceiling,
            10 ** minor_digits(desk.settings.currency), agreed=ceiling is not None,
        )  # fmt: skip
        self.table.show_rows(self._rows(card, version))
        self.row.show_total([Run("Likely, with tax", "row"), Run(likely, "total", "ink")])

    def _rows(self, card: JobCard, version: does.Version) -> list[TableRow | GroupRow]:
        desk, row, can = self.office.desk, version.row, not version.given

        def cell(text: str, state: State = State.PLAIN, *, bold: bool = False) -> Cell:
            return entry(text, state, bold=bold) if can else Cell(text, state, bold=bold)

        def line(one: LineRow) -> TableRow:
            text = cell(one.text)
            if one.proposed:
                text = Cell(one.text, State.QUIET, detail="filled in: Space takes it",
                            editable=can, tip=_WHY_FILLED)  # fmt: skip
            faint = State.QUIET if one.proposed else State.PLAIN
            return row_of(
                ("line", one.line_id), text,
                cell(shown_duration(one.minutes) if one.minutes else "", State.QUIET),
                cell(rate_text(one.tax_rate), State.QUIET),
                cell(money(desk, one.low), faint),
                cell(money(desk, one.likely), faint, bold=not one.proposed),
                cell(money(desk, one.high), faint),
            )  # fmt: skip

        rows: list[TableRow | GroupRow] = [line(one) for one in version.lines]
        if can:
            rows.append(new_row("supplies, a bottle, bay nights, travel, risk or a discount", 6))
        rows.append(
            row_of(
                "sum",
                Cell("With tax", bold=True),
                Cell(shown_duration(row.minutes) if row.minutes else "", State.QUIET),
                "",
                *(Cell(money(desk, one), bold=True) for one in (row.low, row.likely, row.high)),
            )
        )
        if version.raised is not None:
            rows.append(_raised_row(desk, version.raised))
        if card.call is not None:
            rows.append(GroupRow("calls", "A call is due", card.call.sentence))
            rows.append(new_row("what was said, with a new ceiling at the end", 6, key="call"))
        rows.append(GroupRow("holds", "Where the work waits", _waits(version)))
        for hold in version.holds:
            rows += _hold_rows(desk, hold, given=version.given)
        if can:
            rows.append(new_row("another point where the work waits", 6, key="hold"))
        rows.append(GroupRow("words", "What the paper says besides", "several, parted by ;"))
        rows += [self._text_row(name, label, version, can) for name, label in _WORDS.items()]
        return rows

    def _text_row(self, name: str, label: str, version: does.Version, can: bool) -> TableRow:
        row, desk = version.row, self.office.desk
        if name == "valid_until":
            text = day_year(row.valid_until) if row.valid_until else ""
        elif name == "deposit":
            text = money(desk, row.deposit) if row.deposit else ""
        else:
            text = getattr(row, name).replace("\n", "; ")
        return TableRow(
            ("word", name), (Cell(text, detail=label, editable=can, tip=text),), last=False
        )

    def _typed(self, key: Hashable, column: str, text: str) -> Outcome:
        version, desk = self.version, self.office.desk
        if version is None or (not text and not isinstance(key, tuple)):
            return Outcome()
        number = version.row.estimate_id
        if isinstance(key, tuple):
            kind, which = key
            ways: dict[str, Callable[[], Changed]] = {
                "line": partial(writes.edit_line, desk, which, column, text),
                "answer": partial(_answer, desk, which, text),
                "word": partial(does.edit_version, desk, number, **{str(which): _lines(text)}),
            }
            if kind == "answer" and not text:
                return Outcome()
            return self.office.typed(ways[kind], text)
        new: dict[Hashable, Callable[[], Changed]] = {
            "new": partial(_new_line, desk, number, text),
            "hold": partial(does.add_hold_point, desk, number, text),
            "call": partial(_call, desk, self.job.job.job_id, self.job.job.customer, text),
        }
        return self.office.typed(new[key], text) if key in new else Outcome()

    def begin(self) -> None:
        """Make the estimate where there is none, and stand on its first price."""
        if self.version is None and self.may_act():
            on_book(self.office, does.make_version, self.job.job.job_id)
        if self.version is not None and self.version.lines:
            self.table.setFocus()
            self.table.go(("line", self.version.lines[0].line_id), "likely")

    def add(self) -> None:
        if self.version is not None and not self.version.given:
            self.table.write_in("new", "text")

    def remove(self) -> None:
        key = self.table.current_key()
        if isinstance(key, tuple) and key[0] in ("line", "hold"):
            take = writes.remove_line if key[0] == "line" else does.remove_hold_point
            on_book(self.office, take, key[1])

    def turn(self) -> None:
        """Take what was filled in: the line with the focus, else all of it."""
        version, key = self.version, self.table.current_key()
        if version is None or version.given or not self.table.finish():
            return
        waiting = {one.line_id for one in version.lines if one.proposed}
        on_it = isinstance(key, tuple) and key[0] == "line" and key[1] in waiting
        line = key[1] if on_it and isinstance(key, tuple) else None
        on_book(self.office, writes.take_proposed, version.row.estimate_id, line)

    def primary(self) -> None:
        if not self.may_act():
            return
        version = self.version
        if version is None or version.row.state == "approved":
            on_book(self.office, does.make_version, self.job.job.job_id)
        elif version.row.state == "draft":
            on_book(self.office, does.give, version.row.estimate_id)
        else:
            self._ask_yes(version)

    def hand_out(self, *, mail: bool) -> None:
        """The paper as a PDF, or the draft of a mail with it, opened outside; a person sends it."""
        if self.version is None:
            self.office.say_trouble("There is no estimate yet; F8 makes one.")
            return
        write = estimate_papers.estimate_draft if mail else estimate_papers.estimate_file
        number = self.job.job.job_id
        self.office.act_now(lambda: open_outside(write(self.office.desk, number)))

    def _ask_yes(self, version: does.Version) -> None:
        """Who said yes and how; the customer, by telephone, is proposed first."""
        desk, row = self.office.desk, version.row
        who = self.job.job.customer or "the customer"

        def look_up(text: str) -> list[FoundLine]:
            by = text.strip() or who
            until, late = row.valid_until, ""
            if until is not None and until < desk.today:
                late = f", though it stood until {near(until, desk.today)}"
            return [
                FoundLine(
                    f"Yes from {by}", how, f"up to {money(desk, row.high)}{late}",
                    partial(on_book, self.office, does.approve, row.estimate_id, by, how),
                )
                for how in does.HOW
            ]  # fmt: skip

        self.strip.pick_asked.emit("who said yes, where it was not the customer", look_up)


def _hold_rows(desk: Desk, hold: HoldRow, *, given: bool) -> list[TableRow]:
    point = f"{hold.position}  {hold.text}"
    rows = [TableRow(("hold", hold.hold_id), (Cell(point, tip=hold.text),))]
    if given:
        on = f"{near(hold.answered_on, desk.today)}, by {hold.channel}" if hold.answered_on else ""
        on += f", {desk.clock_of(hold.answered_at)}" if hold.answered_at else ""
        detail = on or "what they answered, such as: go on"
        answered = Cell(
            hold.answer, detail=detail, editable=True, mark="done" if hold.answer else "to come"
        )
        rows.append(TableRow(("answer", hold.hold_id), (answered,)))
    return rows


def _raised_row(desk: Desk, raised: tuple[int, date, str]) -> TableRow:
    """What they said yes to where it is not what the table comes to; the table stays as given."""
    ceiling, day, how = raised
    words = "by the call" if how == "call" else f"by {how}"
    detail = f"{words}, {near(day, desk.today)}, in place of the above"
    agreed = Cell("Not above, as agreed since", bold=True, detail=detail)
    return row_of("raised", agreed, "", "", "", "", Cell(money(desk, ceiling), bold=True))


def _waits(version: does.Version) -> str:
    if not version.given:
        return "answered once it is given"
    open_points = sum(not one.answered_on for one in version.holds)
    return f"{open_points} to answer" if open_points else "all answered"


def _answer(desk: Desk, hold_id: int, text: str) -> Changed:
    """An answer, by telephone unless its last words say otherwise: `go on, by mail`."""
    said, _, how = text.rpartition(", by ")
    if said and how.strip() in does.HOW:
        return does.answer(desk, hold_id, said, how.strip())
    return does.answer(desk, hold_id, text)


def _new_line(desk: Desk, estimate_id: int, text: str) -> Changed:
    """A line from words and its amounts: `Supplies 46`, `Supplies 38 46 60`."""
    words = text.split()
    count = 0
    while count < 3 and count < len(words) - 1 and _is_amount(words[-1 - count]):
        count += 1
    count = 1 if count == 2 else count
    at = len(words) - count
    return writes.add_line(desk, estimate_id, " ".join(words[:at]), " ".join(words[at:]))


def _call(desk: Desk, job_id: int, who: str, text: str) -> Changed:
    """A call from what was said, with a new ceiling where the last word is an amount."""
    words = text.split()
    new = words.pop() if len(words) > 1 and _is_amount(words[-1]) else ""
    return estimate_calls.note_call(desk, job_id, who, " ".join(words), new)


def _is_amount(word: str) -> bool:
    plain = word.strip("$€£¥-−").replace(",", "").replace(".", "")
    return plain.isdigit()


def _lines(text: str) -> str:
    return "\n".join(part.strip() for part in text.split(";"))

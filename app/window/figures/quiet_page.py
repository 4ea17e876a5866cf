"""Who has gone quiet: customers past their own rhythm, with why, their card and a letter beside."""

from __future__ import annotations

from collections.abc import Hashable

from app.actions.figures import gone_quiet
from app.actions.figures.gone_quiet import GoneQuiet, Quiet
from app.calculations.numbers.dates import age_words, near_short, span_words
from app.calculations.numbers.wording import count_of
from app.window.house.acting import in_background
from app.window.house.office import Office
from app.window.house.place import Place
from app.window.paper.action import ActionRow
from app.window.paper.cells import Cell, Column, EmptyText, GroupRow, TableRow, row_of
from app.window.paper.entrytable import EntryTable
from app.window.paper.notes import (
    Block,
    DotStrip,
    Facts,
    Note,
    Offer,
    Rule,
    StripLine,
    Voice,
)
from app.window.paper.partsbody import PartsBody
from app.window.paper.runs import Run

KEYS = (
    ("↵", "open the customer"),
    ("L", "read the letter, if due"),
    ("B", "book a job for them"),
)
HOW = (
    "Their own gaps, and where they are few what all others do. Past it: longer away than nine in "
    "ten such gaps. Nobody knows who comes again."
)
COLUMNS = (
    Column("name", "Customer", width=180, least=110),
    Column("last", "Last here", width=96, least=80),
    Column("visits", "Visits", width=54, least=48, right=True, aside=1),
    Column("why", "Why", least=200),
)
_STRIP_GAPS = 12  # the last of them, in the margin's strip


class QuietPage(Place):
    """Who is past their rhythm, who for long, and whose visits are too few to say."""

    shows = frozenset({"jobs", "days", "customers", "vehicles", "reminders", "consents"})
    keys = (("Who has gone quiet", KEYS),)

    def __init__(self, office: Office) -> None:
        super().__init__(office)
        self._found: GoneQuiet | None = None
        self._quiet: dict[Hashable, Quiet] = {}
        self._wanted: int | None = None  # the customer that had the focus before
        empty = EmptyText(
            "Nobody is past their own rhythm",
            "Who comes three times or more shows one; who then stays away too long appears here.",
        )
        self.table = EntryTable(office.theme, COLUMNS, rows_from=24, rows_to=28, empty=empty)
        self.table.row_entered.connect(lambda _key, _column: self._explain())
        self.table.row_opened.connect(self._open)
        self.row = ActionRow(office.theme, "Read the letter")
        self.row.button.clicked.connect(self.primary)
        self.set_body(PartsBody(office.theme, self.table, self.row, gap=0, fill=True))
        self.on_key("L", self.primary)
        self.on_key("B", self._book)

    # reading -------------------------------------------------------------------------------
    def refresh(self, kinds: frozenset[str]) -> None:
        desk, day = self.office.desk, self.office.day
        in_background(
            self.office, self, "Reading who came when",
            lambda: gone_quiet.gone_quiet(desk, day), self._show,
        )  # fmt: skip

    def _show(self, found: GoneQuiet) -> None:
        self._found = found
        rows: list[TableRow | GroupRow] = []
        groups = (
            ("past", "Past their rhythm", "who passed it last comes first", found.past),
            ("long", "Gone for long", "more than twice as long as nine in ten gaps", found.long),
            ("few", "Few visits", "two or three; this is a guess", found.few),
        )
        self._quiet = {}
        for key, title, note, some in groups:
            if some:
                rows.append(GroupRow(("group", key), title, note))
            for one in some:
                self._quiet[one.customer_id] = one
                rows.append(
                    row_of(
                        one.customer_id,
                        Cell(one.name, bold=not one.rhythm.few),
                        Cell(near_short(one.last, found.day), order=one.last),
                        str(one.rhythm.visits),
                        Cell(one.why, tip=one.why),
                    )
                )
        self.table.show_rows(rows)
        if self._wanted is not None and self.table.go(self._wanted):
            self._wanted = None
        self.set_head("Who has gone quiet", "by their own rhythm", [Run(found.finding)])
        came = count_of(found.known, "customer")
        self.say_remaining(f"{came} came twice or more often." if found.known else "")
        self._explain()

    def _current(self) -> Quiet | None:
        return self._quiet.get(self.table.current_key())

    def _explain(self) -> None:
        found, one = self._found, self._current()
        if found is None:
            return
        self.row.set_ready("" if one is not None and one.letter else _no_letter(one))
        beside: list[Block] = [Voice(words) for words in (*found.left_out, HOW)]
        if one is None:
            self.margin.say(Note("Who has gone quiet", tuple(beside), KEYS))
            return
        rhythm = one.rhythm
        blocks: list[Block] = [_strip(one), Rule(), Facts(_facts(one)), Rule()]
        blocks += [Voice(one.may_write)]
        blocks += [Offer("↵", "Open the customer", lambda: self._open(one.customer_id))]
        if one.letter:
            blocks.append(Offer("L", "Read the letter", self.primary))
        if rhythm.few:
            blocks.append(Voice("With so few visits most of this is what others do."))
        self.margin.say(Note(one.name, (*blocks, Rule(), *beside), KEYS))

    # doing ---------------------------------------------------------------------------------
    def _open(self, key: Hashable) -> None:
        if key in self._quiet:
            self.office.go("customers", key)

    def _book(self) -> None:
        one = self._current()
        if one is not None:
            self.office.go("jobs", ("new", one.customer_id))

    def primary(self) -> None:
        """Read the letter about their layers, where one is due; else say why there is none."""
        one = self._current()
        if one is None or not one.letter:
            self.office.say_trouble(_no_letter(one))
        else:
            self.office.go("letters", one.household)

    def entered(self) -> None:
        self.table.setFocus()

    def keep(self) -> object:
        return self.table.current_key()

    def resume(self, kept: object) -> None:
        self._wanted = kept if isinstance(kept, int) else None

    def back(self) -> bool:
        self.office.go_back()
        return True


def _no_letter(one: Quiet | None) -> str:
    return "Nobody is chosen." if one is None else one.may_write


def _strip(one: Quiet) -> DotStrip:
    """Their gaps as dots, where four in five lie, and how long they are away."""
    rhythm = one.rhythm
    away = StripLine(rhythm.away / 7, "now", "look", strong=True)
    gaps = tuple(gap / 7 for gap in one.gaps[-_STRIP_GAPS:])
    return DotStrip(gaps, rhythm.low / 7, rhythm.high / 7, (away,), "weeks between visits")


def _in_hundred(chance: float) -> str:
    return f"{round(100 * chance)} in 100" if chance >= 0.01 else "under 1 in 100"


def _facts(one: Quiet) -> tuple[tuple[str, str], ...]:
    rhythm = one.rhythm
    return (
        ("Usual gap", age_words(rhythm.usual)),
        ("Four in five", span_words(rhythm.low, rhythm.high)),
        ("Away", age_words(rhythm.away)),
        ("So long by chance", _in_hundred(rhythm.chance)),
    )

"""More: the pages that are needed now and then, each by its number, Enter or a click."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from functools import partial

from app.actions.jobs.services import list_services
from app.calculations.numbers.wording import count_of
from app.window.house.office import Office
from app.window.house.place import Place
from app.window.paper.cells import Cell, Column, quiet, row_of
from app.window.paper.entrytable import EntryTable
from app.window.paper.notes import Note, Voice
from app.window.shop.more_lines import LINES, Line

_COLUMNS = (
    Column("number", "", width=34, least=30, right=True, pad=10),
    Column("name", "Page", width=210, least=140),
    Column("detail", "For what", width=0, least=120),
    Column("stands", "So far", width=130, least=90, pad=16),
)


class MorePage(Place):
    """A list of pages; a number opens one from here."""

    shows = frozenset({"services", "supplies"})
    keys = (
        ("More", tuple((str(at), line.name.lower()) for at, line in enumerate(LINES, 1))),
        ("Its list", (("↵", "open the page"), ("Ctrl K", "find any of them by its words"))),
    )

    def __init__(self, office: Office, lines: Sequence[Line] = LINES) -> None:
        super().__init__(office)
        self._lines = {line.key: line for line in lines}
        self.table = EntryTable(office.theme, _COLUMNS, rows_to=36)
        self.table.row_opened.connect(self._open)
        self.table.cell_clicked.connect(lambda key, _column: self._open(key))
        self.table.row_entered.connect(lambda _key, _column: self._explain())
        for at, line in enumerate(lines, 1):
            self.on_key(str(at), partial(office.go, line.key))
        self.set_head("More", "what is needed now and then")
        self.set_body(self.table)

    def refresh(self, kinds: frozenset[str]) -> None:
        """Read how many services and suppliers there are."""
        from app.actions.orders.suppliers import list_suppliers  # not before the first picture

        desk = self.office.desk
        found = self.office.read(lambda: (list_services(desk, stopped=False), list_suppliers(desk)))
        sold, suppliers = found if found is not None else ((), ())
        stands = {
            "services": count_of(len(sold), "service") if sold else "none yet",
            "suppliers": count_of(len(suppliers), "supplier") if suppliers else "none yet",
        }
        self.table.show_rows(
            [
                row_of(
                    line.key,
                    quiet(str(at)),
                    Cell(line.name, bold=True),
                    quiet(line.detail, tip=line.detail),
                    quiet(stands.get(line.key, "")),
                )
                for at, line in enumerate(self._lines.values(), 1)
            ]
        )

    def entered(self) -> None:
        self.table.setFocus()
        self._explain()

    def _open(self, key: Hashable) -> None:
        self.office.go(str(key))

    def _explain(self) -> None:
        line = self._lines.get(str(self.table.current_key()))
        voice = "Esc leads back here from each of them."
        what = f"{line.detail[:1].upper()}{line.detail[1:]}." if line is not None else ""
        title = line.name if line is not None else "More"
        self.margin.say(
            Note(
                title,
                tuple(Voice(one) for one in (what, voice) if one),
                (
                    (f"1–{len(LINES)}", "open a page"),
                    ("↵", "open this one"),
                    ("Ctrl K", "find it by words"),
                    ("F1", "all keys"),
                ),
            )
        )

    def primary(self) -> None:
        """Open the page with the focus."""
        if self.table.current_key() is not None:
            self._open(self.table.current_key())

"""Where a table lacks room, the columns that say least stand aside; the margin has them."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtWidgets import QApplication, QWidget

from app.window.paper.cells import Cell, Column, row_of
from app.window.paper.entrytable import EntryTable
from app.window.paper.margin import _aside_blocks
from app.window.paper.notes import Facts, Note, Plain, Voice
from app.window.paper.page import Page
from app.window.paper.theme import Theme

Show = Callable[[QWidget, int, int], QWidget]
LONG = "Upkeep wash, decontamination, one-step polish"
COLUMNS = (
    Column("customer", "Customer", width=150, least=110),
    Column("vehicle", "Vehicle", width=120, least=90, aside=1),
    Column("services", "Services", width=0, least=120, aside=2),
    Column("hours", "Hours", subhead="worked", width=90, least=60, right=True, aside=3),
    Column("money", "Total", width=90, least=60, right=True),
)


def page_of_jobs(theme: Theme, shown: Show, width: int) -> tuple[Page, EntryTable]:
    page = Page(theme)
    table = EntryTable(theme, COLUMNS)
    table.show_rows(
        [
            row_of("1", Cell("Mina Tavares", bold=True), "white wagon", LONG, "3 h", "1,240.50"),
            row_of("2", Cell("Aisha Nwosu", bold=True), "", "Hand wax", "1 h", "90.00"),
        ]
    )
    page.set_body(table)
    shown(page, width, 500)
    return page, table


def stand_aside(table: EntryTable) -> list[str]:
    columns = table.entries.columns
    return [column.key for at, column in enumerate(columns) if table.isColumnHidden(at)]


def test_columns_stand_aside_by_their_rank_and_come_back_with_the_room(
    theme: Theme, shown: Show
) -> None:
    page, table = page_of_jobs(theme, shown, 1200)
    assert stand_aside(table) == []
    seen = []
    for width in (860, 760, 700, 640, 1200):
        page.resize(width, 500)
        QApplication.processEvents()
        seen.append(stand_aside(table))
        assert table.horizontalScrollBar().maximum() == 0, width
    assert seen[-1] == []
    assert ["hours"] in seen
    assert seen[3] == ["services", "hours"]
    lengths = [len(some) for some in seen[:-1]]
    assert lengths == sorted(lengths)


def test_the_margin_says_what_has_no_room_of_the_row_in_view_and_nothing_twice(
    theme: Theme, shown: Show
) -> None:
    page, table = page_of_jobs(theme, shown, 640)
    table.setFocus()
    told = Note("Mina Tavares", (Voice("Her white wagon stands in the bay."),))
    assert _aside_blocks(page, told) == (
        Facts((("Hours worked", "3 h"),)),
        Plain(f"Services: {LONG}", "ink2"),
    )
    table.go("2")
    assert _aside_blocks(page, Note("Aisha Nwosu")) == (
        Facts((("Services", "Hand wax"), ("Hours worked", "1 h"))),
    )


def test_a_page_that_gets_narrow_says_it_at_once(theme: Theme, shown: Show) -> None:
    page, table = page_of_jobs(theme, shown, 1200)
    table.setFocus()
    page.margin.say(Note("Mina Tavares"))
    assert LONG not in spoken(page)
    page.resize(640, 500)
    QApplication.processEvents()
    assert LONG in spoken(page)


def spoken(page: Page) -> str:
    return " ".join(view.accessibleName() for view in page.margin._views)

"""The tables of the page on which files are brought in."""

from __future__ import annotations

from app.actions.exchange.preview_lines import OUTCOMES
from app.window.exchange.bringing_in_tables import LINE_COLUMNS
from app.window.paper.theme import Theme

MARK = 17  # a mark and the space beside it, as `EntryDelegate` paints them


def test_what_becomes_of_a_line_is_never_cut(theme: Theme) -> None:
    column = next(one for one in LINE_COLUMNS if one.key == "outcome")
    for word in OUTCOMES.values():
        assert theme.width("row", word) + MARK + 2 * column.pad <= column.least

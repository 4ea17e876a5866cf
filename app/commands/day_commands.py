"""The commands about a day: `day` and `close`."""

from __future__ import annotations

import argparse
import json
import sys
from datetime import date, timedelta
from typing import TYPE_CHECKING

from app.commands.saying import DONE, must_be_meant, open_book, say_mendable

if TYPE_CHECKING:
    from app.actions.desk.desk import Desk


def _on_day(desk: Desk, wanted: date | None) -> date:
    """The day that was asked for, by the shop's own calendar."""
    if wanted is None or wanted == date.min:
        return desk.today
    return desk.today - timedelta(days=1) if wanted == date.max else wanted


def show_day(wanted: argparse.Namespace) -> int:
    """Show a day sheet."""
    from app.actions.day.day_report import day_json, day_text
    from app.actions.desk.meant_days import why_doubted

    with open_book(wanted.book, write=False) as desk:
        day = _on_day(desk, wanted.date)
        if wanted.json:
            _print_json(day_json(desk, day))
        else:
            print(day_text(desk, day))
        if why := why_doubted(desk, day):
            print(f"{why}.", file=sys.stderr)
    return DONE


def _print_json(data: dict[str, object]) -> None:
    plain = (sys.stdout.encoding or "").lower().replace("-", "") != "utf8"
    print(json.dumps(data, ensure_ascii=plain, indent=2))


def close(wanted: argparse.Namespace) -> int:
    """Close a day."""
    from app.actions.day.closing import close_day
    from app.actions.day.day_report import day_json

    with open_book(wanted.book, write=True) as desk:
        day = _on_day(desk, wanted.date)
        must_be_meant(desk, day, yes=wanted.yes, undone="closed")
        desk.meant.add(desk.today)  # a page that is named is closed by whatever clock there is
        closed = close_day(desk, day, out=wanted.out)
        if wanted.json:
            _print_json(day_json(desk, day, closed.files) | closed.written())
            if closed.already and not closed.trouble:
                print(closed.lines[0], file=sys.stderr)
        else:
            for line in closed.lines:
                if line not in closed.trouble:
                    print(line)
            for path in closed.files:
                print(f"  {path}")
    if closed.trouble:
        return say_mendable(
            f"{' '.join(closed.trouble)} Mend that and close once more: only this is made up."
        )
    return DONE

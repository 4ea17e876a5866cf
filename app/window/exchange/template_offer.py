"""The empty workbook to fill in, saved where the person says."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtWidgets import QWidget

from app.actions.exchange import exporting
from app.window.house.filechoice import FileChoice
from app.window.house.office import Office


def save_template(office: Office, parent: QWidget) -> None:
    """Ask where the workbook shall lie, write it, and say so; what stood there is moved aside."""
    choice = FileChoice(office.theme, parent, "empty workbook")
    chosen = choice.save("Where the empty workbook lies", "to fill in.xlsx", "Workbooks (*.xlsx)")
    if chosen is not None:
        before: list[Path] = []
        path = office.act_now(lambda: exporting.template(chosen, before.append))
        if path is not None:
            aside = "".join(f". What stood there before is {old}" for old in before)
            office.say(f"Written: {path}{aside}")

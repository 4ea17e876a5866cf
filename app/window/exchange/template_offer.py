"""The empty workbook to fill in, saved where the person says."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QWidget

from app.actions.exchange import exporting
from app.window.house.office import Office


def save_template(office: Office, parent: QWidget) -> None:
    """Ask where the workbook shall lie, write it, and say so; what stood there is moved aside."""
    chosen, _ = QFileDialog.getSaveFileName(
        parent, "Where the empty workbook lies", str(Path.home() / "to fill in.xlsx"),
        "Workbooks (*.xlsx)",
    )  # fmt: skip
    if chosen:
        before: list[Path] = []
        path = office.act_now(lambda: exporting.template(Path(chosen), before.append))
        if path is not None:
            aside = "".join(f". What stood there before is {old}" for old in before)
            office.say(f"Written: {path}{aside}")

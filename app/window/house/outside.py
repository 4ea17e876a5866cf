"""Handing files to the system: its viewer opens them, its file manager shows the folder."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QUrl
from PySide6.QtGui import QDesktopServices

from app.errors import Mendable


def open_outside(path: Path) -> None:
    """Open a file or folder with the program that the system has for it."""
    if not path.exists():
        raise Mendable(f"{path} is not there any more; choose it anew.")
    if not QDesktopServices.openUrl(QUrl.fromLocalFile(str(path))):
        raise Mendable(f"The system has no program for {path.name}; it lies in {path.parent}.")

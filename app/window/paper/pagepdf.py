"""A page of the window as a PDF, as it stands."""

from __future__ import annotations

import os
from pathlib import Path

from PySide6.QtCore import QMarginsF, QPoint
from PySide6.QtGui import QPageLayout, QPageSize, QPainter, QPdfWriter
from PySide6.QtWidgets import QWidget

from app.errors import Mendable


def write_page(path: Path, widget: QWidget | None, title: str) -> Path:
    """Draw a widget on one landscape page; `Mendable` where the file cannot be written."""
    if widget is None:
        raise Mendable("There is nothing on this page to keep yet.")
    unfinished = path.with_name(path.name + ".unfinished")
    if not path.parent.is_dir() or not os.access(path.parent, os.W_OK):
        raise Mendable(f"{path} could not be written; check the folder and the disk.")
    writer = QPdfWriter(str(unfinished))
    writer.setTitle(title)
    writer.setCreator("Bayledger")
    writer.setPageLayout(
        QPageLayout(
            QPageSize(QPageSize.PageSizeId.Letter),
            QPageLayout.Orientation.Landscape,
            QMarginsF(14, 14, 14, 14),
            QPageLayout.Unit.Millimeter,
        )
    )
    painter = QPainter()
    if not painter.begin(writer):
        raise Mendable(f"{path} could not be written; check the folder and the disk.")
    area = writer.pageLayout().paintRectPixels(writer.resolution())
    scale = min(area.width() / widget.width(), area.height() / widget.height())
    painter.scale(scale, scale)
    widget.render(painter, QPoint(0, 0))
    painter.end()
    unfinished.replace(path)
    return path

"""Print a page: its list on our own paper, or else the page as it is drawn; with a preview."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from PySide6.QtCore import QMarginsF, QPoint
from PySide6.QtGui import QPageLayout, QPageSize, QPainter
from PySide6.QtPrintSupport import QPrinter, QPrintPreviewDialog
from PySide6.QtWidgets import QWidget

from app.calculations.numbers.dates import day_year
from app.window.house.place import Place
from app.window.paper.listpaper import ListPaper
from app.window.paper.palette import LIGHT
from app.window.paper.theme import Theme

MARGIN = 16.0  # mm
DOTS = 300  # an inch, of a page as it is drawn


def print_page(place: Place) -> None:
    """Show how the page would be printed, and print it from there."""
    job = PagePrint(place)
    preview = QPrintPreviewDialog(job.printer, place.window())
    preview.setWindowTitle(f"Print {place.title}")
    preview.paintRequested.connect(job.paint)
    preview.exec()
    preview.deleteLater()


class PagePrint:
    """What of a page is printed, and the printer that it is laid out for."""

    def __init__(self, place: Place) -> None:
        self._place = place
        settings = place.office.desk.settings
        self.printer = QPrinter(QPrinter.PrinterMode.HighResolution)
        self.printer.setDocName(f"{place.title}, Bayledger")
        size = QPageSize.PageSizeId.Letter if settings.region == "US" else QPageSize.PageSizeId.A4
        self.printer.setPageSize(QPageSize(size))
        self.printer.setPageMargins(QMarginsF(MARGIN, MARGIN, MARGIN, MARGIN),
                                    QPageLayout.Unit.Millimeter)  # fmt: skip
        table = place.list_table()
        self.list: ListPaper | None = None
        if table is not None and table.rows:
            aside = ", ".join(filter(None, (settings.shop_name, day_year(place.office.day))))
            rows = tuple(row for row in table.rows if not getattr(row, "last", False))
            self.list = ListPaper(place.title, place.subtitle, aside, table.entries.columns, rows)
            self.list.lay_on(self.printer)
        else:
            self.printer.setPageOrientation(QPageLayout.Orientation.Landscape)
            # Qt prints widgets as a picture: at the printer's finest that is half a gigabyte, and
            # two seconds in which the window stands still.
            self.printer.setResolution(DOTS)

    def paint(self, printer: QPrinter) -> int:
        """Paint all of it; returns how many pages that were."""
        if self.list is not None:
            return self.list.print_on(printer)
        return _paint_as_drawn(self._place, printer)


def _paint_as_drawn(place: Place, printer: QPrinter) -> int:
    painter = QPainter()
    if not painter.begin(printer):
        return 0
    area = printer.pageLayout().paintRectPixels(printer.resolution())
    scale = min(area.width() / place.width(), area.height() / place.height())
    painter.scale(scale, scale)
    with in_light(place.theme):
        place.render(painter, QPoint(0, 0), renderFlags=QWidget.RenderFlag.DrawChildren)
    painter.end()
    return 1


@contextmanager
def in_light(theme: Theme) -> Iterator[None]:
    """Draw in the light look for now: paper is white."""
    before = theme.palette
    theme.palette, theme.on_paper = LIGHT, True
    theme.dress()
    try:
        yield
    finally:
        theme.palette, theme.on_paper = before, False
        theme.dress()

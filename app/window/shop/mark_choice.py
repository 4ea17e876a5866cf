"""The shop's own mark: chosen as a file, made anew as a small picture, and shown in the margin."""

from __future__ import annotations

from base64 import b64decode
from functools import partial
from pathlib import Path

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QImage, QImageReader, QImageWriter
from PySide6.QtWidgets import QWidget

from app.actions.shop.shop_mark import MOST_BYTES, set_mark, take_mark_away
from app.errors import Mendable
from app.window.house.acting import on_book
from app.window.house.filechoice import FileChoice
from app.window.house.office import Office
from app.window.paper.action import ActionRow
from app.window.paper.brush import Brush
from app.window.paper.notes import Drawing

CHOOSE, TAKE_AWAY = "F5", "F6"
_FORMATS = (b"png", b"jpeg", b"jpg", b"bmp")
_LARGEST_FILE = 20_000_000  # bytes
_WIDTHS = (600, 480, 360, 240, 160)  # tried one after the other until it is small enough
_HIGH = 64


def mark_row(office: Office, parent: QWidget) -> ActionRow:
    """What is done with the mark, for the entry of the shop."""
    row = ActionRow(office.theme, "Choose the shop’s mark", CHOOSE)
    row.button.clicked.connect(partial(choose_mark, office, parent))
    row.set_second("Take it away", TAKE_AWAY).clicked.connect(partial(take_away, office))
    return row


def choose_mark(office: Office, parent: QWidget) -> None:
    """Ask for a picture, and keep it as the shop's mark."""
    choice = FileChoice(office.theme, parent, "pictures")
    path = choice.open("The shop’s mark", "Pictures (*.png *.jpg *.jpeg *.bmp)")
    png = office.act_now(partial(small_png, path)) if path is not None else None
    if png is not None:
        on_book(office, set_mark, png)


def take_away(office: Office) -> None:
    """Papers have no mark any more."""
    on_book(office, take_mark_away)


def small_png(path: Path) -> bytes:
    """The picture of a file, made anew: what else the file holds (places, names) does not come.

    Raises `Mendable` where it is too large, or no picture that can be read.
    """
    try:
        if path.stat().st_size > _LARGEST_FILE:
            raise Mendable(f"{path.name} is larger than 20 MB; choose a smaller picture.")
    except OSError as trouble:
        raise Mendable(f"{path} could not be read; check that it is there.") from trouble
    reader = QImageReader(str(path))
    reader.setDecideFormatFromContent(True)
    reader.setAutoTransform(True)
    size = reader.size()
    if reader.format().data() not in _FORMATS or not size.isValid():
        raise Mendable(f"{path.name} is no picture that can be read; choose a PNG or JPEG file.")
    if max(size.width(), size.height()) > 2 * _WIDTHS[0]:
        reader.setScaledSize(size.scaled(QSize(1200, 1200), Qt.AspectRatioMode.KeepAspectRatio))
    image = reader.read()
    if image.isNull():
        raise Mendable(f"{path.name} is no picture that can be read; choose a PNG or JPEG file.")
    for wide in _WIDTHS:
        png = _png(image, wide)
        if len(png) <= MOST_BYTES:
            return png
    raise Mendable(f"{path.name} has too much in it for a mark; choose a simpler picture.")


def _png(image: QImage, wide: int) -> bytes:
    """A PNG of the picture alone, at most so wide and high."""
    smooth, keep = Qt.TransformationMode.SmoothTransformation, Qt.AspectRatioMode.KeepAspectRatio
    large = max(image.width(), image.height()) > wide
    small = image.scaled(wide, wide, keep, smooth) if large else image
    plain = small.convertToFormat(QImage.Format.Format_ARGB32)
    for key in plain.textKeys():
        plain.setText(key, "")
    held = QByteArray()
    buffer = QBuffer(held)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    QImageWriter(buffer, QByteArray(b"png")).write(plain)
    buffer.close()
    return bytes(held.data())


def mark_drawing(mark: str) -> Drawing:
    """The mark as it stands on papers: on white, whatever the look of the window."""
    image = QImage.fromData(b64decode(mark))

    def paint(brush: Brush, box: QRectF) -> None:
        if image.isNull():
            return
        part = min(box.width() / image.width(), box.height() / image.height())
        shown = QRectF(box.left(), box.top(), image.width() * part, image.height() * part)
        brush.painter.fillRect(shown, QColor("white"))
        brush.painter.drawImage(shown, image)

    return Drawing(_HIGH, paint, "The shop’s mark")

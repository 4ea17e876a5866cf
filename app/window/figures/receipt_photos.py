"""The photos of an expense's receipt: added by choice or by drag, shown small, opened outside."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QMimeData, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QImage, QImageReader

from app.actions.costs import receipt_photos
from app.documents.reading.photo_file import PhotoFile, read_photo
from app.errors import Mendable
from app.records.queries.expenses import PhotoRow
from app.window.house.acting import in_background
from app.window.house.filechoice import FileChoice
from app.window.house.outside import open_outside
from app.window.paper.brush import Brush
from app.window.paper.notes import Block, Drawing, Plain, Voice

if TYPE_CHECKING:
    from app.window.figures.expenses_page import ExpensesPage

FILES = "Photos (*.jpg *.jpeg *.png *.webp)"
_SMALL = 520  # dots of the longer side of what the margin shows
_HIGH = 170
_MEGABYTES = 256  # of what a picture may take while it is read


def small_picture(path: Path) -> QImage:
    """A photo made small, as it was held; a null image where it cannot be drawn."""
    reader = QImageReader(str(path))
    reader.setDecideFormatFromContent(True)
    reader.setAutoTransform(True)
    size = reader.size()
    if size.isValid() and max(size.width(), size.height()) > _SMALL:
        keep = Qt.AspectRatioMode.KeepAspectRatio
        reader.setScaledSize(size.scaled(QSize(_SMALL, _SMALL), keep))
    return reader.read()


def checked_photo(path: Path) -> PhotoFile:
    """A photo that can be kept and drawn; `Mendable` with one sentence where it cannot."""
    photo = read_photo(path)
    if small_picture(path).isNull():
        raise Mendable(f"{path.name} is damaged and cannot be drawn; copy it once more.")
    return photo


class ReceiptPhotos:
    """What the expenses page does with photos of the line that has the focus."""

    def __init__(self, page: ExpensesPage) -> None:
        self._page = page
        self._pictures: dict[str, QImage] = {}  # by hash, as far as they were read
        self._asked: set[str] = set()
        QImageReader.setAllocationLimit(_MEGABYTES)

    @property
    def here(self) -> list[PhotoRow]:
        """The photos of the line with the focus."""
        line = self._page.line
        return self._page.photos.get(line.expense_id, []) if line is not None else []

    def choose(self) -> None:
        """Ask for a photo's file and keep it with the line."""
        if self._line() is None:
            return
        office = self._page.office
        path = FileChoice(office.theme, self._page, "photos").open("The receipt’s photo", FILES)
        if path is not None:
            self.add(path)

    def add(self, path: Path) -> None:
        """Keep a photo with the line that has the focus now; read off the window's thread."""
        line, office = self._line(), self._page.office
        if line is None:
            return

        def keep(photo: PhotoFile) -> None:
            do = partial(receipt_photos.add_photo, office.desk, line, photo)
            office.act(do)

        read = partial(checked_photo, path)
        in_background(office, self._page, f"Reading {path.name}", read, keep)

    def open(self) -> None:
        """Open the newest photo of the line in the system's own viewer."""
        photos, office = self.here, self._page.office
        if not photos:
            office.say_trouble("This line has no photo; P adds one.")
            return
        path = office.act_now(partial(receipt_photos.photo_path, office.desk, photos[-1]))
        if path is not None:
            office.act_now(partial(open_outside, path))

    def take_off(self) -> None:
        """Take the newest photo off the line; Ctrl Z puts it back."""
        photos, office = self.here, self._page.office
        if not photos:
            office.say_trouble("This line has no photo.")
            return
        office.act(partial(receipt_photos.take_photo_off, office.desk, photos[-1].photo_id))

    def dropped(self, data: QMimeData) -> bool:
        """Keep what was let fall on the page, where it looks like a photo."""
        paths = photos_in(data)
        if not paths:
            return False
        for path in paths:
            self.add(path)
        return True

    def blocks(self) -> list[Block]:
        """The photos of the line, small."""
        found: list[Block] = []
        for photo in self.here:
            picture = self._picture(photo)
            found.append(Plain(photo.name or "A photo"))
            if picture is None:
                continue
            if picture.isNull():
                found.append(Voice("Its file is missing, altered or cannot be drawn."))
            else:
                words = f"The photo {photo.name}"
                found.append(Drawing(_HIGH, partial(_paint, picture), words))
        return found

    def _picture(self, photo: PhotoRow) -> QImage | None:
        """The photo made small; none while it is read."""
        digest = photo.sha256
        if digest not in self._asked:
            self._asked.add(digest)
            desk = self._page.office.desk

            def read() -> QImage:
                try:
                    return small_picture(receipt_photos.photo_path(desk, photo))
                except Mendable:
                    return QImage()

            def show(image: QImage) -> None:
                self._pictures[digest] = image
                self._page.explain()

            in_background(self._page.office, self._page, "Reading a photo", read, show, quiet=True)
        return self._pictures.get(digest)

    def _line(self) -> int | None:
        line = self._page.line
        if line is None:
            self._page.office.say_trouble("Go to an expense first; the photo is kept with it.")
            return None
        return line.expense_id


def photos_in(data: QMimeData) -> list[Path]:
    """The files in what is dragged that look like photos."""
    endings = {".jpg", ".jpeg", ".png", ".webp", ".heic"}
    paths = [Path(one.toLocalFile()) for one in data.urls() if one.isLocalFile()]
    return [one for one in paths if one.suffix.casefold() in endings]


def _paint(picture: QImage, brush: Brush, box: QRectF) -> None:
    part = min(box.width() / picture.width(), box.height() / picture.height())
    shown = QRectF(box.left(), box.top(), picture.width() * part, picture.height() * part)
    brush.painter.fillRect(shown, QColor("white"))
    brush.painter.drawImage(shown, picture)

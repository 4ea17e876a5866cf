"""Photos of receipts: kept byte for byte, known to backup, export, salvage and check."""

from __future__ import annotations

import struct
import zlib
from hashlib import sha256
from pathlib import Path

import pytest

from app.actions.costs import expenses
from app.actions.costs.receipt_photos import add_photo, photo_path, take_photo_off
from app.actions.desk.desk import Desk
from app.actions.exchange.bringing_in import bring_in, preview, read
from app.actions.exchange.exporting import export
from app.documents.reading.photo_file import MOST_PIXELS, read_photo
from app.errors import Mendable
from app.records.book import Book
from app.records.queries.expenses import PhotoRow
from app.records.salvage.salvaging import salvage
from app.records.storage import photos, sealing
from app.records.storage.backup import restore
from tests.shop import TODAY, new_desk


def png(wide: int = 2, high: int = 2) -> bytes:
    """A grey picture, or the head of one that only says that it is so large."""

    def part(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(
            ">I", zlib.crc32(kind + data)
        )  # fmt: skip

    rows = zlib.compress(b"".join(b"\0" + b"\x80" * wide for _ in range(min(high, 9))))
    head = struct.pack(">IIBBBBB", wide, high, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + part(b"IHDR", head) + part(b"IDAT", rows) + part(b"IEND", b"")


def file(folder: Path, name: str, data: bytes) -> Path:
    path = folder / name
    path.write_bytes(data)
    return path


@pytest.fixture
def kept(desk: Desk, tmp_path: Path) -> PhotoRow:
    """A photo at the pump."""
    expenses.write_expense(desk, expenses.Typed(kind="tools", text="a pump", amount="100"))
    (line,) = expenses.spent(desk, TODAY, TODAY).lines
    add_photo(desk, line.expense_id, read_photo(file(tmp_path, "receipt.png", png())))
    return expenses.spent(desk, TODAY, TODAY).photos[line.expense_id][0]


def test_it_is_kept_byte_for_byte_undone_and_taken_off(desk: Desk, kept: PhotoRow) -> None:
    path = photo_path(desk, kept)
    assert path.read_bytes() == png()
    assert path.name == f"{sha256(png()).hexdigest()}.png"
    with pytest.raises(Mendable, match="is kept with this expense already"):
        add_photo(desk, kept.expense_id or 0, read_photo(path))
    take_photo_off(desk, kept.photo_id)
    assert not expenses.spent(desk, TODAY, TODAY).photos
    desk.book.undo(today=TODAY)
    assert photo_path(desk, kept) == path
    assert desk.book.check() == []


def test_a_missing_or_altered_original_is_found_and_comes_back_from_a_backup(
    desk: Desk, kept: PhotoRow, tmp_path: Path
) -> None:
    copy = desk.book.backup()
    key = sealing.new_key("seven wet towels")
    sealed_to = tmp_path / "stick"
    sealed_to.mkdir()
    sealed = desk.book.backup(sealed_to, key)
    assert not any(png() in one.read_bytes() for one in sealed_to.rglob("*") if one.is_file())
    path, book = photo_path(desk, kept), desk.book.path
    path.write_bytes(b"another")
    assert desk.book.check() == [
        f"The photo receipt.png of {TODAY} was altered in the folder photos beside the book."
    ]
    with pytest.raises(Mendable, match="was altered in"):
        photo_path(desk, kept)
    path.unlink()
    assert "is missing" in desk.book.check()[0]
    desk.book.close()
    restore(copy, book)
    assert path.read_bytes() == png()
    path.unlink()
    restore(sealed, book, key)
    assert path.read_bytes() == png()


def test_export_and_salvage_take_it_along(desk: Desk, kept: PhotoRow, tmp_path: Path) -> None:
    out, other = tmp_path / "out", tmp_path / "other"
    out.mkdir()
    other.mkdir()
    workbook = export(desk, out / "all.xlsx")
    assert photos.path_in(out / "photos", kept.sha256, "png").read_bytes() == png()
    fresh = new_desk(other / "new.bayledger")
    bring_in(fresh, preview(fresh, [read(fresh, workbook)]))
    assert fresh.book.check() == []
    assert photo_path(fresh, kept).is_relative_to(other)
    fresh.book.close()
    path = desk.book.path
    desk.book.close()
    (tmp_path / "third").mkdir()
    salvage(path, tmp_path / "third" / "saved.bayledger")
    with Book.open(tmp_path / "third" / "saved.bayledger") as saved:
        assert saved.check() == []
        assert saved.photo(kept.sha256, "png").read_bytes() == png()


def test_broken_giant_and_lying_files_get_one_sentence(tmp_path: Path) -> None:
    whole = png()
    for name, data, why in (
        ("words.jpg", b"no picture at all", "is no photo that can be read"),
        ("half.png", whole[:-20], "is damaged or not all there"),
        ("turned.png", whole[:40] + b"x" + whole[41:], "is damaged or not all there"),
        ("cut.jpg", b"\xff\xd8\xff\xe0\x00\x10JFIF", "is damaged or not all there"),
        ("giant.png", png(MOST_PIXELS, 2), "choose a smaller photo"),
        ("phone.heic", b"\0\0\0\x18ftypheic" + b"\0" * 40, "HEIC photo, which this program"),
    ):
        with pytest.raises(Mendable, match=why):
            read_photo(file(tmp_path, name, data))
    assert read_photo(file(tmp_path, "lies.jpg", whole)).form == "png", "told by its content"
    with pytest.raises(Mendable, match="is no file"):
        read_photo(tmp_path)

"""A photo's file as it came: what it really is, how large, and whether it is whole.

Told by its content, never by its name. Nothing is decoded here: the picture is drawn, and what
cannot be drawn refused, where there is a window.
"""

from __future__ import annotations

import struct
import zlib
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from app.errors import Mendable, reason_of

MOST_BYTES = 60_000_000
MOST_PIXELS = 120_000_000  # more than the largest cameras make
_PNG = b"\x89PNG\r\n\x1a\n"
_HEIC = (b"heic", b"heix", b"hevc", b"mif1", b"heim", b"avif")
# Marks of a JPEG that say its size: baseline to arithmetic, without the three that are none.
_SIZES = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}


@dataclass(frozen=True)
class PhotoFile:
    """A photo that can be kept: bytes, what it is (`jpeg`, `png`, `webp`), name and hash."""

    data: bytes
    form: str
    name: str
    sha256: str


def read_photo(path: Path) -> PhotoFile:
    """Read a photo's file; `Mendable` with one sentence where it cannot be kept."""
    path = Path(path)
    try:
        if not path.is_file():
            raise Mendable(f"{path.name} is no file; choose a photo.")
        if path.stat().st_size > MOST_BYTES:
            raise Mendable(
                f"{path.name} is larger than {MOST_BYTES // 1_000_000} MB; choose a smaller one."
            )
        data = path.read_bytes()
    except OSError as trouble:
        raise Mendable(f"{path.name} could not be read ({reason_of(trouble)}).") from trouble
    form = form_of(data)
    if not form:
        what = "is a HEIC photo, which this program does not read" if data[8:12] in _HEIC else (
            "is no photo that can be read"
        )  # fmt: skip
        raise Mendable(f"{path.name} {what}; choose a JPEG, PNG or WebP file.")
    size = {"jpeg": _jpeg, "png": _png, "webp": _webp}[form](data)
    if size is None:
        raise Mendable(f"{path.name} is damaged or not all there; copy it once more.")
    wide, high = size
    if not wide or not high or wide * high > MOST_PIXELS:
        raise Mendable(f"{path.name} has {wide:,} × {high:,} dots; choose a smaller photo.")
    return PhotoFile(data, form, path.name[:200], sha256(data).hexdigest())


def form_of(data: bytes) -> str:
    """What a file is by its first bytes; nothing where it is none of them."""
    if data.startswith(b"\xff\xd8\xff"):
        return "jpeg"
    if data.startswith(_PNG):
        return "png"
    return "webp" if data[:4] == b"RIFF" and data[8:12] == b"WEBP" else ""


def _png(data: bytes) -> tuple[int, int] | None:
    """Its size, where every part is whole up to its end."""
    at, size = len(_PNG), None
    while at + 12 <= len(data):
        length, kind = struct.unpack_from(">I4s", data, at)
        end = at + 8 + length
        if end + 4 > len(data) or zlib.crc32(data[at + 4 : end]) != _whole(data, end):
            return None
        if kind == b"IHDR" and length >= 8:
            size = struct.unpack_from(">II", data, at + 8)
        if kind == b"IEND":
            return size
        at = end + 4
    return None


def _whole(data: bytes, at: int) -> int:
    return int.from_bytes(data[at : at + 4], "big")


def _jpeg(data: bytes) -> tuple[int, int] | None:
    """Its size, where the parts before the picture are whole and its end is there."""
    at, size = 2, None
    while at + 4 <= len(data) and data[at] == 0xFF:
        mark = data[at + 1]
        if mark == 0xFF:  # filling
            at += 1
            continue
        length = int.from_bytes(data[at + 2 : at + 4], "big")
        if mark in _SIZES and length >= 7 and at + 9 <= len(data):
            high, wide = struct.unpack_from(">HH", data, at + 5)
            size = (wide, high)
        if mark == 0xDA:  # the picture itself, up to the mark of its end
            return size if b"\xff\xd9" in data[at:] else None
        at += 2 + length
    return None


def _webp(data: bytes) -> tuple[int, int] | None:
    """Its size, where the file is as long as it says."""
    if len(data) < 30 or len(data) < int.from_bytes(data[4:8], "little") + 8:
        return None
    kind = data[12:16]
    if kind == b"VP8X":
        wide, high = (int.from_bytes(data[at : at + 3], "little") + 1 for at in (24, 27))
        return wide, high
    if kind == b"VP8 ":
        wide, high = (int.from_bytes(data[at : at + 2], "little") & 0x3FFF for at in (26, 28))
        return wide, high
    if kind == b"VP8L":
        bits = int.from_bytes(data[21:25], "little")
        return (bits & 0x3FFF) + 1, (bits >> 14 & 0x3FFF) + 1
    return None

"""Draws every page, checks each for what is cut, and lays the pictures on contact sheets.

    python -m tests.contact_sheet FOLDER
    python -m tests.contact_sheet FOLDER --size 1366x768 --text 100 --books demo empty
    python -m tests.contact_sheet FOLDER --books BOOK.bayledger     (a copy of it is opened)

Prints the flaws by kind and page and ends with 1 if a number is cut, a text is cut that the mouse
does not show whole, something fails, a widget stands outside its parent, or one lies over another.
"""

from __future__ import annotations

import argparse
import logging
import os
import shutil
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import groupby
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from PIL import Image, ImageDraw
from PySide6.QtGui import QImage

from app.actions.desk.desk import Desk
from app.demo.story import build_demo
from app.records.book import Book
from app.window.house.shell import Shell
from app.window.paper.action import RING
from tests.contact_sheet.audit import Flaw, Watch, standing
from tests.contact_sheet.pages import pages
from tests.pictures import DAY, LOOKS, keep_evenings, settle, shown

SIZES = ("1366x768", "1920x1080", "3840x2160")
TEXTS = (100, 160)
ACROSS, THUMB = 4, 460  # pictures beside each other on a sheet, and how wide each is
BEARABLE = frozenset({"shortened"})  # the mouse shows it whole


def main(given: Sequence[str] | None = None) -> int:
    """Draw, check, print; 1 when something is cut."""
    parser = argparse.ArgumentParser(prog="python -m tests.contact_sheet", description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--size", nargs="*", default=SIZES)
    parser.add_argument("--text", nargs="*", type=int, default=TEXTS)
    parser.add_argument("--looks", nargs="*", default=LOOKS)
    parser.add_argument("--books", nargs="*", default=["empty", "demo"])
    parser.add_argument("--pages", nargs="*", default=[], help="only pages with this in their name")
    asked = parser.parse_args(given)
    trouble = Trouble()
    logging.getLogger().addHandler(trouble)
    found: list[tuple[str, str, Flaw]] = []
    asked.folder.mkdir(parents=True, exist_ok=True)
    for kind in asked.books:
        with opened(kind) as book, shown(book) as shell:
            for size in asked.size:
                for text in asked.text:
                    for look in asked.looks:
                        name = f"{Path(kind).stem}-{size}-{text}-{look}"
                        found += [
                            (name, page, flaw)
                            for page, flaw in sheet(shell, size, text, look, asked, name)
                        ]
    found += [("all", "", Flaw("failed", "", words)) for words in sorted(trouble.said)]
    return tell(found)


class Trouble(logging.Handler):
    """What was logged as an error: something failed while pages were shown."""

    def __init__(self) -> None:
        super().__init__(logging.ERROR)
        self.said: set[str] = set()

    def emit(self, record: logging.LogRecord) -> None:
        self.said.add(str(record.exc_info[1]) if record.exc_info else record.getMessage())


def opened(kind: str) -> Book:
    """The empty book, the demo's, or a copy of one that is named."""
    folder = Path(tempfile.mkdtemp())
    path = folder / "shown.bayledger"
    if kind == "empty":
        return Book.create(path)
    if kind == "demo":
        build_demo(path, today=DAY)
        with Book.open(path) as book:
            keep_evenings(Desk(book))
    else:
        shutil.copy(kind, path)
    return Book.open(path)


def sheet(
    shell: Shell, size: str, text: int, look: str, asked: argparse.Namespace, name: str
) -> Iterator[tuple[str, Flaw]]:
    """One contact sheet; yields each flaw with its page."""
    width, height = (int(part) for part in size.split("x"))
    shell.theme.set_look(look)
    shell.theme.set_scale(text / 100)
    shell.resize(width, height)
    pictures: list[tuple[str, Image.Image]] = []
    for page in pages(shell, asked.pages):
        settle(shell, 0.05)
        watch = Watch()
        with watch.watching():
            grabbed = shell.grab()
        whole = as_picture(grabbed.toImage())
        pictures.append((page, whole.resize((THUMB, round(THUMB * height / width)))))
        if asked.pages:
            whole.save(asked.folder / f"{name}-{page.replace(': ', '-').replace(' ', '-')}.png")
        for flaw in sorted(watch.flaws | standing(shell, shell.theme.px(RING))):
            yield page, flaw
    lay(pictures, asked.folder / f"{name}.png")


def as_picture(grabbed: QImage) -> Image.Image:
    """A grabbed window as a picture that can be made small and laid on a sheet."""
    image = grabbed.convertToFormat(QImage.Format.Format_RGB888)
    size = (image.width(), image.height())
    return Image.frombytes(
        "RGB", size, bytes(image.constBits()), "raw", "RGB", image.bytesPerLine()
    )


def lay(pictures: list[tuple[str, Image.Image]], path: Path) -> None:
    """The pictures beside and under each other, each under its name."""
    if not pictures:
        return
    wide, high = pictures[0][1].size
    rows = -(-len(pictures) // ACROSS)
    made = Image.new("RGB", (ACROSS * (wide + 8), rows * (high + 22)), "#808080")
    pen = ImageDraw.Draw(made)
    for at, (page, picture) in enumerate(pictures):
        left, top = at % ACROSS * (wide + 8), at // ACROSS * (high + 22)
        pen.text((left + 4, top + 3), page, fill="white")
        made.paste(picture, (left, top + 18))
    made.save(path, optimize=True)


def tell(found: list[tuple[str, str, Flaw]]) -> int:
    """Print what was found; 1 when some of it cannot be borne."""
    kinds = Counter(flaw.kind for _name, _page, flaw in found)
    bad = [one for one in found if one[2].kind not in BEARABLE]
    by_flaw = sorted(bad, key=lambda one: (one[2], one[1], one[0]))
    for (flaw, page), same in groupby(by_flaw, key=lambda one: (one[2], one[1])):
        names = [one[0] for one in same]
        print(f"{flaw.kind:<10}  {page:<28} {flaw.where:<44} {flaw.what[:60]!r}  {names[0]} "
              f"and {len(names) - 1} more")  # fmt: skip
    print(", ".join(f"{kind} {count}" for kind, count in sorted(kinds.items())) or "no flaw")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())

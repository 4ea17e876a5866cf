"""Files that nobody should have made, by a seed, and what may come of one: sentences, nothing half."""

from __future__ import annotations

import io
import random
import re
import tempfile
import zipfile
from collections.abc import Callable
from datetime import date
from functools import cache
from pathlib import Path

from app.actions.desk.desk import Desk
from app.actions.exchange.bringing_in import bring_in, preview
from app.documents.incoming import FileReading, read_file
from app.documents.reading.options import Options
from app.errors import Mendable
from app.records.contents import contents
from tests.files import messy

TODAY = date(2025, 8, 14)
# Small limits, so that the guards are reached with small files.
LIMITS = Options(today=TODAY, most_cells=20_000, most_unpacked=20_000_000)


@cache
def samples() -> dict[str, bytes]:
    """A workbook of people, one of supplies, a text table and address cards, as people keep them."""
    with tempfile.TemporaryDirectory() as folder:
        here = Path(folder)
        made = (
            messy.address_workbook(here / "a.xlsx"),
            messy.shelf_workbook(here / "c.xlsx"),
            messy.accounts_csv(here / "b.csv"),
            messy.telephone_cards(here / "d.vcf"),
        )
        return {path.name: path.read_bytes() for path in made}


def tried(desk: Desk, path: Path) -> FileReading | None:
    """Read, look through, bring in and take back; only sentences may come, and nothing half."""
    try:
        reading = read_file(path, LIMITS)
    except Mendable as error:
        _is_a_sentence(str(error))
        return None
    for note in reading.notes:
        _is_a_sentence(note)
    for line in reading.lines:
        for problem in line.problems:
            _is_a_sentence(problem)
        assert not line.unreadable or line.problems, f"unreadable without a reason: {line}"
    before = contents(desk.book)
    try:
        plan = preview(desk, [reading])
        changed = bring_in(desk, plan)
    except Mendable as error:
        _is_a_sentence(str(error))
        assert contents(desk.book) == before
        return reading
    if changed.name:
        desk.book.undo(today=TODAY)
    assert contents(desk.book) == before
    return reading


def _is_a_sentence(text: str) -> None:
    assert text.strip(), "an empty sentence"
    assert text[-1] in ".”)", f"not a sentence: {text!r}"
    assert "Traceback" not in text
    assert "object at 0x" not in text


def mangled(data: bytes, seed: int, hits: int) -> bytes:
    """Bytes with some of them flipped, cut out, doubled or overwritten."""
    chance = random.Random(seed)
    mangled = bytearray(data)
    for _ in range(hits):
        if not mangled:
            break
        at = chance.randrange(len(mangled))
        what = chance.random()
        if what < 0.4:
            mangled[at] = chance.randrange(256)
        elif what < 0.6:
            del mangled[at : at + chance.choice((1, 3, 60, 2000))]
        elif what < 0.8:
            mangled[at:at] = chance.choice(
                (b"\x00", b"\xff\xfe", b'"', b";;;", b"\r", b"<a>" * 40, b"9" * 400, b"=1+1",
                 b"&#0;", b"]]>", b"\xf0\x9f\x9a\x97", b"BEGIN:VCARD\n", b"1e999", b"'" * 9)
            )  # fmt: skip
        else:
            mangled[at : at + 8] = mangled[:8]
    return bytes(mangled)


_ODD = (
    "", "-1", "0", "999999999", "A0", "XFD1048577", "A1:XFD1048576", "e", "s", "b", "d", "n",
    "str", "inlineStr", "1e400", "NaN", "2014-13-45T25:00:00", "#REF!", "true", "45000.5", "-45000",
    "9" * 40,
    "&amp;&lt;", "hidden", "veryHidden", "rId99", "../../x", "x" * 500, "yyyy", "[$-409]mmm",
)  # fmt: skip
_VALUE = re.compile(rb'="([^"]*)"|>([^<>]+)<')


def with_odd_values(data: bytes, seed: int, hits: int) -> bytes:
    """XML that still holds together, with odd things in its attributes and texts."""
    chance = random.Random(seed)
    for _ in range(hits):
        places = list(_VALUE.finditer(data))
        if not places:
            break
        place = chance.choice(places)
        group = 1 if place.group(1) is not None else 2
        odd = chance.choice(_ODD).encode()
        data = data[: place.start(group)] + odd + data[place.end(group) :]
    return data


PARTS = (
    "xl/worksheets/sheet1.xml", "xl/worksheets/sheet2.xml", "xl/workbook.xml", "xl/styles.xml",
    "xl/_rels/workbook.xml.rels", "[Content_Types].xml", "xl/sharedStrings.xml",
)  # fmt: skip


def broken_inside(
    name: str, part: str, mangle: Callable[[bytes, int, int], bytes], seed: int, hits: int
) -> bytes:
    """A sample workbook of which one part is mangled, packed again."""
    packed = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(samples()[name])) as old,
        zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as new,
    ):
        for item in old.infolist():
            data = old.read(item.filename)
            new.writestr(item, mangle(data, seed, hits) if item.filename == part else data)
    return packed.getvalue()

"""Files that nobody should have made: whatever is in them, a person gets a sentence, never a trace.

300 examples in a usual run; as many as are named with
`BAYLEDGER_HOSTILE=10000 python -m pytest tests/documents/reading/test_hostile.py`.
"""

from __future__ import annotations

import io
import os
import random
import re
import zipfile
from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, time, timedelta
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl import Workbook

from app.actions.desk.desk import Desk
from app.actions.exchange.bringing_in import bring_in, preview
from app.documents.incoming import FileReading, read_file
from app.documents.reading.meanings import MEANINGS
from app.documents.reading.options import Options
from app.errors import Mendable
from app.records.book import Book
from app.records.contents import contents
from tests.files import messy

pytestmark = pytest.mark.slow
EXAMPLES = int(os.environ.get("BAYLEDGER_HOSTILE", "300"))
TODAY = date(2025, 8, 14)
# Small limits, so that the guards are reached with small files.
LIMITS = Options(today=TODAY, most_cells=20_000, most_unpacked=20_000_000)


def _share(percent: int) -> Callable[[Any], Any]:
    return settings(
        max_examples=max(EXAMPLES * percent // 100, 10),
        deadline=None,
        suppress_health_check=list(HealthCheck),
    )


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    path = tmp_path_factory.mktemp("hostile") / "shop.bayledger"
    with Book.create(path) as book:
        yield Desk(book, clock=lambda: datetime(2025, 8, 14, 22, tzinfo=UTC))


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("files")


@cache
def _samples() -> dict[str, bytes]:
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        here = Path(folder)
        made = (
            messy.address_workbook(here / "a.xlsx"),
            messy.shelf_workbook(here / "c.xlsx"),
            messy.accounts_csv(here / "b.csv"),
            messy.telephone_cards(here / "d.vcf"),
        )
        return {path.name: path.read_bytes() for path in made}


def _try(desk: Desk, path: Path) -> FileReading | None:
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


def _mangled(data: bytes, seed: int, hits: int) -> bytes:
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


def _with_odd_values(data: bytes, seed: int, hits: int) -> bytes:
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


@_share(20)
@given(
    name=st.sampled_from(("a.xlsx", "c.xlsx")), seed=st.integers(0, 2**32), hits=st.integers(1, 30)
)
def test_a_workbook_with_broken_bytes_gets_a_sentence(
    desk: Desk, place: Path, name: str, seed: int, hits: int
) -> None:
    path = place / "broken.xlsx"
    path.write_bytes(_mangled(_samples()[name], seed, hits))
    _try(desk, path)


@_share(25)
@given(
    name=st.sampled_from(("a.xlsx", "c.xlsx")),
    part=st.sampled_from(("xl/worksheets/sheet1.xml", "xl/worksheets/sheet2.xml", "xl/workbook.xml",
                          "xl/styles.xml", "xl/_rels/workbook.xml.rels", "[Content_Types].xml",
                          "xl/sharedStrings.xml")),
    mangle=st.sampled_from((_mangled, _with_odd_values, _with_odd_values, _with_odd_values)),
    seed=st.integers(0, 2**32),
    hits=st.integers(1, 12),
)  # fmt: skip
def test_a_workbook_that_is_broken_inside_its_parts_gets_a_sentence(
    desk: Desk,
    place: Path,
    name: str,
    part: str,
    mangle: Callable[[bytes, int, int], bytes],
    seed: int,
    hits: int,
) -> None:
    packed = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(_samples()[name])) as old,
        zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as new,
    ):
        for item in old.infolist():
            data = old.read(item.filename)
            new.writestr(item, mangle(data, seed, hits) if item.filename == part else data)
    path = place / "inside.xlsx"
    path.write_bytes(packed.getvalue())
    _try(desk, path)


@_share(20)
@given(
    seed=st.integers(0, 2**32),
    hits=st.integers(1, 40),
    ending=st.sampled_from((".csv", ".txt", ".tsv", ".xlsx", ".vcf")),
)
def test_a_text_table_with_broken_bytes_gets_a_sentence(
    desk: Desk, place: Path, seed: int, hits: int, ending: str
) -> None:
    path = place / f"broken{ending}"
    path.write_bytes(_mangled(_samples()["b.csv"], seed, hits))
    _try(desk, path)


@_share(10)
@given(seed=st.integers(0, 2**32), hits=st.integers(1, 40))
def test_address_cards_with_broken_bytes_get_a_sentence(
    desk: Desk, place: Path, seed: int, hits: int
) -> None:
    path = place / "broken.vcf"
    path.write_bytes(_mangled(_samples()["d.vcf"], seed, hits))
    _try(desk, path)


_HEADINGS = sorted({word for meaning in MEANINGS.values() for word in meaning.words[:4]})
_WILD = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-(10**18), 10**18),
    st.floats(allow_nan=False, allow_infinity=False),
    st.datetimes(datetime(1900, 3, 1), datetime(9999, 1, 1)),
    st.dates(date(1900, 3, 1), date(9999, 1, 1)),
    st.times(),
    st.timedeltas(timedelta(0), timedelta(days=9999)),
    st.text(st.characters(codec="utf-8", exclude_categories=("Cs", "Cc")), max_size=40),
    st.sampled_from(
        (
            "=1+1", "=HYPERLINK(\"x\")", "+1", "@x", "-", "#REF!", "#N/A", "n/a", "1/0", "0/0",
            "9" * 300, "½", "1 1/2", "-3 gal", "3 x", "x 3", "1e308", "1:0", "0:1", "12/31/9999",
            "31/31/31", "00/00/0000", "2 x 3 x 4 oz", "$", "€1", "(1)", "--5", "1,2,3", "1.2.3",
            "NaN", "inf", "A" * 40_000, "\u202e", "a@b", "@", "a@b.example; c@d.example", "555",
            "+999999999999999", "()", ":", "3:99", "99:99", "Smith, , ,", ", ", "&", "\n\n", "∞",
            "Miller, Ann & Bob & Carl", "'; DROP TABLE customers; --",
        )
    ),
)  # fmt: skip


@_share(25)
@given(
    headings=st.lists(st.sampled_from(_HEADINGS), min_size=1, max_size=9),
    rows=st.lists(st.lists(_WILD, max_size=9), max_size=8),
    title=st.sampled_from(("", "Customers", "Stock", "Jobs 2024", "Payments")),
    merge=st.booleans(),
)
def test_wild_values_under_usual_headings_are_read_or_told(
    desk: Desk, place: Path, headings: list[str], rows: list[list[Any]], title: str, merge: bool
) -> None:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    if title:
        sheet.title = title
    sheet.append(headings)
    for row in rows:
        sheet.append([_writable(value) for value in row])
    if merge:
        sheet.merge_cells("A2:A5")
        sheet.merge_cells("A4:C9")
    path = place / "wild.xlsx"
    book.save(path)
    _try(desk, path)


def _writable(value: Any) -> Any:
    if isinstance(value, time) and value.tzinfo:
        return None
    return value

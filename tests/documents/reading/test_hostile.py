"""Files that nobody should have made: whatever is in them, a person gets a sentence, never a trace.

300 examples in a usual run; as many as are named with
`BAYLEDGER_HOSTILE=10000 python -m pytest tests/documents/reading/test_hostile.py`.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl import Workbook

from app.actions.desk.desk import Desk
from app.documents.reading.meanings import MEANINGS
from app.records.book import Book
from tests.files.hostile import (
    PARTS,
    broken_inside,
    mangled,
    samples,
    tried,
    with_odd_values,
)

pytestmark = pytest.mark.slow
EXAMPLES = int(os.environ.get("BAYLEDGER_HOSTILE", "300"))


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


@_share(20)
@given(
    name=st.sampled_from(("a.xlsx", "c.xlsx")), seed=st.integers(0, 2**32), hits=st.integers(1, 30)
)
def test_a_workbook_with_broken_bytes_gets_a_sentence(
    desk: Desk, place: Path, name: str, seed: int, hits: int
) -> None:
    path = place / "broken.xlsx"
    path.write_bytes(mangled(samples()[name], seed, hits))
    tried(desk, path)


@_share(25)
@given(
    name=st.sampled_from(("a.xlsx", "c.xlsx")),
    part=st.sampled_from(PARTS),
    mangle=st.sampled_from((mangled, with_odd_values, with_odd_values, with_odd_values)),
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
    path = place / "inside.xlsx"
    path.write_bytes(broken_inside(name, part, mangle, seed, hits))
    tried(desk, path)


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
    path.write_bytes(mangled(samples()["b.csv"], seed, hits))
    tried(desk, path)


@_share(10)
@given(seed=st.integers(0, 2**32), hits=st.integers(1, 40))
def test_address_cards_with_broken_bytes_get_a_sentence(
    desk: Desk, place: Path, seed: int, hits: int
) -> None:
    path = place / "broken.vcf"
    path.write_bytes(mangled(samples()["d.vcf"], seed, hits))
    tried(desk, path)


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
    tried(desk, path)


def _writable(value: Any) -> Any:
    if isinstance(value, time) and value.tzinfo:
        return None
    return value

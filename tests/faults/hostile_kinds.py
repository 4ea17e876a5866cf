"""Files that nobody should have made, brought into the evening's book: nothing may be half done."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from random import Random

from openpyxl import Workbook

from app.actions.desk.desk import Desk
from app.documents.reading.meanings import MEANINGS
from app.records.book import Book
from tests.faults.kinds import Case, Kind
from tests.faults.trial import Verdict, apart
from tests.files.hostile import PARTS, broken_inside, mangled, samples, tried, with_odd_values

_HEADINGS = sorted({word for meaning in MEANINGS.values() for word in meaning.words[:4]})
_WILD = (
    None, True, -1, 0, 10**18, 1e300, -0.5, datetime(1900, 3, 1), datetime(9999, 1, 1), "=1+1",
    "#REF!", "n/a", "9" * 300, "½", "1 1/2", "-3 gal", "3 x", "12/31/9999", "31/31/31",
    "2 x 3 x 4 oz", "$", "(1)", "1,2,3", "NaN", "A" * 40_000, "\u202e", "a@b", "555",
    "a@b.example; c@d.example",
    "+999999999999999", "3:99", "Smith, , ,", "&", "\n\n", "Miller, Ann & Bob & Carl", "Ann Marlow",
    "1 gal", "2024-02-30", "14.08.2024", "45000", "12.50", "wax", "Coupe, red", "40 cash 60 card",
)  # fmt: skip


def _workbook(path: Path, chance: Random) -> Path:
    name, hits = chance.choice(("a.xlsx", "c.xlsx")), chance.randint(1, 30)
    path.write_bytes(mangled(samples()[name], chance.randrange(2**32), hits))
    return path


def _inside(path: Path, chance: Random) -> Path:
    name, part = chance.choice(("a.xlsx", "c.xlsx")), chance.choice(PARTS)
    mangle = chance.choice((mangled, with_odd_values, with_odd_values, with_odd_values))
    path.write_bytes(
        broken_inside(name, part, mangle, chance.randrange(2**32), chance.randint(1, 12))
    )
    return path


def _text(path: Path, chance: Random) -> Path:
    path = path.with_suffix(chance.choice((".csv", ".txt", ".tsv", ".xlsx", ".vcf")))
    path.write_bytes(mangled(samples()["b.csv"], chance.randrange(2**32), chance.randint(1, 40)))
    return path


def _cards(path: Path, chance: Random) -> Path:
    path = path.with_suffix(".vcf")
    path.write_bytes(mangled(samples()["d.vcf"], chance.randrange(2**32), chance.randint(1, 40)))
    return path


def _wild(path: Path, chance: Random) -> Path:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.title = chance.choice(("Sheet", "Customers", "Stock", "Jobs 2024", "Payments"))
    sheet.append(chance.choices(_HEADINGS, k=chance.randint(1, 9)))
    for _ in range(chance.randrange(9)):
        sheet.append([_written(value) for value in chance.choices(_WILD, k=chance.randrange(9))])
    book.save(path)
    return path


def _written(value: object) -> object:
    return value[:32_000] if isinstance(value, str) else value


def _file(make: Callable[[Path, Random], Path], case: Case) -> Verdict:
    path = make(case.evening.book.with_name("strange.xlsx"), case.chance)

    def bring(_tell: Callable[[object], None]) -> None:
        with Book.open(case.evening.book) as book:
            tried(Desk(book, clock=lambda: datetime(2025, 8, 14, 22, tzinfo=UTC)), path)

    end = apart(bring)
    return Verdict("to its end", f"not plain: {end.bug or end.sentence}" if end.bug else "")


FILES: dict[str, Kind] = {
    "a workbook with broken bytes": partial(_file, _workbook),
    "a workbook broken inside its parts": partial(_file, _inside),
    "a text table with broken bytes": partial(_file, _text),
    "address cards with broken bytes": partial(_file, _cards),
    "wild values under usual headings": partial(_file, _wild),
}

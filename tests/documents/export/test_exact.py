"""Values told in cells and read back: nothing is lost on the way."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from iso4217 import Currency
from openpyxl import load_workbook

from app.documents.export.exact import (
    cell_of,
    escaped,
    key_of,
    list_as_text,
    text_as_list,
    unescaped,
    value_of,
)
from app.documents.export.layout import Field
from app.documents.export.workbook import About, Records, write_export
from app.documents.reading.options import Options
from app.errors import Mendable

OPTIONS = Options(today=date(2025, 8, 14))


def told(value: Any, form: str, digits: int = 2, currency: str = "USD") -> Any:
    """A value told in a cell and read from it again."""
    field = Field("x", "X", form)
    return value_of(cell_of(value, field, digits), field, currency, OPTIONS)


def exported(text: str, folder: Path) -> Any:
    """The sheet of settings of an export in which the first one's name is this text."""
    records = Records("settings", 1, [{"id": text, "name": text, "value": 1}].__iter__)
    path = folder / "all.xlsx"
    write_export(path, About("", "USD", date(2025, 8, 14)), [records], {})
    return load_workbook(path)["Settings"]


@given(st.integers(-(10**12), 10**12))
def test_amounts_come_back_to_the_base_unit(value: int) -> None:
    assert told(value, "amount") == value
    assert told(value, "thousandths") == value
    assert told(value, "whole") == value


@pytest.mark.parametrize("currency", ["USD", "JPY", "KWD"])
@given(value=st.integers(-(10**10), 10**10))
def test_money_comes_back_to_the_minor_unit(currency: str, value: int) -> None:
    # Minor units after ISO 4217, as the library iso4217 lists them: 2, 0 and 3 digits.
    digits = int(Currency(currency).exponent or 0)
    assert told(value, "money", digits, currency) == value


@given(st.datetimes(datetime(2000, 1, 1), datetime(2099, 1, 1), timezones=st.just(UTC)))
def test_moments_come_back_to_the_microsecond(value: datetime) -> None:
    assert told(value, "moment") == value


@given(st.lists(st.text(max_size=12), max_size=5))
def test_lists_come_back_whatever_is_in_them(items: list[str]) -> None:
    assert text_as_list(list_as_text(items)) == items


@given(st.recursive(
    st.none() | st.booleans() | st.integers() | st.text(max_size=9),
    lambda one: st.lists(one, max_size=3) | st.dictionaries(st.text(max_size=5), one, max_size=3),
    max_leaves=8,
))  # fmt: skip
def test_settings_come_back_whatever_they_hold(value: Any) -> None:
    assert told(value, "json") == value


@given(st.text(max_size=60))
def test_any_text_is_told_in_signs_that_xml_carries_and_comes_back(text: str) -> None:
    assert unescaped(escaped(text)) == text
    assert not any(c in escaped(text) for c in "\x00\x01\x0b\x0c\r\x1f\ufffe\uffff")


@pytest.mark.parametrize("text", ["_x0041_", "_x005F_x0041_", "a\rb", "\x00", "_x", "__x0041_"])
def test_what_looks_like_an_escaped_sign_comes_back_as_it_is(text: str) -> None:
    assert unescaped(escaped(text)) == text


@given(st.text(st.characters(codec="utf-8"), min_size=1, max_size=40).filter(str.strip))
def test_any_text_survives_the_workbook_itself(text: str) -> None:
    with TemporaryDirectory() as folder:
        read = exported(text, Path(folder))
    assert value_of(read["A2"].value, Field("x", "X", "text"), "USD", OPTIONS) == text


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@x", "=HYPERLINK(1)"])
def test_text_that_looks_like_a_formula_stays_text(text: str, tmp_path: Path) -> None:
    cell = exported(text, tmp_path)["A2"]
    assert (cell.data_type, cell.value, cell.quotePrefix) == ("s", text, True)


@pytest.mark.parametrize(
    ("cell", "form", "value"),
    [("$12.50", "money", 1250), ("12.5", "amount", 12_500), ("1,200", "whole", 1200), ("x",
     "yes", True),
     ("March 5, 2024", "day", date(2024, 3, 5)), (45356, "day", date(2024, 3, 5)),
     (43001, "text", "43001"),
     ("2024-03-05T10:00", "moment", datetime(2024, 3, 5, 10, tzinfo=UTC)), ("12", "key:jobs", 12),
     (12.0, "key:jobs", 12), (None, "key:jobs", None), (None, "text", "")],
)  # fmt: skip
def test_what_a_person_typed_anew_is_read_as_they_write_it(
    cell: Any, form: str, value: Any
) -> None:
    assert value_of(cell, Field("x", "X", form), "USD", OPTIONS) == value


@pytest.mark.parametrize(
    ("cell", "form"),
    [("soon", "day"), ("lots", "amount"), ("maybe", "yes"), ("{", "json"), ("12 eur", "money"),
     ("C12", "key:jobs"),
     ("later", "moment"), (True, "whole"), ("9" * 40, "whole")],
)  # fmt: skip
def test_what_cannot_be_read_is_refused_with_what_it_holds(cell: Any, form: str) -> None:
    with pytest.raises(Mendable):
        value_of(cell, Field("x", "X", form), "USD", OPTIONS)


def test_a_key_is_a_whole_number_and_an_empty_one_a_new_row() -> None:
    assert (key_of(12), key_of("12"), key_of(None), key_of("x")) == (12, 12, None, None)

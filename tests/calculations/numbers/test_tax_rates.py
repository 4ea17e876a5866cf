"""Which rate holds on a day."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from app.calculations.numbers.tax_rates import BEGINNING, DatedRate, rate_on, read_rate, words_of
from app.errors import Mendable

APRIL = date(2026, 4, 1)


def rate(
    number: int, kind: str, rate: int, day: date, place: str = "", words: str = ""
) -> DatedRate:
    return DatedRate(rate_id=number, kind=kind, place=place, rate=rate, from_day=day, words=words)


RATES = [
    rate(1, "work", 6875, BEGINNING, words="city tax"),
    rate(2, "work", 7250, APRIL, words="city tax"),
    rate(3, "goods sold", 7375, BEGINNING, words="tax on goods"),
    rate(4, "work", 5000, APRIL, "Easton"),
]


def found(kind: str, day: date, place: str = "") -> int | None:
    one = rate_on(RATES, kind, day, place)
    return one.rate if one else None


def test_a_rate_holds_from_its_day_on_until_a_later_one_takes_its_place() -> None:
    assert found("work", date(2026, 3, 31)) == 6875
    assert found("Work", APRIL) == 7250
    assert found("goods sold", date(2031, 1, 1)) == 7375


def test_a_kind_without_a_rate_has_none() -> None:
    assert found("travel", APRIL) is None


def test_a_place_has_its_own_rate_from_its_day_on_and_else_the_shops() -> None:
    assert found("work", APRIL, "easton") == 5000
    assert found("work", date(2026, 3, 31), "Easton") == 6875
    assert found("goods sold", APRIL, "Easton") == 7375
    assert found("work", APRIL, "Westhill") == 7250


def test_what_is_printed_beside_a_rate_is_what_stands_at_it_on_that_day() -> None:
    assert words_of(RATES, 7250, APRIL) == "city tax"
    assert words_of(RATES, 6875, APRIL) == ""
    both = [*RATES, rate(5, "goods sold", 7250, APRIL, words="goods")]
    assert words_of(both, 7250, APRIL) == "city tax, goods"


@pytest.mark.parametrize(("typed", "thousandths"), [
    ("7.25", 7250), ("8.875 %", 8875), ("6,5%", 6500), ("100", 100_000), ("0.001", 1), ("0", 0),
    ("no tax", 0), ("Exempt", 0), ("none", 0), ("-", 0), ("", 0),
])  # fmt: skip
def test_a_rate_is_typed_in_percent(typed: str, thousandths: int) -> None:
    assert read_rate(typed) == thousandths


@pytest.mark.parametrize(("typed", "words"), [
    ("100.001", "between 0 and 100"), ("725", "between 0 and 100"), ("7.2505", "three decimals"),
    ("0.0005", "three decimals"),
])  # fmt: skip
def test_a_rate_that_cannot_be_is_refused_in_a_sentence(typed: str, words: str) -> None:
    with pytest.raises(Mendable, match=words):
        read_rate(typed)


def test_the_beginning_is_that_of_the_instants_which_count_from_there() -> None:
    """Seconds count from 1970-01-01 (POSIX.1, Seconds Since the Epoch)."""
    assert datetime.fromtimestamp(0, UTC).date() == BEGINNING

"""Temperatures as they are written and shown."""

from __future__ import annotations

import pytest

from app.calculations.numbers.temperatures import read_temperature, shown_temperature
from app.calculations.numbers.units import System
from app.errors import Mendable

US, METRIC = System.US, System.METRIC


# Freezing and boiling by definition; -40 is the same on both scales; 98.6 °F is 37 °C.
@pytest.mark.parametrize(
    ("typed", "system", "tenths"),
    [
        ("32", US, 0), ("32 F", METRIC, 0), ("10", METRIC, 100), ("10 °C", US, 100),
        ("-40", US, -400), ("\u221240 c", US, -400), ("98.6f", METRIC, 370), ("50 F", US, 100),
    ],
)  # fmt: skip
def test_a_bare_number_is_in_the_shops_own_unit(typed: str, system: System, tenths: int) -> None:
    assert read_temperature(typed, system) == tenths


@pytest.mark.parametrize("typed", ["", "warm", "10 K", "400 F", "-70 C", "1,234"])
def test_what_is_no_weather_is_refused(typed: str) -> None:
    with pytest.raises(Mendable):
        read_temperature(typed, US)


def test_a_temperature_is_shown_in_whole_degrees() -> None:
    assert shown_temperature(100, US) == "50 °F"
    assert shown_temperature(-33, METRIC) == "−3 °C"
    for degrees in range(-40, 120):  # what is shown is read as what it was, to the degree
        typed = f"{degrees} F"
        assert read_temperature(shown_temperature(read_temperature(typed, US), US), US) == (
            read_temperature(typed, US)
        )

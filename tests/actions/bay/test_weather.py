"""The weather by hand: outside work waits for it, a cold night is asked about."""

from __future__ import annotations

from datetime import date

import pytest

from app.actions.bay.plan_of_shop import clock_words, plan_of_shop
from app.actions.bay.weather import note_weather, weather
from app.actions.desk.desk import Desk
from app.actions.stock.supply_facts import edit_supply
from app.errors import Mendable
from tests.actions.bay.conftest import Book
from tests.shop import SmallShop

MONDAY = date(2025, 8, 18)


def test_outside_work_waits_for_the_weather_and_the_bay_does_not(desk: Desk, book: Book) -> None:
    outside = book("wash", 18, minutes=60, place="outside")
    inside = book("wash", 18, minutes=60)
    note_weather(desk, MONDAY, holds_outside=True, note="hail")
    found = plan_of_shop(desk)
    assert clock_words(desk, found.row(outside).begin).startswith("Tue")
    assert found.row(outside).pushed
    assert clock_words(desk, found.row(inside).begin).startswith("Mon")
    assert found.days[4].weather == "no work outside, hail"
    note_weather(desk, MONDAY, holds_outside=False, note="")
    assert weather(desk, MONDAY, MONDAY) == {}, "nothing noted leaves no row"
    desk.book.undo(today=desk.today)
    assert weather(desk, MONDAY, MONDAY)[MONDAY].note == "hail"


def test_a_night_too_cold_for_a_cure_is_asked_about(
    desk: Desk, shop: SmallShop, book: Book
) -> None:
    edit_supply(desk, shop.supplies["coating"], least_temperature="50 F")
    book("ceramic", 18, minutes=420)
    note_weather(desk, MONDAY, low="11")
    assert plan_of_shop(desk).asked == ()
    note_weather(desk, MONDAY, low="39 F")
    said = plan_of_shop(desk).asked
    assert len(said) == 1
    assert said[0].startswith("Monday night is noted at 4 °C, and ")
    assert "asks for 10 °C or more" in said[0]
    with pytest.raises(Mendable, match="no temperature"):
        note_weather(desk, MONDAY, low="cold")

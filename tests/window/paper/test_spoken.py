"""What is drawn, in words."""

from __future__ import annotations

from app.window.paper.cells import Cell, Column, GroupRow, State
from app.window.paper.notes import Alert, DotStrip, Facts, Offer, StripLine
from app.window.paper.spoken import spoken_block, spoken_cell, spoken_group

USED = Column("used", "Used", subhead="today")


def test_a_cell_says_how_it_stands():
    changed = Cell("60", State.CHANGED, old="45", unit="mL", editable=True)
    assert spoken_cell(changed, USED) == "60 mL, changed from 45"
    assert spoken_cell(Cell("12", State.FEW), USED) == "12, from few jobs, worth a look"
    assert spoken_cell(Cell("-2", State.ALARM, mark="wrong"), USED) == "-2, wrong or too late"
    assert spoken_cell(Cell("", State.UNUSED, editable=True), USED) == "Used today: none"
    assert spoken_cell(Cell(), USED) == ""


def test_a_painted_cell_says_what_its_column_makes_of_it():
    bar = Column("bar", say=lambda days: f"lasts {days} days")
    assert spoken_cell(Cell(data=12), bar) == "lasts 12 days"


def test_the_margin_says_its_dots_facts_and_offers():
    strip = DotStrip((40, 45.5), 38, 50, (StripLine(60, "today"),), "mL a wash")
    said = "usual range 38 to 50; today 60; 2 before: 40, 45.5; mL a wash"
    assert spoken_block(strip) == said
    assert spoken_block(Facts((("On hand", "3 L"),))) == "On hand: 3 L"
    moved = Facts((("Begins", "Fri 8:30", "", "Thu 8:30"),))
    assert spoken_block(moved) == "Begins: Fri 8:30, was Thu 8:30"
    assert spoken_block(Offer("F4", "Count", int)) == "Count, F4"
    assert spoken_block(Alert("Below zero", "wrong")) == "wrong or too late: Below zero"
    assert spoken_group(GroupRow("a", "Tuesday van", "next 19 Aug")) == "Tuesday van, next 19 Aug"

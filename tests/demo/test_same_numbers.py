"""What stands in several places is one number there, rounded alike, over the made-up shop."""

from __future__ import annotations

import re
from collections import defaultdict
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING

import pytest

from app.actions.day.day import day_view
from app.actions.day.day_report import day_json, day_text
from app.actions.day.supplies_used import SuppliesUsed, supplies_used
from app.actions.day.use_note import use_note
from app.actions.desk.desk import Desk
from app.actions.figures.figures import figures
from app.actions.layers.life_page import life_page
from app.actions.letters.reminders import vehicles_to_ask, whom_to_remind
from app.actions.letters.renewing import renewals
from app.actions.shelf.shelf import shelf
from app.actions.shelf.supplies import supply_note
from app.calculations.numbers.money import shown_whole
from app.calculations.numbers.wording import MINUS
from app.demo.story import build_demo
from app.records.book import Book

if TYPE_CHECKING:
    from collections.abc import Iterator

MEASURES = ("fl oz", "oz", "gal", "mL", "L", "g", "kg", "lb")
TODAY = date(2026, 8, 13)


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    path = tmp_path_factory.mktemp("demo") / "demo.bayledger"
    build_demo(path, today=TODAY)
    with Book.open(path) as book:
        yield Desk(book, clock=lambda: datetime(2026, 8, 13, 22, 30, tzinfo=UTC))


@pytest.fixture(scope="module")
def used(desk: Desk) -> SuppliesUsed:
    return supplies_used(desk, TODAY)


def test_what_is_left_is_the_same_on_the_day_sheet_the_shelf_and_beside_both(
    desk: Desk, used: SuppliesUsed
) -> None:
    standing = {
        row.supply_id: (row.on_hand_text, row.cover_days)
        for group in shelf(desk, TODAY).groups
        for row in group.rows
    }
    rows = [row for row in used.rows if not row.pool]
    assert len(rows) >= 5
    for row in rows:
        assert standing[row.supply_id] == (row.left_text, row.cover_days)
        facts = {label: value for label, value, _ in supply_note(desk, TODAY, row.supply_id).facts}
        assert facts["On hand"].split()[0] == row.left_text
        job = next(cell.job_id for cell in row.cells)
        beside = dict(use_note(desk, TODAY, job, row.supply_id).facts)
        assert beside["Left"].split()[0] == row.left_text
    for row in (one for one in used.rows if one.pool):  # of these what is clean is told
        job = next(cell.job_id for cell in row.cells)
        clean = dict(use_note(desk, TODAY, job, row.supply_id).facts)["Clean after"]
        assert clean.split()[0] == row.left_text


def test_the_day_as_text_says_what_is_left_as_the_sheet_does(
    desk: Desk, used: SuppliesUsed
) -> None:
    told = day_text(desk, TODAY).partition("Supplies used:\n")[2].partition("\n\n")[0]
    lines = {row.name: line for row, line in zip(used.rows, told.splitlines(), strict=True)}
    assert any(row.pool for row in used.rows)
    for row in used.rows:
        line = lines[row.name].strip().removeprefix(row.name)  # a name may hold a comma
        said = re.search(r", (\S+) .+? (clean|left)\b", line)
        assert said is not None, line
        number, how = said.groups()
        assert (number, how) == (row.left_text, "clean" if row.pool else "left"), row.name


def test_pieces_on_the_shelf_are_whole_and_nothing_is_less_than_nothing_by_a_hair(
    desk: Desk,
) -> None:
    for group in shelf(desk, TODAY).groups:
        for row in group.rows:
            texts = (row.on_hand_text, row.reorder_below_text, row.on_order_text)
            if row.unit not in MEASURES:
                assert not any("." in text for text in texts), row.name
            assert "-" not in "".join(texts)
            assert row.on_hand_text.strip("0.,") != MINUS


def test_a_column_has_one_number_of_decimals_for_each_unit(desk: Desk, used: SuppliesUsed) -> None:
    decimals: dict[tuple[str, str], set[int]] = defaultdict(set)

    def note(column: str, unit: str, text: str) -> None:
        if text and unit in MEASURES:
            decimals[column, unit].add(len(text.partition(".")[2]))

    for row in used.rows:
        note("today", row.unit, row.today_text)
        note("left", row.unit, row.left_text)
        for at, cell in enumerate(row.cells):
            note(f"job {at}", row.unit, cell.text)
            note(f"job {at}", row.unit, cell.expected_text)
    for group in shelf(desk, TODAY).groups:
        for line in group.rows:
            note("on hand", line.unit, line.on_hand_text)
            note("reorder", line.unit, line.reorder_below_text)
            note("on order", line.unit, line.on_order_text)
    assert decimals
    assert {place: found for place, found in decimals.items() if len(found) > 1} == {}


def test_leaf_and_day_sheet_count_the_same_vehicles_to_ask(desk: Desk) -> None:
    number = vehicles_to_ask(desk, TODAY)
    assert number > 0
    said = next(one.result for one in day_view(desk, TODAY).stations if one.key == "reminders")
    assert said == f"{number} vehicles to ask about now"
    letters = whom_to_remind(desk, TODAY).letters
    assert number == len({vehicle for one in letters for vehicle in one.vehicle_ids})


def test_a_layer_lives_as_long_on_renewals_as_on_the_card_of_its_supply(desk: Desk) -> None:
    compared = 0
    for row in renewals(desk, TODAY).rows:
        supply = row.layer.layer.supply
        life = None if supply is None else life_page(desk, TODAY, supply)
        if life is None or not life.summary.layers:
            continue
        facts = dict(life.facts)
        text = life.summary.sentence
        assert f"half of them last {facts['Half of them last']} " in text
        assert facts["Label"] in text
        compared += 1
    assert compared


def test_the_best_month_earned_what_its_bar_says(desk: Desk) -> None:
    found = figures(desk, "year", TODAY)
    assert found.money.best is not None
    earned = found.money.bars[found.money.best].earned
    assert f" earned {shown_whole(earned, found.currency)}," in found.money.finding


def test_what_programs_read_has_plain_numbers(desk: Desk) -> None:
    for supply in day_json(desk, TODAY)["supplies"]:
        for shown in (supply["used_shown"], supply["left_shown"]):
            assert re.fullmatch(r"-?[\d,]+(\.\d+)?", shown)

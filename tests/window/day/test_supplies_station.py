"""Supplies used as the hand sees them: weighed, mixed, by bottles; the margin says how it read."""

from __future__ import annotations

from datetime import timedelta

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot
from sqlalchemy import delete

from app.actions.day.closing import close_day
from app.actions.day.supplies_used import set_use
from app.actions.desk.amounts import all_supplies
from app.actions.shelf import pools
from app.actions.shelf.tidying import archive_supply
from app.actions.stock import supply_facts
from app.records.models import RecipeLine
from app.records.queries import uses as use_queries
from app.window.paper.finder import Finder
from app.window.paper.notes import Alert, Facts, Voice
from tests.shop import TODAY, SmallShop
from tests.window.day.conftest import Hands


def voice(hands: Hands) -> str:
    return " ".join(
        block.text for block in hands.sheet.margin.note.blocks if isinstance(block, Voice | Alert)
    )


def used(hands: Hands, supply: int, job: int) -> int | None:
    with hands.shell.office.desk.book.reading() as session:
        row = use_queries.use_to_write(session, hands.shell.office.day, job, supply)
        return None if row is None else row.quantity


def write(hands: Hands, supply: int, job: int, text: str) -> None:
    table = hands.sheet.station().table
    table.setFocus()
    if not table.go(supply, f"job {job}"):
        pytest.fail("the supply does not stand on the sheet")
    hands.type(text)
    hands.press(Qt.Key.Key_Return)
    table.go(supply, f"job {job}")
    hands.settle()


@pytest.mark.parametrize(
    ("supply", "typed", "amount", "said"),
    [
        # The tub of polish weighed 660 g with its 60 g container; a gram is a millilitre here.
        ("polish", "589g left", 71_000, "71 mL used"),
        # 4 US gallons at 1 to 256: 15,141.6 mL of 257 parts, one of them soap.
        ("soap", "4 gal mixed", 58_917, "at 1 to 256 took"),
        ("soap", "2 bottles filled", 7_782, "at 1 to 256"),
        ("polish", "1/4 bottle", 250_000, "1/4 bottle came to 250 mL"),
        ("wheel", "4 oz", 118_294, ""),
    ],
)
def test_an_entry_is_read_as_said_and_the_margin_says_how(
    hands: Hands, shop: SmallShop, supply: str, typed: str, amount: int, said: str
) -> None:
    number, job = shop.supplies[supply], shop.jobs["0411"]
    desk = hands.shell.office.desk
    set_use(desk, TODAY, job, number, "1 ml")
    hands.shell.office.changed.emit(frozenset({"uses"}))
    hands.open(2)
    write(hands, number, job, typed)
    assert used(hands, number, job) == pytest.approx(amount, abs=2)
    assert said in voice(hands)
    hands.press(Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert used(hands, number, job) == 1000


def test_a_load_of_towels_is_its_pieces(hands: Hands, shop: SmallShop) -> None:
    desk, cloths, job = hands.shell.office.desk, shop.supplies["cloths"], shop.jobs["0411"]
    supply_facts.edit_supply(desk, cloths, pool="paint", pool_load=25, pool_uses=100)
    set_use(desk, TODAY, job, cloths, "4")
    hands.shell.office.changed.emit(frozenset({"uses", "supplies"}))
    hands.open(2)
    write(hands, cloths, job, "1 load")
    assert used(hands, cloths, job) == 25_000
    assert "1 load: 25 pieces" in voice(hands)


def test_a_whole_container_says_who_pays_and_what_stays_opened(
    hands: Hands, shop: SmallShop
) -> None:
    desk, coating = hands.shell.office.desk, shop.supplies["coating"]
    supply_facts.edit_supply(
        desk, coating, whole_container=True, bottle=30_000, opened_life_days=10
    )
    with desk.book.load() as session:
        session.query(RecipeLine).filter_by(supply_id=coating).update(
            {"scaling": "container", "amount": 30_000}
        )
    hands.shell.office.open_day(TODAY + timedelta(days=1))
    hands.shell.office.changed.emit(frozenset({"uses", "supplies", "services"}))
    hands.settle()
    hands.open(2)
    write(hands, coating, shop.jobs["0412"], "14 ml")
    said = voice(hands)
    assert "bears the container that it opens, 79.00" in said
    assert "16 mL stays opened" in said


def test_a_dangerous_neighbor_on_the_job_is_cautioned_once_where_it_is_chosen(
    hands: Hands, shop: SmallShop
) -> None:
    desk, job = hands.shell.office.desk, shop.jobs["0411"]
    supply_facts.edit_supply(desk, shop.supplies["wheel"], ingredients="acid")
    supply_facts.edit_supply(desk, shop.supplies["soap"], ingredients="hypochlorite")
    hands.shell.office.changed.emit(frozenset({"supplies"}))
    hands.open(2)
    write(hands, shop.supplies["wheel"], job, "100 ml")
    # Hypochlorite with acid gives off chlorine: US CDC, "Chemical disinfectants" guidance.
    assert voice(hands).count("chlorine") == 1
    assert "override" in voice(hands)


def test_an_archived_supply_is_not_offered(hands: Hands, qtbot: QtBot) -> None:
    hands.open(2)
    offered = _offered(hands, qtbot)
    hands.press(Qt.Key.Key_Escape)
    desk = hands.shell.office.desk
    numbers = {one.name: number for number, one in all_supplies(desk).items()}
    archive_supply(desk, numbers[offered[0]])
    hands.shell.office.changed.emit(frozenset({"supplies"}))
    hands.settle()
    assert _offered(hands, qtbot) == offered[1:]


def _offered(hands: Hands, qtbot: QtBot) -> list[str]:
    hands.press(Qt.Key.Key_Insert)
    finder = QApplication.focusWidget().parent()
    assert isinstance(finder, Finder)
    qtbot.waitUntil(lambda: bool(finder.lines))
    return [line.text for line in finder.lines]


def test_facts_of_the_margin_have_short_labels(hands: Hands, shop: SmallShop) -> None:
    hands.open(2)
    hands.settle()
    facts = next(b for b in hands.sheet.margin.note.blocks if isinstance(b, Facts))
    labels = [pair[0] for pair in facts.pairs]
    assert "Ordered today, comes in" in labels
    assert max(len(label) for label in labels) <= 24


def test_the_first_of_two_weighings_is_written_over_and_the_second_follows(
    hands: Hands, shop: SmallShop
) -> None:
    """One tub of polish, 660 g when the day began, on two jobs; the first was read off wrong."""
    polish, first, second = shop.supplies["polish"], shop.jobs["0411"], shop.jobs["0412"]
    set_use(hands.shell.office.desk, TODAY, first, polish, "1 ml")
    hands.shell.office.changed.emit(frozenset({"uses"}))
    hands.open(2)
    write(hands, polish, first, "400 g left")
    write(hands, polish, second, "380 g left")
    assert (used(hands, polish, first), used(hands, polish, second)) == (260_000, 20_000)
    write(hands, polish, first, "410 g left")
    assert (used(hands, polish, first), used(hands, polish, second)) == (250_000, 30_000)
    hands.press(Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert (used(hands, polish, first), used(hands, polish, second)) == (260_000, 20_000)


def test_on_an_empty_page_ins_adds_a_supply_and_a_quarter_bottle_can_be_written(
    hands: Hands, shop: SmallShop, qtbot: QtBot
) -> None:
    desk, polish = hands.shell.office.desk, shop.supplies["polish"]
    with desk.book.load() as session:
        session.execute(delete(RecipeLine))
    hands.shell.office.changed.emit(frozenset({"services"}))
    hands.open(2)
    assert hands.sheet.station().table.model().rowCount() == 0
    names = _offered(hands, qtbot)
    name = all_supplies(desk)[polish].name
    assert name in names
    hands.type(name)
    hands.settle()
    hands.press(Qt.Key.Key_Return)
    hands.type("1/4 bottle")
    hands.press(Qt.Key.Key_Return)
    assert used(hands, polish, shop.jobs["0411"]) == 250_000


@pytest.fixture
def towels(hands: Hands, shop: SmallShop) -> int:
    """The cloths as a pool of which thirty are in use."""
    desk, number = hands.shell.office.desk, shop.supplies["cloths"]
    supply_facts.edit_supply(desk, number, pool="paint", pool_load=25, pool_uses=100)
    changed = pools.set_out(desk, TODAY, number, "30")
    hands.shell.office.note(changed)
    return number


def test_the_loads_that_were_washed_are_typed_on_the_sheet(hands: Hands, towels: int) -> None:
    hands.open(2)
    table = hands.sheet.station().table
    key = ("wash", towels)
    assert hands.cell(key, "left").text == "10 clean"
    hands.press(Qt.Key.Key_L)
    hands.type("1")
    hands.press(Qt.Key.Key_Return)
    assert [(one.loads, one.clean) for one in pools.washed_on(hands.sheet.office.desk, TODAY)] == [
        (1, 35)
    ]
    assert hands.cell(key, "today").text == "1"
    assert hands.cell(key, "left").text == "35 clean"
    table.go(key, "today")
    hands.type("many")
    hands.press(Qt.Key.Key_Return)
    assert "no number of loads" in hands.foot
    hands.press(Qt.Key.Key_Escape)
    table.go(key, "today")
    hands.settle()
    assert hands.sheet.margin.note.title == "Cloths"


def test_a_closed_day_shows_its_wash_and_is_not_written_in(hands: Hands, towels: int) -> None:
    pools.set_washed(hands.shell.office.desk, TODAY, towels, "1")
    close_day(hands.shell.office.desk, TODAY)
    hands.shell.office.changed.emit(frozenset({"days", "stock"}))
    hands.settle()
    hands.open(2)
    assert hands.cell(("wash", towels), "today").text == "1"
    assert not hands.cell(("wash", towels), "today").editable

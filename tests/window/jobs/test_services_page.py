"""Services and their recipes, written by keyboard."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.actions.desk.amounts import supply_of
from app.actions.desk.desk import Desk
from app.actions.jobs.services import list_services, service_page
from app.actions.shelf.tidying import archive_supply
from app.window.house.shell import Shell
from app.window.jobs.services_page import ServicesPage
from app.window.paper.finder import Finder
from tests.shop import SmallShop
from tests.window.conftest import Beside
from tests.window.keys import found, press, type_words

Key = Qt.Key
CTRL = Qt.KeyboardModifier.ControlModifier
ALT = Qt.KeyboardModifier.AltModifier


@pytest.fixture
def shell(beside: Beside) -> Shell:
    return beside("services", ServicesPage)


def first_service(shell: Shell) -> tuple[ServicesPage, int]:
    """The page, and the service that it opens at."""
    shell.open("services")
    page = shell.here
    assert isinstance(page, ServicesPage)
    assert page.service is not None
    return page, page.service


def test_a_service_is_written_priced_and_stopped_by_keyboard(shell: Shell, desk: Desk) -> None:
    shell.open("services")
    page = shell.here
    assert isinstance(page, ServicesPage)
    press(Key.Key_Insert)
    type_words("Headlight pair")
    press(Key.Key_Return)
    line = list_services(desk)[0]
    assert line.name == "Headlight pair"
    type_words("1:15")  # the focus is on the time of what was just named
    press(Key.Key_Tab)
    type_words("90")
    press(Key.Key_Return)
    line = list_services(desk)[0]
    assert (line.minutes, line.price) == (75, 9000)
    page.list.go(line.service_id, "name")
    press(Key.Key_Space)
    assert list_services(desk)[0].stopped


def test_a_step_takes_minutes_and_then_stands_by_keyboard(
    shell: Shell, desk: Desk, shop: SmallShop
) -> None:
    page, service = first_service(shell)
    press(Key.Key_2, ALT)
    step = service_page(desk, service).steps[0].step_id
    page.steps.go(step, "minutes")
    type_words("45m")
    press(Key.Key_Tab)
    type_words("dries overnight")
    press(Key.Key_Return)
    first = service_page(desk, service).steps[0]
    assert (first.minutes, first.hold, first.hold_minutes) == (45, "dries", 12 * 60)
    press(Key.Key_1, ALT)
    page.list.go(service, "in_bay")
    press(Key.Key_Space)
    assert not service_page(desk, service).service.in_bay


def test_a_recipe_grows_by_space_and_shrinks_by_key(
    shell: Shell, shop: SmallShop, desk: Desk, qtbot: QtBot
) -> None:
    page, service = first_service(shell)
    press(Key.Key_3, ALT)
    before = service_page(desk, service).recipe
    press(Key.Key_Insert)
    type_words("wax")
    found("wax", qtbot)
    press(Key.Key_Return)
    type_words("12")
    press(Key.Key_Return)
    added = [one for one in service_page(desk, service).recipe if one not in before]
    assert [(one.supply_id, one.amount) for one in added] == [(shop.supplies["wax"], 12_000)]
    page.recipe.go(shop.supplies["wax"], "amount")
    press(Key.Key_Space)
    line = next(
        o for o in service_page(desk, service).recipe if o.supply_id == shop.supplies["wax"]
    )
    assert line.scaling == "layer"
    press(Key.Key_Delete, CTRL)
    assert service_page(desk, service).recipe == before


def test_esc_leads_back_to_the_place_that_the_page_was_opened_from(shell: Shell) -> None:
    shell.open("day")
    shell.open("services")
    assert shell.here_key == "services"
    press(Key.Key_Escape)
    assert shell.here_key == "day"


def test_the_size_that_counts_and_the_tax_are_typed_or_turned_by_space(
    shell: Shell, shop: SmallShop, desk: Desk
) -> None:
    shell.open("services")
    page = shell.here
    assert isinstance(page, ServicesPage)
    wash = shop.services["wash"]

    def service() -> tuple[bool, str, bool]:
        found = service_page(desk, wash).service
        return found.outside, found.tax_kind, found.stopped

    assert service() == (True, "work", False)
    page.list.setFocus()
    page.list.go(wash, "outside")
    type_words("inside")
    press(Key.Key_Return)
    assert service() == (False, "work", False)
    page.list.go(wash, "outside")
    press(Key.Key_Space)
    assert service() == (True, "work", False)
    page.list.go(wash, "tax_kind")
    press(Key.Key_Space)
    assert service() == (True, "", False)
    page.list.go(wash, "tax_kind")
    type_words("yes")
    press(Key.Key_Return)
    assert service() == (True, "work", False)
    page.list.go(wash, "tax_kind")
    type_words("perhaps")
    press(Key.Key_Return)
    assert page.list.writing is not None
    assert "no kind of line" in page.list.writing.wrong
    assert service() == (True, "work", False)
    press(Key.Key_Escape)
    for _ in range(4):
        press(Key.Key_Z, CTRL)
    assert service() == (True, "work", False)


def test_steps_are_renamed_and_moved_by_key_and_both_are_undone(
    shell: Shell, shop: SmallShop, desk: Desk
) -> None:
    shell.open("services")
    page = shell.here
    assert isinstance(page, ServicesPage)
    page.list.setFocus()
    page.list.go(shop.services["ceramic"], "name")
    press(Key.Key_2, ALT)

    def names() -> list[str]:
        return [one.name for one in service_page(desk, shop.services["ceramic"]).steps]

    before = names()
    first = service_page(desk, shop.services["ceramic"]).steps[0].step_id
    page.steps.go(first, "name")
    type_words("Rinse well")
    press(Key.Key_Return)
    assert names() == ["Rinse well", *before[1:]]
    page.steps.go(first, "name")
    press(Key.Key_Down, CTRL)
    assert names() == [before[1], "Rinse well", *before[2:]]
    assert page.steps.current_key() == first, "the focus goes with the step"
    press(Key.Key_Up, CTRL)
    press(Key.Key_Up, CTRL)
    assert names() == ["Rinse well", *before[1:]]
    for _ in range(3):
        press(Key.Key_Z, CTRL)
    assert names() == before


def test_the_steps_and_the_recipe_that_come_next_are_those_of_the_service_just_written(
    shell: Shell, desk: Desk
) -> None:
    shell.open("services")
    page = shell.here
    assert isinstance(page, ServicesPage)
    press(Key.Key_Insert)
    type_words("Aircraft wash")
    press(Key.Key_Return)
    press(Key.Key_2, ALT)
    press(Key.Key_Insert)
    type_words("Rinse")
    press(Key.Key_Return)
    written = next(one for one in list_services(desk) if one.name == "Aircraft wash")
    assert [step.name for step in service_page(desk, written.service_id).steps] == ["Rinse"]


def test_a_list_to_choose_from_goes_when_another_entry_is_opened(
    shell: Shell, shop: SmallShop, desk: Desk
) -> None:
    assert shop.services
    shell.open("services")
    page = shell.here
    assert isinstance(page, ServicesPage)
    press(Key.Key_2, ALT)
    before = [step.name for step in service_page(desk, page.service or 0).steps]
    press(Key.Key_F4)
    assert page.margin.findChildren(Finder)
    press(Key.Key_3, ALT)
    assert not any(one.isVisible() for one in page.margin.findChildren(Finder))
    press(Key.Key_Escape)
    assert [step.name for step in service_page(desk, page.service or 0).steps] == before


def test_an_archived_supply_is_not_offered_for_a_recipe(
    shell: Shell, shop: SmallShop, desk: Desk
) -> None:
    archive_supply(desk, shop.supplies["wax"])
    shell.open("services")
    page = shell.here
    assert isinstance(page, ServicesPage)
    press(Key.Key_3, ALT)
    press(Key.Key_Insert)
    (finder,) = (one for one in page.margin.findChildren(Finder) if one.isVisible())
    offered = [line.text for line in finder.lines]
    assert offered
    assert supply_of(desk, shop.supplies["wax"]).name not in offered


def test_without_a_service_the_steps_say_what_will_stand_there_and_the_key_that_begins_it(
    shell: Shell, desk: Desk
) -> None:
    shell.open("services")
    page = shell.here
    assert isinstance(page, ServicesPage)
    assert "first service" in page.list.entries.cell(0, 0).detail
    press(Key.Key_2, ALT)
    assert page.steps.rows == ()
    press(Key.Key_1, ALT)
    type_words("Upkeep wash")
    press(Key.Key_Return)
    assert "another service" in [row.cells[0].detail for row in page.list.rows]
    press(Key.Key_2, ALT)
    type_words("Pre-rinse")
    press(Key.Key_Return)
    (service,) = list_services(desk)
    assert [one.name for one in service_page(desk, service.service_id).steps] == ["Pre-rinse"]

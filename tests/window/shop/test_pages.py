"""The pages beside the six places: bringing files in, settings, services and recipes."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.actions.desk.desk import Changed, Desk
from app.actions.desk.settings import HOURS_CONDITION
from app.actions.exchange import bringing_in
from app.actions.exchange.bringing_in import Preview
from app.actions.jobs.services import list_services, service_page
from app.actions.people.customers import list_customers
from app.calculations.numbers.units import System
from app.documents.reading.options import Progress
from app.window.exchange.bringing_in_page import BringingInPage
from app.window.house.office import Office
from app.window.house.place import Place, PlaceEntry
from app.window.house.shell import Shell
from app.window.jobs.services_page import ServicesPage
from app.window.shop.settings_page import SettingsPage
from tests.files import messy
from tests.shop import small_shop

Key = Qt.Key
CTRL = Qt.KeyboardModifier.ControlModifier
ALT = Qt.KeyboardModifier.AltModifier


@pytest.fixture
def shell(office: Office, shown: Callable[[QWidget, int, int], QWidget]) -> Shell:
    made = Shell(
        office,
        [PlaceEntry("day", "Day sheet", "day", Place)],
        asides=[
            PlaceEntry("bringing in", "", "", BringingInPage),
            PlaceEntry("settings", "", "", SettingsPage),
            PlaceEntry("services", "", "", ServicesPage),
        ],
    )
    shown(made, 1366, 768)
    return made


def press(key: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
    target = QApplication.focusWidget()
    assert target is not None
    QTest.keyClick(target, key, modifier)
    QApplication.processEvents()


def type_words(words: str) -> None:
    for letter in words:
        target = QApplication.focusWidget()
        assert target is not None
        QTest.keyClicks(target, letter)
    QApplication.processEvents()


# bringing in -------------------------------------------------------------------------------


def bring(shell: Shell, paths: list[Path], qtbot: QtBot) -> BringingInPage:
    shell.open_item("bringing in", tuple(paths))
    page = shell.here
    assert isinstance(page, BringingInPage)
    qtbot.waitUntil(lambda: page.plan is not None, timeout=20_000)
    return page


def test_files_are_read_looked_at_and_brought_in_as_one_action(
    shell: Shell, desk: Desk, tmp_path: Path, qtbot: QtBot
) -> None:
    path = messy.address_workbook(tmp_path / "people.xlsx")
    page = bring(shell, [path], qtbot)
    assert list_customers(desk)[0] == []  # nothing is written yet
    assert page.strip.entries[2].result
    press(Key.Key_Return, CTRL)
    qtbot.waitUntil(lambda: not page.readings, timeout=20_000)
    assert len(list_customers(desk)[0]) > 2
    press(Key.Key_Z, CTRL)
    assert list_customers(desk)[0] == []


def test_the_same_file_again_says_that_all_of_it_is_there(
    shell: Shell, desk: Desk, tmp_path: Path, qtbot: QtBot
) -> None:
    path = messy.address_workbook(tmp_path / "people.xlsx")
    page = bring(shell, [path], qtbot)
    page.primary()
    qtbot.waitUntil(lambda: not page.readings, timeout=20_000)
    bring(shell, [path], qtbot)
    press(Key.Key_Return, CTRL)
    assert "already" in shell.office.trouble


def test_every_line_says_what_it_becomes_and_f5_shows_the_same_too(
    shell: Shell, tmp_path: Path, qtbot: QtBot
) -> None:
    paths = [
        messy.address_workbook(tmp_path / "people.xlsx"),
        messy.telephone_cards(tmp_path / "cards.vcf"),
    ]
    page = bring(shell, paths, qtbot)
    press(Key.Key_3, ALT)
    before = len(page.lines.rows)
    assert before
    press(Key.Key_F5)
    assert page.plan is not None
    assert len(page.lines.rows) - before == page.plan.total("same")


def test_a_column_is_said_by_hand_with_the_keyboard(
    shell: Shell, tmp_path: Path, qtbot: QtBot
) -> None:
    path = tmp_path / "people.csv"
    path.write_text("Name,Phone,Where\nAnn Marlow,212 555 0142,Tarrow Bend\n", encoding="utf-8")
    page = bring(shell, [path], qtbot)
    press(Key.Key_2, ALT)
    page.headings.go((0, 0, 2))
    press(Key.Key_Return)
    type_words("city")
    qtbot.wait(90)
    press(Key.Key_Down)
    press(Key.Key_Up)
    press(Key.Key_Return)
    qtbot.waitUntil(lambda: page.readings[0].tables[0].columns[2].how == "by hand", timeout=9000)
    assert "city" in page.readings[0].tables[0].columns[2].meaning
    qtbot.waitUntil(lambda: page.plan is not None, timeout=9000)


def test_a_file_that_cannot_be_read_is_said_and_the_others_stand(
    shell: Shell, tmp_path: Path, qtbot: QtBot
) -> None:
    path = tmp_path / "broken.xlsx"
    path.write_bytes(b"PK\x03\x04 broken")
    shell.open_item("bringing in", (path,))
    page = shell.here
    assert isinstance(page, BringingInPage)
    qtbot.waitUntil(lambda: bool(shell.office.trouble), timeout=9000)
    assert page.readings == ()
    assert "broken.xlsx" in shell.office.trouble


def test_stopping_leaves_the_book_as_it_was_and_the_page_ready_again(
    shell: Shell, desk: Desk, tmp_path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = messy.address_workbook(tmp_path / "people.xlsx")
    page = bring(shell, [path], qtbot)
    written = bringing_in.bring_in

    def stopped_at_once(desk: Desk, plan: Preview, progress: Progress | None = None) -> Changed:
        shell.office.runner.stop()  # the person clicks Stop while it writes
        return written(desk, plan, progress)

    monkeypatch.setattr(bringing_in, "bring_in", stopped_at_once)
    page.primary()
    qtbot.waitUntil(lambda: not shell.office.runner.busy, timeout=9000)
    QApplication.processEvents()
    assert list_customers(desk)[0] == []
    assert page.readings
    assert page._reason() == ""


# settings ----------------------------------------------------------------------------------


def test_a_setting_is_saved_when_its_field_is_left_and_undone_by_name(
    shell: Shell, desk: Desk
) -> None:
    shell.open("settings")
    type_words("Lindmoor")
    press(Key.Key_Tab)
    assert desk.settings.shop_name == "Lindmoor"
    assert "name" in shell.office.saved
    press(Key.Key_Z, CTRL)
    assert desk.settings.shop_name == ""


def test_a_tax_rate_is_typed_in_percent_and_a_wrong_one_is_marked(shell: Shell, desk: Desk) -> None:
    shell.open("settings")
    page = shell.here
    assert isinstance(page, SettingsPage)
    press(Key.Key_2, ALT)
    page.forms["money"].focus("tax_rate")
    press(Key.Key_A, CTRL)
    type_words("7.25")
    press(Key.Key_Tab)
    assert desk.settings.tax_rate == 7250
    page.forms["money"].focus("tax_rate")
    press(Key.Key_A, CTRL)
    type_words("lots")
    press(Key.Key_Tab)
    assert desk.settings.tax_rate == 7250
    assert shell.office.trouble


def test_units_are_chosen_with_the_arrow_keys(shell: Shell, desk: Desk) -> None:
    shell.open("settings")
    page = shell.here
    assert isinstance(page, SettingsPage)
    press(Key.Key_3, ALT)
    page.forms["units"].focus("system")
    press(Key.Key_Down)
    assert desk.settings.system is System.METRIC


def test_a_factor_is_typed_over_shows_what_was_usual_and_goes_back_to_it(
    shell: Shell, desk: Desk
) -> None:
    shell.open("settings")
    page = shell.here
    assert isinstance(page, SettingsPage)
    press(Key.Key_5, ALT)
    table = page.tables["work"]
    table.go(("size", "XL"), "supplies")
    type_words("2.1")
    press(Key.Key_Return)
    assert desk.settings.size_factors["XL"] == 2.1
    assert page.strip.entries[4].result == "1 your own"
    table.go(("condition", "extreme"), "hours outside")
    type_words("0")
    press(Key.Key_Return)
    assert desk.settings.hours_condition == HOURS_CONDITION
    press(Key.Key_Escape)
    press(Key.Key_6, ALT)
    places = page.tables["places"]
    places.go(("stands", "street"), "life")
    type_words("0.6")
    press(Key.Key_Return)
    assert desk.settings.exposure_factors["stands"]["street"] == 0.6
    press(Key.Key_Z, CTRL)
    press(Key.Key_Z, CTRL)
    assert desk.settings.exposure_factors == {}
    assert desk.settings.size_factors["XL"] == 1.8


@pytest.mark.parametrize("page", ["settings", "services", "bringing in"])
def test_esc_leads_back_to_the_place_that_a_page_was_opened_from(shell: Shell, page: str) -> None:
    shell.open("day")
    shell.open(page)
    assert shell.here_key == page
    press(Key.Key_Escape)
    assert shell.here_key == "day"


def test_a_reminder_rule_goes_back_to_the_usual_one_when_emptied(shell: Shell, desk: Desk) -> None:
    shell.open("settings")
    page = shell.here
    assert isinstance(page, SettingsPage)
    press(Key.Key_7, ALT)
    form = page.forms["reminders"]
    form.focus("rule letters_a_year")
    press(Key.Key_A, CTRL)
    type_words("2")
    press(Key.Key_Tab)
    assert desk.settings.reminder_rules == {"letters_a_year": 2}
    form.focus("rule letters_a_year")
    press(Key.Key_A, CTRL)
    press(Key.Key_Delete)
    press(Key.Key_Tab)
    assert desk.settings.reminder_rules == {}


def test_a_test_mail_without_an_account_says_what_is_missing(shell: Shell, qtbot: QtBot) -> None:
    shell.open("settings")
    press(Key.Key_Return, CTRL)
    press(Key.Key_Return, CTRL)
    qtbot.waitUntil(lambda: bool(shell.office.trouble), timeout=5000)
    assert "settings" in shell.office.trouble


# services ----------------------------------------------------------------------------------


def test_a_service_is_written_priced_and_stopped_by_keyboard(shell: Shell, desk: Desk) -> None:
    shell.open("services")
    page = shell.here
    assert isinstance(page, ServicesPage)
    press(Key.Key_Insert)
    type_words("Headlight pair")
    press(Key.Key_Return)
    line = list_services(desk)[0]
    assert line.name == "Headlight pair"
    page.list.go(line.service_id, "minutes")
    type_words("1:15")
    press(Key.Key_Return)
    page.list.go(line.service_id, "price")
    type_words("90")
    press(Key.Key_Return)
    line = list_services(desk)[0]
    assert (line.minutes_text, line.price_text) == ("1 h 15 min", "90.00")
    page.list.go(line.service_id, "name")
    press(Key.Key_Space)
    assert list_services(desk)[0].stopped


def test_a_recipe_grows_by_space_and_shrinks_by_key(shell: Shell, desk: Desk, qtbot: QtBot) -> None:
    shop = small_shop(desk)
    shell.open("services")
    page = shell.here
    assert isinstance(page, ServicesPage)
    service = page.service
    assert service is not None
    press(Key.Key_3, ALT)
    before = service_page(desk, service).recipe
    press(Key.Key_Insert)
    type_words("wax")
    qtbot.wait(90)
    press(Key.Key_Return)
    type_words("12")
    press(Key.Key_Return)
    added = [one for one in service_page(desk, service).recipe if one not in before]
    assert [(one.supply_id, one.amount) for one in added] == [(shop.supplies["wax"], 12_000)]
    page.recipe.go(shop.supplies["wax"], "amount")
    press(Key.Key_Space)
    line = next(o for o in service_page(desk, service).recipe if o.name == "Paste wax")
    assert line.scaling == "layer"
    press(Key.Key_Delete, CTRL)
    assert service_page(desk, service).recipe == before

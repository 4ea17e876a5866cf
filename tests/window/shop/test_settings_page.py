"""The settings, typed field by field and in the tables of factors."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.actions.desk.desk import Desk
from app.actions.desk.settings import HOURS_CONDITION
from app.calculations.numbers.units import System
from app.window.house.shell import Shell
from app.window.shop.settings_page import SettingsPage
from tests.window.conftest import Beside
from tests.window.keys import press, type_words

Key = Qt.Key
CTRL = Qt.KeyboardModifier.ControlModifier
ALT = Qt.KeyboardModifier.AltModifier


@pytest.fixture
def shell(beside: Beside) -> Shell:
    return beside("settings", SettingsPage)


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


def test_units_are_chosen_with_the_arrow_keys(shell: Shell, desk: Desk) -> None:
    shell.open("settings")
    page = shell.here
    assert isinstance(page, SettingsPage)
    press(Key.Key_4, ALT)
    page.forms["units"].focus("system")
    press(Key.Key_Down)
    assert desk.settings.system is System.METRIC


def test_a_factor_is_typed_over_shows_what_was_usual_and_goes_back_to_it(
    shell: Shell, desk: Desk
) -> None:
    shell.open("settings")
    page = shell.here
    assert isinstance(page, SettingsPage)
    press(Key.Key_6, ALT)
    table = page.tables["work"]
    table.go(("size", "XL"), "supplies")
    type_words("2.1")
    press(Key.Key_Return)
    assert desk.settings.size_factors["XL"] == 2.1
    assert page.strip.entries[5].result == "1 your own"
    table.go(("condition", "extreme"), "hours outside")
    type_words("0")
    press(Key.Key_Return)
    assert desk.settings.hours_condition == HOURS_CONDITION
    press(Key.Key_Escape)
    press(Key.Key_7, ALT)
    places = page.tables["places"]
    places.go(("stands", "street"), "life")
    type_words("0.6")
    press(Key.Key_Return)
    assert desk.settings.exposure_factors["stands"]["street"] == 0.6
    press(Key.Key_Z, CTRL)
    press(Key.Key_Z, CTRL)
    assert desk.settings.exposure_factors == {}
    assert desk.settings.size_factors["XL"] == 1.8


def test_a_reminder_rule_goes_back_to_the_usual_one_when_emptied(shell: Shell, desk: Desk) -> None:
    shell.open("settings")
    page = shell.here
    assert isinstance(page, SettingsPage)
    press(Key.Key_8, ALT)
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
    qtbot.waitUntil(lambda: bool(shell.office.trouble))
    assert "settings" in shell.office.trouble


def test_esc_leads_back_to_the_place_that_the_page_was_opened_from(shell: Shell) -> None:
    shell.open("day")
    shell.open("settings")
    assert shell.here_key == "settings"
    press(Key.Key_Escape)
    assert shell.here_key == "day"

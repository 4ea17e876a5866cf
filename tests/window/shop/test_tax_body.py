"""Tax in the settings, by keys."""

from __future__ import annotations

from datetime import date

import pytest
from PySide6.QtCore import Qt

from app.actions.desk.desk import Desk
from app.actions.shop import tax_rates
from app.window.house.shell import Shell
from app.window.shop.settings_page import SettingsPage
from tests.window.conftest import Beside
from tests.window.keys import press, type_words

Key = Qt.Key
ALT, CTRL = Qt.KeyboardModifier.AltModifier, Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def shell(beside: Beside) -> Shell:
    return beside("settings", SettingsPage)


def test_rates_are_written_written_over_and_taken_out(shell: Shell, desk: Desk) -> None:
    shell.open("settings")
    page = shell.here
    assert isinstance(page, SettingsPage)
    press(Key.Key_3, ALT)
    assert page.tax is not None
    type_words("work 7.25")
    press(Key.Key_Return)
    assert tax_rates.rate_for(desk, "work") == 7250
    page.tax.table.write_in("new", "kind")
    type_words("work lots")
    press(Key.Key_Return)
    assert len(tax_rates.all_rates(desk)) == 1
    press(Key.Key_Escape)
    page.tax.table.write_in("new", "kind")
    type_words("goods sold 7.375")
    press(Key.Key_Return)
    assert "and 1 other" in page.strip.entries[2].result
    goods = next(one for one in tax_rates.all_rates(desk) if one.kind == "goods sold")
    page.tax.table.go(goods.rate_id, "rate")
    type_words("8")
    press(Key.Key_Return)
    assert tax_rates.rate_for(desk, "goods sold") == 8000
    page.tax.table.go(goods.rate_id, "rate")
    press(Key.Key_Delete, CTRL)
    assert tax_rates.kinds(desk) == ["work"]
    press(Key.Key_Z, CTRL)
    assert tax_rates.rate_for(desk, "goods sold") == 8000


def test_what_tax_is_counted_by_is_kept_with_its_first_day(shell: Shell, desk: Desk) -> None:
    shell.open("settings")
    page = shell.here
    assert isinstance(page, SettingsPage)
    press(Key.Key_3, ALT)
    assert page.tax is not None
    form, start = page.tax.form, tax_rates.period_start(desk, desk.today)
    form.focus("basis")
    press(Key.Key_Down)
    if tax_rates.basis_now(desk)[0] != "received":
        press(Key.Key_Return)
    assert tax_rates.basis_now(desk) == ("received", start)
    form.focus("basis_from", select=True)
    type_words("the beginning")
    press(Key.Key_Tab)
    assert tax_rates.basis_now(desk) == ("received", date(1970, 1, 1))
    form.focus("basis_from", select=True)
    type_words("2031-01-02")
    press(Key.Key_Tab)
    assert shell.office.trouble
    assert tax_rates.basis_now(desk) == ("received", date(1970, 1, 1))

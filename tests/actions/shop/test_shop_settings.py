"""Settings as they are typed: read, refused with a sentence, undone by name."""

from __future__ import annotations

import pytest

from app.actions.desk.desk import Desk
from app.actions.shop.shop_settings import change_settings, rules, set_rule, set_typed
from app.calculations.letters.letters import Rules
from app.errors import Mendable


@pytest.fixture
def desk(empty: Desk) -> Desk:
    """A new book."""
    return empty


@pytest.mark.parametrize(
    ("name", "typed", "stored"),
    [
        ("hourly_rate", "$95.50", 9550),
        ("currency", "eur", "EUR"),
        ("region", "de", "DE"),
        ("region", "uk", "GB"),
        ("hours_a_day", "9", 9),
        ("service_quantile", "95 %", 0.95),
        ("zone", "America/New York", "America/New_York"),
        ("shop_email", " desk@lindmoor.example ", "desk@lindmoor.example"),
        ("mail_port", "465", 465),
    ],
)
def test_a_setting_is_read_as_it_is_typed(
    desk: Desk, name: str, typed: str, stored: object
) -> None:
    set_typed(desk, name, typed)
    assert getattr(desk.settings, name) == stored


@pytest.mark.parametrize(
    ("name", "typed"),
    [
        ("currency", "dollars"),
        ("region", "Texas"),
        ("hours_a_day", "25"),
        ("service_quantile", "100"),
        ("zone", "Lindmoor"),
        ("shop_email", "nobody"),
        ("mail_port", "-1"),
    ],
)
def test_what_cannot_be_is_refused_and_changes_nothing(desk: Desk, name: str, typed: str) -> None:
    before = desk.settings
    with pytest.raises(Mendable) as trouble:
        set_typed(desk, name, typed)
    assert "\n" not in trouble.value.sentence
    assert desk.settings == before
    assert desk.book.next_undo() is None


def test_what_stands_already_is_no_action(desk: Desk) -> None:
    assert change_settings(desk, currency="USD", system="us").name == ""
    assert desk.book.next_undo() is None


def test_a_setting_is_undone_by_its_name(desk: Desk) -> None:
    change_settings(desk, shop_name="Lindmoor Finish Care")
    assert desk.book.next_undo() == "The shop’s name changed"
    desk.book.undo(today=desk.today)
    desk.reload()
    assert desk.settings.shop_name == ""


def test_reminder_rules_hold_beside_the_usual_ones(desk: Desk) -> None:
    usual = Rules()
    set_rule(desk, "letters_a_year", "2")
    assert rules(desk)["letters_a_year"] == 2
    assert rules(desk)["rest_days"] == usual.rest_days
    with pytest.raises(Mendable, match="whole number"):
        set_rule(desk, "rest_days", "often")
    set_rule(desk, "letters_a_year", "")
    assert desk.settings.reminder_rules == {}

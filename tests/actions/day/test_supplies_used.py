"""Supplies used: filled in from recipes, typed as people say it, explained in the margin."""

from __future__ import annotations

from datetime import timedelta
from types import SimpleNamespace

import pytest

from app.actions.day.closing import close_day
from app.actions.day.day import confirm
from app.actions.day.jobs_worked import finish_job, jobs_worked, set_hours, set_step
from app.actions.day.supplies_used import add_supply, clear_use, set_use, supplies_used
from app.actions.day.use_note import use_note
from app.actions.plan.learnt_uses import observations
from app.actions.shop.shop_settings import change_settings
from app.errors import Mendable
from app.records.models import Supply, Use
from tests.shop import TODAY, add_job

TOMORROW = TODAY + timedelta(days=1)
ML = 1000


def row(desk, shop, supply, day=TODAY):
    return next(
        one for one in supplies_used(desk, day).rows if one.supply_id == shop.supplies[supply]
    )


def cell(desk, shop, supply, number, day=TODAY):
    row_ = next(
        (one for one in supplies_used(desk, day).rows if one.supply_id == shop.supplies[supply]),
        None,
    )
    if row_ is None:
        return SimpleNamespace(state="blank", amount=0)
    return next(one for one in row_.cells if one.job_id == shop.jobs[number])


def use(desk, shop, number, supply, typed, day=TODAY):
    return set_use(desk, day, shop.jobs[number], shop.supplies[supply], typed)


def test_recipes_are_filled_in_by_size_and_nothing_is_stored(desk, shop):
    wash = cell(desk, shop, "wheel", "0411")
    assert (wash.amount, wash.text, wash.state) == (120 * ML, "120", "recipe")
    with desk.book.reading() as session:
        assert session.query(Use).count() == 0


def test_a_large_vehicle_takes_more_and_half_of_it_on_the_first_of_two_days(desk, shop):
    # 60 mL x 1.3 (common practice, no source) over two days of six hours each.
    assert cell(desk, shop, "soap", "0412").amount == 39 * ML


def test_a_coating_leaves_the_shelf_on_the_day_it_is_applied(desk, shop):
    coating = shop.supplies["coating"]
    assert coating not in [one.supply_id for one in supplies_used(desk, TODAY).rows]
    tomorrow = supplies_used(desk, TOMORROW)
    assert coating in [one.supply_id for one in tomorrow.rows]


def test_a_coating_that_was_not_applied_is_not_used(desk, shop):
    finish_job(desk, TODAY, shop.jobs["0412"], True)
    assert cell(desk, shop, "coating", "0412").amount > 0
    step = jobs_worked(desk, TODAY).rows[1].steps[3]
    set_step(desk, TODAY, step.step_id, "not done", "dust")
    rows = [one.supply_id for one in supplies_used(desk, TODAY).rows]
    assert shop.supplies["coating"] not in rows


def test_two_days_never_count_a_use_twice(desk, shop, clock):
    whole = (
        cell(desk, shop, "soap", "0412").amount + cell(desk, shop, "soap", "0412", TOMORROW).amount
    )
    assert whole == 78 * ML
    use(desk, shop, "0412", "soap", "50 mL")
    close_day(desk, TODAY)
    clock.go_to(TOMORROW)
    assert cell(desk, shop, "soap", "0412", TOMORROW).amount == 28 * ML


def test_a_small_rest_of_what_was_confirmed_is_not_asked_for_again(desk, shop, clock):
    use(desk, shop, "0412", "soap", "75 mL")
    assert cell(desk, shop, "soap", "0412", TOMORROW).state == "blank"
    use(desk, shop, "0412", "soap", "60 mL")
    assert cell(desk, shop, "soap", "0412", TOMORROW).amount == 18 * ML


def test_more_hours_today_take_more_of_the_supplies_today(desk, shop):
    set_hours(desk, TODAY, shop.jobs["0412"], "9h")
    assert cell(desk, shop, "soap", "0412").amount == 78 * ML * 9 // 12


def test_what_is_typed_is_kept_as_typed_and_as_an_amount(desk, shop):
    changed = use(desk, shop, "0411", "soap", "2oz")
    assert changed.name == "Wash soap on 0411: 59.1 mL"
    with desk.book.reading() as session:
        row_ = session.query(Use).one()
        assert (row_.typed, row_.state, row_.booked) == ("2oz", "confirmed", False)
        assert row_.quantity == 59_147  # 2 US fluid ounces of 29.5735 mL
        assert (row_.expected, row_.recipe) == (40 * ML, 40 * ML)
    assert cell(desk, shop, "soap", "0411").changed


def test_gallons_mixed_come_to_product_through_the_dilution(desk, shop):
    changed = use(desk, shop, "0411", "soap", "4 gal mixed")
    # 4 x 3,785.41 mL of mix at 1 to 256 hold 58.92 mL of product.
    assert cell(desk, shop, "soap", "0411").amount == 58_917
    assert "4 gal mixed at 1 to 256 took 58.9 mL of product" in changed.sentence


def test_a_british_shops_gallon_is_the_imperial_one(desk, shop):
    change_settings(desk, region="GB")
    use(desk, shop, "0411", "soap", "1/8 gal")
    # An eighth of 4.546 09 L (Units of Measurement Regulations 1995).
    assert cell(desk, shop, "soap", "0411").amount == 568_261


def test_a_range_is_asked_about_and_changes_nothing(desk, shop):
    with pytest.raises(Mendable, match="range"):
        use(desk, shop, "0411", "soap", "20-30 ml")
    assert cell(desk, shop, "soap", "0411").state == "recipe"


def test_a_number_three_times_off_is_kept_and_asked_about(desk, shop):
    changed = use(desk, shop, "0411", "soap", "400 mL")
    assert changed.question == (
        "Wash soap on 0411: 400 mL is more than three times the usual 40 mL. Keep it?"
    )
    assert cell(desk, shop, "soap", "0411").far
    assert cell(desk, shop, "soap", "0411").amount == 400 * ML
    assert use(desk, shop, "0411", "soap", "60").question == ""


def test_not_used_is_a_confirmed_nothing(desk, shop):
    use(desk, shop, "0411", "wheel", "0")
    wheel = cell(desk, shop, "wheel", "0411")
    assert (wheel.state, wheel.text, wheel.changed) == ("unused", "", True)
    assert cell(desk, shop, "wheel", "0412").state == "blank"


def test_escape_puts_the_filled_in_number_back(desk, shop):
    use(desk, shop, "0411", "soap", "60")
    clear_use(desk, TODAY, shop.jobs["0411"], shop.supplies["soap"])
    assert (cell(desk, shop, "soap", "0411").amount, cell(desk, shop, "soap", "0411").state) == (
        40 * ML,
        "recipe",
    )


def test_a_supply_that_no_recipe_foresaw_is_added(desk, shop):
    add_supply(desk, TODAY, shop.jobs["0411"], shop.supplies["wax"], "12g")
    assert cell(desk, shop, "wax", "0411").amount == 12_000
    assert row(desk, shop, "wax").left == 168_000


def test_left_is_what_the_shelf_has_less_what_today_takes(desk, shop):
    soap = row(desk, shop, "soap")
    assert (soap.today, soap.left, soap.left_text) == (79 * ML, 1921 * ML, "1,921")
    use(desk, shop, "0411", "soap", "100")
    assert row(desk, shop, "soap").left == 1861 * ML


def test_below_zero_is_kept_and_flagged_for_a_count(desk, shop):
    changed = use(desk, shop, "0411", "soap", "5 L")
    assert "count it when you can" in changed.sentence
    assert row(desk, shop, "soap").alert == "wrong"


def test_unreadable_entries_say_what_to_type_and_change_nothing(desk, shop):
    with pytest.raises(Mendable, match="unit"):
        use(desk, shop, "0411", "soap", "2 furlongs")
    assert desk.book.next_undo() is None


def test_numbers_from_few_jobs_are_marked_as_worth_a_look(desk, shop):
    used = supplies_used(desk, TODAY)
    assert used.few_count == sum(one.state == "recipe" for line in used.rows for one in line.cells)
    use(desk, shop, "0411", "soap", "45")
    assert supplies_used(desk, TODAY).few_count == used.few_count - 1
    assert supplies_used(desk, TODAY).changed_count == 1


def test_the_shops_own_confirmed_uses_move_what_is_filled_in(desk, shop, clock):
    day = TODAY
    for number in range(6):
        key = f"05{number:02d}"
        with desk.book.load() as session:
            add_job(session, shop, key, "quell", "sedan", "wash", day, day)
        use(desk, shop, key, "soap", "60", day)
        clock.go_to(day)
        close_day(desk, day)
        day += timedelta(days=1)
    with desk.book.load() as session:
        add_job(session, shop, "0599", "quell", "sedan", "wash", day, day)
    filled = cell(desk, shop, "soap", "0599", day)
    assert 45 * ML < filled.amount <= 60 * ML
    assert not filled.few
    note = use_note(desk, day, shop.jobs["0599"], shop.supplies["soap"])
    assert note.past == (60.0,) * len(note.past)
    assert len(note.past) >= 6
    assert "six confirmed jobs of Upkeep wash" in note.origin[0]


def test_what_was_booked_from_recipe_never_teaches(desk, shop, clock):
    close_day(desk, TODAY)
    assert observations(desk) == []


def test_saying_that_supplies_are_right_confirms_what_was_filled_in(desk, shop):
    confirm(desk, TODAY, "supplies")
    close_day(desk, TODAY)
    wash = [one for one in observations(desk) if one.supply == shop.supplies["wheel"]]
    assert [(one.recipe, one.used) for one in wash] == [(120 * ML, 120 * ML)]


def test_the_margin_says_where_a_number_comes_from_and_what_is_left(desk, shop):
    note = use_note(desk, TODAY, shop.jobs["0412"], shop.supplies["polish"])
    assert note.title == "Finishing polish on Mara Tolk, grey wagon"
    assert note.origin[0].startswith("Filled in with 39 mL, from the recipe")
    assert ("Left", "561 mL") in note.facts
    assert (note.filled, note.yours, note.unit) == (39.0, None, "mL")


def test_the_margin_says_what_your_number_does_to_the_next_job(desk, shop):
    use(desk, shop, "0411", "soap", "60")
    note = use_note(desk, TODAY, shop.jobs["0411"], shop.supplies["soap"])
    assert note.yours == 60.0
    assert note.advice[-1].startswith("If it stays, the next such job is filled in with ")


def test_hazards_stand_where_the_supply_is_chosen_and_defer_to_the_label(desk, shop):
    note = use_note(desk, TODAY, shop.jobs["0411"], shop.supplies["wheel"])
    assert note.cautions == (
        "Danger: Causes severe skin burns. The label and its safety data sheet override this.",
    )


def test_two_supplies_that_must_not_meet_bring_one_caution(desk, shop):
    with desk.book.load() as session:
        session.get_one(Supply, shop.supplies["wheel"]).ingredients = ["phosphoric acid"]
        session.get_one(Supply, shop.supplies["wax"]).ingredients = ["sodium hypochlorite"]
    changed = add_supply(desk, TODAY, shop.jobs["0411"], shop.supplies["wax"], "12g")
    assert "toxic chlorine gas" in changed.sentence
    assert "override" in changed.sentence

"""Weighings: the weight before and after stand on the use, and an earlier one can be put right."""

from __future__ import annotations

from datetime import timedelta

import pytest

from app.actions.day.closing import close_day, reopen_day
from app.actions.day.supplies_used import clear_use, set_use
from app.actions.day.use_note import use_note
from app.actions.desk.undoing import redo, undo
from app.actions.stock.stock import count
from app.errors import Mendable
from app.records.contents import contents
from app.records.models import Use
from tests.shop import TODAY

TOMORROW = TODAY + timedelta(days=1)
ML = 1000


@pytest.fixture
def weigh(desk, shop, clock):
    """Weigh the polish, 660 g when the book begins, on a job; what the change says."""

    def weigh(number, typed, day=TODAY):
        clock.tick()
        return set_use(desk, day, shop.jobs[number], shop.supplies["polish"], typed)

    return weigh


def used(desk, shop, number, day=TODAY):
    """(mL, weight before, weight after) of the polish on a job; grams."""
    with desk.book.reading() as session:
        row = (
            session.query(Use)
            .filter_by(day=day, job_id=shop.jobs[number], supply_id=shop.supplies["polish"])
            .one_or_none()
        )
        if row is None:
            return None
        before, after = row.weight_before, row.weight_after
    return (
        row.quantity // ML,
        None if before is None else before // 1000,
        None if after is None else after // 1000,
    )


def test_a_weighing_keeps_what_the_scale_showed_before_and_after(desk, shop, weigh):
    weigh("0412", "589g left")
    assert used(desk, shop, "0412") == (71, 660, 589)


def test_a_cell_weighed_anew_starts_from_the_weight_before_it(desk, shop, weigh):
    weigh("0412", "589g left")
    weigh("0412", "579 g now")
    assert used(desk, shop, "0412") == (81, 660, 579)
    weigh("0412", "600 g now")
    assert used(desk, shop, "0412") == (60, 660, 600)


def test_what_was_typed_over_a_weighing_keeps_no_weight(desk, shop, weigh):
    weigh("0412", "589g left")
    weigh("0412", "50 mL")
    assert used(desk, shop, "0412") == (50, None, None)
    weigh("0412", "650 g left")
    assert used(desk, shop, "0412") == (10, 660, 650)


def test_the_first_of_two_days_is_put_right_and_the_second_follows(desk, shop, weigh):
    """400 g was typed for 410 g: on the old scalar the first could not be mended any more."""
    weigh("0412", "400 g left")
    weigh("0412", "380 g left", TOMORROW)
    assert used(desk, shop, "0412", TOMORROW) == (20, 400, 380)
    changed = weigh("0412", "410 g left")
    assert used(desk, shop, "0412") == (250, 660, 410)
    assert used(desk, shop, "0412", TOMORROW) == (30, 410, 380)
    assert "The next weighing on 0412, 15 August, is now 30 mL." in changed.sentence


def test_the_first_cannot_become_lighter_than_what_was_weighed_next(desk, shop, weigh):
    weigh("0412", "400 g left")
    weigh("0412", "380 g left", TOMORROW)
    before = contents(desk.book)
    with pytest.raises(Mendable, match="370 g is less than the 380 g weighed next on 0412"):
        weigh("0412", "370 g left")
    assert contents(desk.book) == before


def test_each_weighing_is_undone_and_done_again_by_itself(desk, shop, weigh):
    empty = contents(desk.book)
    stages = []
    for typed, day in (("400 g left", TODAY), ("380 g left", TOMORROW), ("410 g left", TODAY)):
        weigh("0412", typed, day)
        stages.append(contents(desk.book))
    for stage in (stages[1], stages[0]):
        undo(desk)
        assert contents(desk.book) == stage
    undo(desk)
    assert used(desk, shop, "0412") is None
    assert contents(desk.book)["uses"] == empty["uses"]
    for stage in stages:
        redo(desk)
        assert contents(desk.book) == stage


def test_two_jobs_of_a_day_share_one_bottle(desk, shop, weigh):
    weigh("0411", "600 g left")
    weigh("0412", "550 g left")
    assert used(desk, shop, "0411") == (60, 660, 600)
    assert used(desk, shop, "0412") == (50, 600, 550)
    weigh("0411", "590 g left")
    assert used(desk, shop, "0411") == (70, 660, 590)
    assert used(desk, shop, "0412") == (40, 590, 550)


def test_what_was_weighed_earlier_and_typed_later_takes_its_place_between(desk, shop, weigh):
    weigh("0412", "550 g left")
    weigh("0411", "600 g left")
    assert used(desk, shop, "0411") == (60, 660, 600)
    assert used(desk, shop, "0412") == (50, 600, 550)
    weigh("0412", "540 g left")
    assert used(desk, shop, "0412") == (60, 600, 540)


def test_a_day_typed_after_the_next_one_is_weighed_before_it(desk, shop, weigh):
    weigh("0412", "550 g left", TOMORROW)
    weigh("0412", "600 g left")
    assert used(desk, shop, "0412") == (60, 660, 600)
    assert used(desk, shop, "0412", TOMORROW) == (50, 600, 550)


def test_weighings_of_one_moment_keep_their_order(desk, shop):
    for number, typed in (("0411", "600 g left"), ("0412", "550 g left"), ("0411", "620 g left")):
        set_use(desk, TODAY, shop.jobs[number], shop.supplies["polish"], typed)
    assert used(desk, shop, "0411") == (40, 660, 620)
    assert used(desk, shop, "0412") == (70, 620, 550)


def test_a_weighing_that_was_taken_away_leaves_the_next_what_its_scale_showed(desk, shop, weigh):
    weigh("0411", "600 g left")
    weigh("0412", "550 g left")
    clear_use(desk, TODAY, shop.jobs["0411"], shop.supplies["polish"])
    assert used(desk, shop, "0412") == (50, 600, 550)
    weigh("0411", "610 g left")
    assert used(desk, shop, "0411") == (50, 660, 610)


def test_a_reopened_day_keeps_its_weighings_and_lets_them_be_put_right(desk, shop, clock, weigh):
    weigh("0412", "400 g left")
    close_day(desk, TODAY)
    clock.go_to(TOMORROW)
    weigh("0412", "380 g left", TOMORROW)
    reopen_day(desk, TODAY, "weighed wrong")
    assert used(desk, shop, "0412") == (260, 660, 400)
    weigh("0412", "410 g left")
    assert used(desk, shop, "0412", TOMORROW) == (30, 410, 380)
    close_day(desk, TODAY)
    close_day(desk, TOMORROW)
    assert desk.book.check() == []


def test_what_is_booked_stays_until_its_own_day_is_opened_again(desk, shop, clock, weigh):
    weigh("0412", "400 g left")
    close_day(desk, TODAY)
    clock.go_to(TOMORROW)
    weigh("0412", "380 g left", TOMORROW)
    close_day(desk, TOMORROW)
    reopen_day(desk, TODAY, "weighed wrong")
    changed = weigh("0412", "410 g left")
    assert "The next weighing on 0412, 15 August, is booked as it was" in changed.sentence
    assert used(desk, shop, "0412", TOMORROW) == (20, 400, 380)
    close_day(desk, TODAY)
    assert desk.book.check() == []
    reopen_day(desk, TOMORROW, "follows")
    weigh("0412", "380 g left", TOMORROW)
    assert used(desk, shop, "0412", TOMORROW) == (30, 410, 380)


def test_a_count_on_the_scale_goes_before_what_is_weighed_after_it(desk, shop, clock, weigh):
    weigh("0411", "600 g left")
    clock.tick()
    count(desk, TODAY, shop.supplies["polish"], "900 g")
    weigh("0412", "850 g left")
    assert used(desk, shop, "0412") == (50, 900, 850)
    weigh("0411", "610 g left")
    assert used(desk, shop, "0412") == (50, 900, 850)


def test_the_margin_explains_a_weighing_by_its_own_weights(desk, shop, weigh):
    weigh("0412", "400 g left")
    weigh("0412", "380 g left", TOMORROW)
    note = use_note(desk, TODAY, shop.jobs["0412"], shop.supplies["polish"])
    assert note.read_as == "400 g now, 660 g last time, so 260 mL used."

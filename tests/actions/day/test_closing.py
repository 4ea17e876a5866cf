"""Closing the day: what is booked, once; reopened by counter-entries and closed again."""

from __future__ import annotations

import shutil
from datetime import timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.actions.day.closing import ToBook, close_day, closing, reopen_day
from app.actions.day.day import confirm, day_view
from app.actions.day.jobs_worked import finish_job, jobs_worked, set_hours, set_step
from app.actions.day.money_taken import set_money
from app.actions.day.supplies_used import clear_use, set_use, supplies_used
from app.actions.desk.desk import Desk
from app.actions.desk.undoing import redo, undo
from app.actions.layers.judging import judge, judging
from app.actions.stock.stock import count, waste
from app.errors import Mendable, Refused
from app.records.book import Book
from app.records.models import (
    DaySheet,
    Hours,
    Job,
    JobStep,
    Judgement,
    LayerEvent,
    Movement,
    Receipt,
    Use,
)
from app.records.stock import balances
from tests.shop import TODAY, Clock, add_job

TOMORROW = TODAY + timedelta(days=1)
ML = 1000


def shelf(desk):
    with desk.book.reading() as session:
        return {supply: stand[0] for supply, stand in balances(session).items()}


def whole(desk):
    assert desk.book.check() == []


def test_closing_books_what_was_filled_in_and_marks_it_so(desk, shop):
    before = shelf(desk)
    closed = close_day(desk, TODAY)
    assert not closed.already
    after = shelf(desk)
    assert before[shop.supplies["soap"]] - after[shop.supplies["soap"]] == 79 * ML
    assert before[shop.supplies["wheel"]] - after[shop.supplies["wheel"]] == 120 * ML
    assert before[shop.supplies["coating"]] == after[shop.supplies["coating"]]
    with desk.book.reading() as session:
        assert {use.state for use in session.query(Use)} == {"recipe"}
        assert all(use.booked for use in session.query(Use))
        assert {one.state for one in session.query(Hours)} == {"expected"}
        assert session.get_one(Job, shop.jobs["0411"]).state == "done"
        assert session.get_one(Job, shop.jobs["0411"]).done_on == TODAY
        assert session.get_one(Job, shop.jobs["0412"]).state == "working"
    whole(desk)


def test_the_shelf_falls_by_exactly_what_the_sheet_said(desk, shop):
    set_use(desk, TODAY, shop.jobs["0411"], shop.supplies["soap"], "55")
    before = shelf(desk)
    said = {row.supply_id: row.today for row in supplies_used(desk, TODAY).rows}
    close_day(desk, TODAY)
    after = shelf(desk)
    assert {one: before[one] - after[one] for one in before if before[one] != after[one]} == said


def test_a_second_close_changes_nothing_and_says_so(desk):
    close_day(desk, TODAY)
    version, before = desk.book.version, shelf(desk)
    again = close_day(desk, TODAY)
    assert again.already
    assert again.lines == ("Thursday 14 August is closed already; there is nothing to do.",)
    assert (desk.book.version, shelf(desk)) == (version, before)


def test_what_was_confirmed_is_booked_as_confirmed(desk, shop):
    for station in ("jobs", "supplies", "money"):
        confirm(desk, TODAY, station)
    close_day(desk, TODAY)
    with desk.book.reading() as session:
        assert {use.state for use in session.query(Use)} == {"confirmed"}
        assert {one.state for one in session.query(Hours)} == {"confirmed"}
        assert session.query(Receipt).one().note == ""


def test_the_cost_of_a_use_is_the_moving_average(desk, shop):
    close_day(desk, TODAY)
    with desk.book.reading() as session:
        wheel = session.query(Use).filter_by(supply_id=shop.supplies["wheel"]).one()
        # 1,500 mL stand there for 12.00, so 120 mL cost 0.96.
        assert wheel.cost == 96
        line = session.query(Movement).filter_by(use_id=wheel.id).one()
        assert (line.quantity, line.value, line.kind) == (-120 * ML, -96, "used")


def test_steps_done_become_layer_events_of_each_surface_group(desk, shop, clock):
    finish_job(desk, TODAY, shop.jobs["0412"], True)
    close_day(desk, TODAY)
    with desk.book.reading() as session:
        events = session.query(LayerEvent).order_by(LayerEvent.at, LayerEvent.id).all()
        said = [(one.kind, one.surface_group, one.supply_id) for one in events]
        times = [one.at for one in events]
        assert {step.state for step in session.query(JobStep).filter_by(job_id=2)} == {"done"}
    coating = shop.supplies["coating"]
    groups = ("upper horizontals", "upper sides")
    assert said == (
        [("abraded", group, None) for group in groups]
        + [("stripped", group, None) for group in groups]
        + [("applied", group, coating) for group in groups]
    )
    assert times == sorted(times)
    assert len(set(times)) == len(times)


def test_a_step_left_out_of_a_finished_job_was_not_done_and_leaves_no_layer(desk, shop):
    finish_job(desk, TODAY, shop.jobs["0412"], True)
    step = jobs_worked(desk, TODAY).rows[1].steps[3]
    set_step(desk, TODAY, step.step_id, "later")
    close_day(desk, TODAY)
    with desk.book.reading() as session:
        assert session.get_one(JobStep, step.step_id).state == "not done"
        assert session.query(LayerEvent).filter_by(kind="applied").count() == 0


def test_the_lines_say_what_will_be_booked_and_what_nobody_confirmed(desk, shop):
    before = closing(desk, TODAY)
    assert before.lines[0] == ToBook(
        "2 jobs, 7 h 30 min, 5 steps done (as expected, unconfirmed)", unconfirmed=True
    )
    assert ToBook("4 supplies off the shelf (from recipe, unconfirmed)", True) in before.lines
    confirm(desk, TODAY, "supplies")
    assert ToBook("4 supplies off the shelf", unconfirmed=False) in closing(desk, TODAY).lines


def test_what_is_protected_is_said_by_supply_place_and_vehicle(desk, shop):
    lines = [one.text for one in closing(desk, TODAY).lines]
    assert not any("surface group" in one for one in lines)
    finish_job(desk, TODAY, shop.jobs["0412"], True)
    (coat,) = [
        one.text for one in closing(desk, TODAY).lines if one.text.startswith("Ceramic layer on")
    ]
    assert coat == "Ceramic layer on upper horizontals and upper sides of the grey wagon (0412)"


def test_tomorrow_stands_there_with_what_it_lacks(desk, shop):
    count(desk, TODAY, shop.supplies["coating"], "10 mL")
    after = closing(desk, TODAY)
    assert after.tomorrow_text == "Tomorrow"
    assert [one.job.number_text for one in after.tomorrow] == ["0412"]
    # One layer of 14 mL on a large vehicle (x 1.3) against 10 mL left.
    assert after.tomorrow[0].lacks == ("short by 8.2 mL of Ceramic layer",)


def test_a_day_to_come_is_not_closed(desk):
    assert "has not come yet" in closing(desk, TOMORROW).not_yet
    with pytest.raises(Mendable, match="has not come yet"):
        close_day(desk, TOMORROW)


def test_days_are_closed_late_and_out_of_order(desk, shop, clock):
    friday = TODAY + timedelta(days=1)
    clock.go_to(TODAY + timedelta(days=4))
    before = shelf(desk)
    close_day(desk, friday)
    close_day(desk, TODAY)
    after = shelf(desk)
    # Both days together take what the whole jobs were expected to, whichever was closed first.
    assert before[shop.supplies["soap"]] - after[shop.supplies["soap"]] == (40 + 78) * ML
    with desk.book.reading() as session:
        assert session.get_one(DaySheet, TODAY).state == "closed"
        assert session.get_one(Job, shop.jobs["0412"]).done_on == friday
    whole(desk)


def test_a_day_without_work_closes_too(desk):
    day = TODAY - timedelta(days=3)
    assert close_day(desk, day).lines[0] == "0 jobs worked, 0 min"
    whole(desk)


def test_reopening_takes_the_lines_back_and_the_day_can_be_closed_again(desk, shop):
    before = shelf(desk)
    close_day(desk, TODAY)
    first = shelf(desk)
    changed = reopen_day(desk, TODAY, "wrong soap")
    assert shelf(desk) == before
    assert "taken back by counter-entries" in changed.sentence
    with desk.book.reading() as session:
        counters = session.query(Movement).filter(Movement.counters_id.is_not(None)).all()
        assert {line.note for line in counters} == {"Reopened: wrong soap"}
        assert session.get_one(Job, shop.jobs["0411"]).state == "working"
    whole(desk)
    set_use(desk, TODAY, shop.jobs["0411"], shop.supplies["soap"], "10")
    close_day(desk, TODAY)
    soap = shop.supplies["soap"]
    assert shelf(desk)[soap] == first[soap] + 30 * ML
    with desk.book.reading() as session:
        assert session.get_one(DaySheet, TODAY).times_closed == 2
    whole(desk)


def test_reopening_needs_a_closed_day_and_a_reason(desk):
    with pytest.raises(Mendable, match="is not closed"):
        reopen_day(desk, TODAY, "why not")
    close_day(desk, TODAY)
    with pytest.raises(Mendable, match="Say why"):
        reopen_day(desk, TODAY, " ")


def test_layers_stay_while_a_day_is_open_again_and_follow_its_steps_when_it_closes(desk, shop):
    finish_job(desk, TODAY, shop.jobs["0412"], True)
    close_day(desk, TODAY)
    with desk.book.reading() as session:
        first = {one.id for one in session.query(LayerEvent)}
    reopen_day(desk, TODAY, "no coating after all")
    step = jobs_worked(desk, TODAY).rows[1].steps[3]
    set_step(desk, TODAY, step.step_id, "not done", "dust")
    close_day(desk, TODAY)
    with desk.book.reading() as session:
        new = [one for one in session.query(LayerEvent) if one.id not in first]
        assert [(one.kind, one.counters_id in first) for one in new] == [("reversed", True)] * 2
    whole(desk)


def test_undo_takes_a_closed_day_back_by_name_and_redo_closes_it_again(desk, shop):
    before = shelf(desk)
    close_day(desk, TODAY)
    after = shelf(desk)
    assert desk.book.next_undo() == "Closed Thursday 14 August"
    undo(desk)
    assert shelf(desk) == before
    assert day_view(desk, TODAY).state == "open"
    whole(desk)
    redo(desk)
    assert shelf(desk) == after
    assert day_view(desk, TODAY).state == "closed"
    whole(desk)


def test_the_papers_go_to_the_folder_with_a_backup(desk, tmp_path):
    out = tmp_path / "evening"
    closed = close_day(desk, TODAY, out=out)
    assert closed.made.path is not None
    assert closed.made.path.parent == out
    with Book.open(closed.made.path, write=False) as copy, copy.reading() as session:
        assert session.get_one(DaySheet, TODAY).state == "closed"


def test_without_a_folder_the_backup_goes_beside_the_book(desk):
    closed = close_day(desk, TODAY)
    assert closed.made.path is not None
    assert closed.made.path.parent == desk.book.path.parent / "backups"


def test_a_folder_that_cannot_be_made_is_said_before_anything_is_closed(desk, tmp_path):
    (tmp_path / "file").write_text("x")
    with pytest.raises(Mendable, match="nothing was closed"):
        close_day(desk, TODAY, out=tmp_path / "file" / "out")
    assert day_view(desk, TODAY).state == "open"


def test_the_seconds_at_the_desk_are_kept(desk):
    close_day(desk, TODAY, seconds=140)
    assert day_view(desk, TOMORROW).usual_seconds == 140


VERBS = st.lists(
    st.one_of(
        st.tuples(
            st.just("use"),
            st.sampled_from(["0411", "0412"]),
            st.sampled_from(["soap", "wheel", "coating", "cloths"]),
            st.integers(0, 400),
        ),
        st.tuples(st.just("hours"), st.sampled_from(["0411", "0412"]), st.integers(0, 600)),
        st.tuples(st.just("money"), st.sampled_from(["0411", "0412"]), st.integers(0, 1200)),
        st.tuples(st.just("clear"), st.sampled_from(["0411", "0412"])),
        st.tuples(st.just("count"), st.sampled_from(["soap", "coating"]), st.integers(0, 3000)),
        st.tuples(st.just("waste"), st.sampled_from(["soap", "coating"]), st.integers(1, 90)),
        st.tuples(st.just("finish"), st.booleans()),
        st.tuples(st.just("close"), st.integers(0, 1)),
        st.tuples(st.just("reopen"), st.integers(0, 1)),
        st.tuples(st.just("undo")),
        st.tuples(st.just("redo")),
    ),
    max_size=14,
)


def do(desk, shop, verb):
    """One thing a person may do, on an open day; what is refused is refused."""
    what, *how = verb
    unit = {"soap": "mL", "wheel": "mL", "coating": "mL", "cloths": ""}
    days = (TODAY, TOMORROW)
    try:
        if what == "use":
            number, supply, amount = how
            typed = f"{amount} {unit[supply]}".strip()
            set_use(desk, TODAY, shop.jobs[number], shop.supplies[supply], typed)
        elif what == "hours":
            set_hours(desk, TODAY, shop.jobs[how[0]], f"{how[1]}m")
        elif what == "money":
            set_money(desk, TODAY, shop.jobs[how[0]], str(how[1]))
        elif what == "clear":
            clear_use(desk, TODAY, shop.jobs[how[0]], shop.supplies["soap"])
        elif what == "count":
            count(desk, TODAY, shop.supplies[how[0]], f"{how[1]} mL")
        elif what == "waste":
            waste(desk, TODAY, shop.supplies[how[0]], f"{how[1]} mL")
        elif what == "finish":
            finish_job(desk, TODAY, shop.jobs["0412"], how[0])
        elif what == "close":
            close_day(desk, days[how[0]])
        elif what == "reopen":
            reopen_day(desk, days[how[0]], "because")
        elif what == "undo":
            undo(desk)
        else:
            redo(desk)
    except (Mendable, Refused):
        pass


def booked(desk):
    """What stands booked, by supply, from the uses themselves."""
    sums: dict[int, int] = {}
    with desk.book.reading() as session:
        for use in session.query(Use).filter_by(booked=True):
            sums[use.supply_id] = sums.get(use.supply_id, 0) + use.quantity
        other: dict[int, int] = {}
        for line in session.query(Movement).filter(Movement.use_id.is_(None)):
            other[line.supply_id] = other.get(line.supply_id, 0) + line.quantity
    return sums, other


@pytest.mark.slow
@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(verbs=VERBS)
def test_whatever_is_closed_reopened_changed_and_undone_the_shelf_is_what_stands_booked(
    shop_book, tmp_path_factory, verbs
):
    path = tmp_path_factory.mktemp("sequence") / "shop.bayledger"
    shutil.copyfile(shop_book[0], path)
    shop = shop_book[1]
    clock = Clock(TOMORROW)
    with Book.open(path) as book:
        desk = Desk(book, clock=clock)
        for verb in verbs:
            do(desk, shop, verb)
            clock.tick()
        uses, other = booked(desk)
        found = shelf(desk)
        for supply, standing in found.items():
            assert standing == other.get(supply, 0) - uses.get(supply, 0)
        with book.reading() as session:
            for quantity, value in balances(session).values():
                assert (quantity > 0 and value >= 0) or (quantity <= 0 and value <= 0)
                assert quantity != 0 or value == 0
        assert book.check() == []
    shutil.rmtree(path.parent)


def test_a_job_added_to_a_closed_and_reopened_day_is_booked_with_it(desk, shop):
    close_day(desk, TODAY)
    reopen_day(desk, TODAY, "forgot a job")
    with desk.book.load() as session:
        add_job(session, shop, "0430", "tolk", "coupe", "wash", TODAY, TODAY)
    close_day(desk, TODAY)
    with desk.book.reading() as session:
        assert session.get_one(Job, shop.jobs["0430"]).state == "done"
    whole(desk)


def _layers(desk):
    """What stands: (kind, surface group, step's name as noted), without what was taken back."""
    with desk.book.reading() as session:
        lines = session.query(LayerEvent).order_by(LayerEvent.id).all()
        gone = {line.counters_id for line in lines}
        return [line for line in lines if line.counters_id is None and line.id not in gone]


def _rename_step(desk, shop, old, new):
    with desk.book.change(f"{old} is {new}") as session:
        session.query(JobStep).filter_by(job_id=shop.jobs["0412"], name=old).one().name = new


def test_judgements_stay_with_the_living_layer_when_its_step_is_renamed(desk, shop):
    finish_job(desk, TODAY, shop.jobs["0412"], True)
    close_day(desk, TODAY)
    wagon = shop.vehicles["wagon"]
    judge(desk, TODAY, wagon, "upper sides", after="fading")
    before = {line.id for line in _layers(desk)}
    (applied,) = [one for one in _layers(desk) if one.kind == "applied" and one.surface_group
                  == "upper sides"]  # fmt: skip
    reopen_day(desk, TODAY, "the step was named wrong")
    _rename_step(desk, shop, applied.note, "Two coats of ceramic")
    close_day(desk, TODAY)
    assert {line.id for line in _layers(desk)} == before
    with desk.book.reading() as session:
        (seen,) = session.query(Judgement).all()
    assert seen.layer_event_id in before
    row = next(one for one in judging(desk, TODAY, wagon).rows if one.group == "upper sides")
    assert row.after == "fading"
    whole(desk)


def test_a_step_that_puts_on_something_else_after_all_is_another_layer(desk, shop):
    finish_job(desk, TODAY, shop.jobs["0412"], True)
    close_day(desk, TODAY)
    before = {line.id for line in _layers(desk) if line.kind == "applied"}
    reopen_day(desk, TODAY, "it was the wax")
    wax = shop.supplies["wax"]
    with desk.book.change("Wax after all") as session:
        session.query(JobStep).filter_by(job_id=2, effect="applies").one().supply_id = wax
    close_day(desk, TODAY)
    after = [line for line in _layers(desk) if line.kind == "applied"]
    assert {line.supply_id for line in after} == {wax}
    assert not before & {line.id for line in after}
    whole(desk)


def test_a_renamed_step_that_took_layers_off_says_the_new_means(desk, shop):
    finish_job(desk, TODAY, shop.jobs["0412"], True)
    close_day(desk, TODAY)
    (name,) = {line.note for line in _layers(desk) if line.kind == "abraded"}
    reopen_day(desk, TODAY, "it was sanded")
    _rename_step(desk, shop, name, "Wet sand")
    close_day(desk, TODAY)
    assert {line.note for line in _layers(desk) if line.kind == "abraded"} == {"Wet sand"}
    whole(desk)


def test_two_steps_of_one_name_are_two_layers(desk, shop):
    with desk.book.load() as session:
        first = session.query(JobStep).filter_by(job_id=shop.jobs["0412"], effect="applies").one()
        again = {
            name: getattr(first, name)
            for name in ("job_id", "name", "effect", "supply_id", "surface_groups")
        }
        session.add(JobStep(position=9, **again))
    finish_job(desk, TODAY, shop.jobs["0412"], True)
    close_day(desk, TODAY)
    before = [(line.id, line.step_id) for line in _layers(desk) if line.kind == "applied"]
    assert len({step for _, step in before}) == 2
    reopen_day(desk, TODAY, "hours")
    close_day(desk, TODAY)
    assert [(o.id, o.step_id) for o in _layers(desk) if o.kind == "applied"] == before

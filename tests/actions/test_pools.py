"""Pools on the desk: pieces, loads, steps, undo; and the wear that goes into a job's cost."""

from __future__ import annotations

from datetime import timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.actions.closing import close_day
from app.actions.exporting import export
from app.actions.pools import demote, pool_view, pools, put_in, retire, set_out, wash
from app.actions.supplies import edit_supply
from app.actions.supplies_used import set_use, supplies_used
from app.errors import Mendable
from app.records.contents import contents
from app.records.models import Use
from tests.actions.test_bringing_in import bring_all
from tests.shop import TODAY, new_desk


@pytest.fixture
def towels(desk, shop):
    """The cloths as a pool: 25 in a load, a hundred uses, bought for 50 cents each."""
    number = shop.supplies["cloths"]
    edit_supply(desk, number, pool="paint", pool_load=25, pool_uses=100)
    return number


def test_pieces_come_in_are_used_washed_go_down_and_out(desk, shop, towels):
    put_in(desk, TODAY, towels, "60")
    set_out(desk, TODAY, towels, "40")
    changed = wash(desk, TODAY, towels, "1 load")
    assert changed.name == "One load of Cloths washed"
    demote(desk, TODAY, towels, "10")
    demote(desk, TODAY, towels, "4", "interior")
    demote(desk, TODAY, towels, "1", "wheels")
    retire(desk, TODAY, towels, "2", "interior")
    view = pool_view(desk, towels)
    assert [(one.rung, one.clean, one.in_use) for one in view.rungs] == [
        ("paint", 35, 15),
        ("interior", 4, 0),
        ("wheels", 3, 0),
    ]
    assert (view.came_in, view.out, view.loads) == (60, 3, 1)
    assert view.rebuy == 0
    assert "lidded metal can" in retire(desk, TODAY, towels, "8").question
    view = pool_view(desk, towels)
    assert (view.rebuy, view.came_in) == (8, 60)
    assert "Eight pieces short of two loads" in view.rebuy_text
    assert [one.supply_id for one in pools(desk)] == [towels]


def test_more_than_stands_there_is_refused_and_nothing_moves(desk, shop, towels):
    put_in(desk, TODAY, towels, "5")
    with pytest.raises(Mendable, match="Only five pieces"):
        set_out(desk, TODAY, towels, "6")
    with pytest.raises(Mendable, match="no step of this pool"):
        set_out(desk, TODAY, towels, "1", "engine")
    with pytest.raises(Mendable, match="no number of"):
        wash(desk, TODAY, towels, "some")
    with pytest.raises(Mendable, match="used up, not washed"):
        put_in(desk, TODAY, shop.supplies["soap"], "5")
    with pytest.raises(Mendable, match="of pieces"):
        edit_supply(desk, shop.supplies["soap"], pool="paint")
    assert pool_view(desk, towels).text == "5 clean, 0 in use"


def test_each_step_is_undone_by_its_name(desk, shop, towels):
    put_in(desk, TODAY, towels, "30")
    set_out(desk, TODAY, towels, "30")
    wash(desk, TODAY, towels, "2 loads")
    assert desk.book.undo(today=TODAY).name == "Two loads of Cloths washed"
    assert pool_view(desk, towels).text == "0 clean, 30 in use"
    assert desk.book.redo(today=TODAY).name == "Two loads of Cloths washed"
    assert pool_view(desk, towels).text == "30 clean, 0 in use"
    assert desk.book.check() == []


def test_after_the_day_is_closed_undo_writes_counter_lines(desk, shop, towels):
    put_in(desk, TODAY, towels, "30")
    wash(desk, TODAY, towels, "1")
    close_day(desk, TODAY)
    later = TODAY + timedelta(days=1)
    for _ in range(3):
        desk.book.undo(today=later)
    assert (pool_view(desk, towels).loads, pool_view(desk, towels).came_in) == (0, 0)
    assert desk.book.check() == []


@settings(
    max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    st.lists(
        st.tuples(
            st.sampled_from([put_in, set_out, wash, demote, retire, "undo"]),
            st.integers(1, 30),
            st.sampled_from(["", "interior", "wheels"]),
        ),
        max_size=12,
    )
)
def test_whatever_is_done_and_undone_pieces_are_conserved(desk, shop, towels, steps):
    for do, number, rung in steps:
        try:
            if do == "undo":
                if "Cloths" in (desk.book.next_undo() or "") and "Changed" not in (
                    desk.book.next_undo() or ""
                ):
                    desk.book.undo(today=TODAY)
            elif do is put_in:
                put_in(desk, TODAY, towels, str(number))
            else:
                do(desk, TODAY, towels, str(number), rung)
        except Mendable:
            pass
        view = pool_view(desk, towels)
        inside = sum(one.clean + one.in_use for one in view.rungs)
        assert view.came_in == inside + view.out
        assert all(one.clean >= 0 and one.in_use >= 0 for one in view.rungs)


def test_loads_at_the_days_end_put_their_wear_into_the_jobs_cost(desk, shop, towels):
    """2 loads of 25 uses, of towels that last 100 and cost 0.50: 50 / 100 x 0.50 = 0.25."""
    job = shop.jobs[next(iter(shop.jobs))]
    set_use(desk, TODAY, job, towels, "2 loads")
    row = next(one for one in supplies_used(desk, TODAY).rows if one.supply_id == towels)
    cell = next(one for one in row.cells if one.job_id == job)
    assert cell.amount == 500, "half a towel's life"
    close_day(desk, TODAY)
    with desk.book.reading() as session:
        cost = session.query(Use.cost).filter(Use.job_id == job, Use.supply_id == towels).scalar()
    assert cost == 25
    assert pool_view(desk, towels).wear_text == "0.50 for a hundred uses"
    edit_supply(desk, towels, pool_uses="")
    with pytest.raises(Mendable, match="how many uses a piece lasts"):
        set_use(desk, TODAY + timedelta(days=1), shop.jobs["0412"], towels, "1 load")


def test_pools_go_out_and_come_into_a_new_book_whole(desk, shop, towels, tmp_path):
    put_in(desk, TODAY, towels, "60")
    set_out(desk, TODAY, towels, "30")
    wash(desk, TODAY, towels, "1 load")
    demote(desk, TODAY, towels, "3")
    close_day(desk, TODAY)
    desk.book.undo(today=TODAY)
    desk.book.undo(today=TODAY)
    out = export(desk, tmp_path / "all.xlsx")
    other = new_desk(tmp_path / "other.bayledger")
    plan, _ = bring_all(other, [out])
    assert plan.total("cannot") == 0
    assert contents(other.book)["pool_events"] == contents(desk.book)["pool_events"] != []
    assert contents(other.book) == contents(desk.book)
    assert pool_view(other, pools(other)[0].supply_id).rungs == pool_view(desk, towels).rungs
    assert other.book.check() == []
    other.book.close()

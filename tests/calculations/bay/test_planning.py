"""The plan of all jobs: appointments stand, a bay holds one vehicle, begins are the earliest."""

from __future__ import annotations

from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st

from app.calculations.bay.planning import Clash, Plan, Shop, Wanted, earliest, plan
from app.calculations.bay.runs import Kind, Piece, Run, run

DAY, OPENS, CLOSES = 24 * 60, 8 * 60, 16 * 60
WINDOWS = tuple((day * DAY + OPENS, day * DAY + CLOSES) for day in range(40) if day % 7 < 5)
CURES = (Piece(Kind.HANDS, 360), Piece(Kind.CURES, 720))


@st.composite
def jobs(draw: st.DrawFn) -> list[Wanted]:
    found = []
    for number in range(draw(st.integers(1, 7))):
        pieces = draw(
            st.lists(
                st.builds(Piece, st.sampled_from(Kind), st.integers(1, 24).map(lambda n: 30 * n)),
                min_size=1, max_size=3,
            )
        )  # fmt: skip
        begin = 30 * draw(st.integers(0, 9 * 48))
        latest = draw(st.sampled_from([None, begin, begin + DAY]))
        found.append(
            Wanted(job=number, pieces=(Piece(Kind.HANDS, 30), *pieces), not_before=begin,
                   in_bay=draw(st.booleans()), latest=latest)
        )  # fmt: skip
    return found


def test_while_one_cures_another_is_worked_on_outside_but_none_comes_into_the_bay():
    shop = Shop(WINDOWS)
    found = plan(
        [
            Wanted(job="coating", pieces=CURES, latest=OPENS, not_before=OPENS),
            Wanted(job="wash", pieces=(Piece(Kind.HANDS, 90),), in_bay=False),
            Wanted(job="polish", pieces=(Piece(Kind.HANDS, 120),)),
        ],
        shop,
    )
    ready = DAY + OPENS  # it cures until two at night
    assert found.runs["coating"].ready == ready
    assert found.runs["wash"].begin == OPENS + 360
    assert found.runs["polish"].begin == ready
    assert not found.clashes


def test_an_appointment_that_finds_the_bay_taken_stands_and_is_told_as_a_clash():
    found = plan(
        [
            Wanted(job=1, pieces=CURES, not_before=OPENS, latest=OPENS),
            Wanted(job=2, pieces=CURES, not_before=OPENS + 120, latest=OPENS + 120),
        ],
        Shop(WINDOWS),
    )
    second = found.runs[2]
    assert (second.begin, second.start) == (OPENS + 120, OPENS + 360)  # hands are busy until then
    assert found.clashes == (Clash(0, 1, 2, second.begin, DAY + OPENS),)


@settings(max_examples=60)
@given(jobs(), st.integers(1, 2), st.integers(1, 2))
def test_in_any_shop_bays_hold_one_vehicle_hands_do_one_thing_and_clashes_are_told(
    wanted: list[Wanted], people: int, bays: int
):
    shop = Shop(WINDOWS, people, bays)
    found = plan(wanted, shop)
    assert not found.unplaced
    for one in wanted:
        assert found.runs[one.job].begin >= one.not_before
    told = {frozenset((clash.first, clash.second)) for clash in found.clashes}
    met = {
        frozenset((one.job, other.job))
        for one, other in combinations(found.runs.values(), 2)
        if one.bay is not None and one.bay == other.bay
        and one.begin < other.ready and other.begin < one.ready
    }  # fmt: skip
    assert met == told
    _hands_are_enough(found, people)


def _hands_are_enough(found: Plan, people: int) -> None:
    edges = [(start, 1) for run in found.runs.values() for start, _ in run.hands]
    edges += [(end, -1) for run in found.runs.values() for _, end in run.hands]
    busy = 0
    for _minute, more in sorted(edges, key=lambda edge: (edge[0], edge[1])):
        busy += more
        assert busy <= people


@settings(max_examples=40)
@given(jobs(), st.integers(1, 2))
def test_a_new_job_has_the_earliest_begin_of_all_that_could_be_tried(
    wanted: list[Wanted], bays: int
):
    *others, new = wanted
    shop = Shop(WINDOWS, bays=bays)
    standing = plan(others, shop)
    found = earliest(new, shop)
    assert found is not None
    for begin in range(new.not_before, found.begin, 30):
        tried = run(new.job, new.pieces, begin, shop.hands)
        assert tried is not None
        if tried.begin < found.begin:
            assert not _fits(tried, new, standing, bays), f"begun at {tried.begin}"


def _fits(tried: Run, new: Wanted, standing: Plan, bays: int) -> bool:
    if not new.in_bay:
        return True
    return any(
        all(
            other.ready <= tried.begin or tried.ready <= other.begin
            for other in standing.runs.values()
            if other.bay == bay
        )
        for bay in range(bays)
    )

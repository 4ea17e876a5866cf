"""Columns of a table: where something is cut, idle space of others goes there."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from app.window.paper.cells import Column
from app.window.paper.columnfit import fit_columns


def columns(*of: tuple[int, int, bool]) -> list[Column]:
    return [
        Column(f"c{at}", width=width, least=least, right=right)
        for at, (width, least, right) in enumerate(of)
    ]


def same(size: float) -> int:
    return round(size)


def test_where_nothing_is_cut_the_columns_are_as_drawn() -> None:
    made = columns((0, 60, False), (200, 60, False), (90, 60, True))
    assert fit_columns(made, 600, same, [100, 180, 80], {2: 80}) == fit_columns(made, 600, same)


def test_what_one_column_does_not_need_goes_to_one_that_is_cut() -> None:
    made = columns((0, 60, False), (200, 60, False), (90, 60, True))
    first, second, third = fit_columns(made, 600, same, [100, 320, 90], {2: 90})
    assert (second, third) == (320, 90)
    assert first == 600 - 320 - 90


def test_few_long_words_do_not_cost_many_others_theirs() -> None:
    made = columns((0, 60, False), (200, 60, False))
    needs, usual = [330, 240], [230, 150]
    assert fit_columns(made, 400, same, needs, {}, usual) == [200, 200], "names yield nothing"
    yielding = [made[0], replace(made[1], yields=6)]
    assert fit_columns(yielding, 400, same, needs, {}, usual) == [230, 170]
    assert fit_columns(yielding, 360, same, needs, {}, usual) == [210, 150]


def test_a_number_is_whole_before_words_are() -> None:
    made = columns((200, 60, False), (60, 40, True))
    assert fit_columns(made, 260, same, [400, 130], {1: 130}) == [130, 130]


def test_what_is_painted_keeps_its_width() -> None:
    made = [*columns((0, 60, False)), Column("bar", width=300, paint=lambda *_: None)]
    assert fit_columns(made, 500, same, [400, 0]) == [200, 300]


lines = st.lists(
    st.tuples(st.integers(40, 300), st.integers(30, 80), st.booleans(), st.integers(10, 500)),
    min_size=1,
    max_size=8,
)


@given(lines, st.integers(200, 2000))
def test_room_is_only_moved_and_numbers_come_first(
    of: list[tuple[int, int, bool, int]], room: int
) -> None:
    made = columns((0, 60, False), *((width, least, right) for width, least, right, _ in of))
    needs = [120, *(need for *_, need in of)]
    before = fit_columns(made, room, same)
    numbers = {at: needs[at] for at, one in enumerate(made) if one.right}
    after = fit_columns(made, room, same, needs, numbers)
    assert all(after[at] >= needs[at] for at in numbers), "a number is cut"
    spare = sum(max(0, after[at] - one.least) for at, one in enumerate(made) if not one.right)
    kept = sum(after) in (sum(before), room)
    assert kept or spare == 0, "it scrolls only where no word can give way"
    if sum(after) > room:
        floors = [min(one.least, need) for one, need in zip(made, needs, strict=True)]
        low = [max(0, after[at] - floors[at]) for at in range(len(made)) if at not in numbers]
        assert sum(low) == 0, "nor any that needs less than its least"
    for at, column in enumerate(made):
        if after[at] < before[at]:
            assert after[at] >= min(before[at], column.least, needs[at])

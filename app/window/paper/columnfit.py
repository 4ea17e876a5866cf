"""How wide the columns of a table are in the room there is."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from math import ceil

from app.window.paper.cells import Column


def fit_columns(
    columns: Sequence[Column],
    room: int,
    px: Callable[[float], int],
    needs: Sequence[int] = (),
    whole: Mapping[int, int] | None = None,
    usual: Sequence[int] = (),
) -> list[int]:
    """Widths in pixels that fill `room`.

    Columns without a width share what is left. Where it is not enough, the others give way in
    proportion to what they can, down to their least width; below that the table scrolls.

    `needs`: the width at which nothing is cut in each column. What a column does not need goes to
    those that need more, first to the `whole` ones (numbers, days, telephones). What stands there,
    as wide as `whole` says, is never cut: for it words give way down to their least width, and then
    the table scrolls.

    `usual`: the width at which most of a column's words are whole. What a column that `yields` has
    beyond it goes to those that have less: its few long words do not cost many others theirs.
    """
    wide = [px(column.width) if column.width else 0 for column in columns]
    least = [min(px(column.least), width) for column, width in zip(columns, wide, strict=True)]
    free = [at for at, column in enumerate(columns) if not column.width]
    floor = sum(px(columns[at].least) for at in free)
    spare = room - sum(wide)
    need = floor - spare
    slack = [width - small for width, small in zip(wide, least, strict=True)]
    if need > 0 and sum(slack) > 0:
        share = min(1.0, need / sum(slack))
        wide = [
            width - min(amount, ceil(amount * share))
            for width, amount in zip(wide, slack, strict=True)
        ]
        spare = room - sum(wide)
    for place, at in enumerate(free):
        part = max(spare, 0) // len(free)
        wide[at] = max(px(columns[at].least), part + (spare % len(free) if place == 0 else 0))
    return _by_need(columns, wide, room, needs, whole or {}, usual or needs, px) if needs else wide


def stand_aside(columns: Sequence[Column], least: Mapping[int, int], room: int) -> set[int]:
    """Of the columns with a `least` width those that say least, where all would have no room."""
    left = dict(least)
    aside: set[int] = set()
    for at in sorted(least, key=lambda one: -columns[one].aside):
        if not columns[at].aside or sum(left.values()) <= room:
            break
        aside.add(at)
        del left[at]
    return aside


def _by_need(
    columns: Sequence[Column],
    wide: list[int],
    room: int,
    needs: Sequence[int],
    whole: Mapping[int, int],
    usual: Sequence[int],
    px: Callable[[float], int],
) -> list[int]:
    """The same room, moved from where nothing stands to where something is cut."""
    texts = [at for at, column in enumerate(columns) if column.paint is None]
    words = [at for at in texts if at not in whole]
    for wanting in ([at for at in texts if at in whole], words):
        # The smallest lack first: so most columns are whole.
        for at in sorted(wanting, key=lambda one: needs[one] - wide[one]):
            _take(wide, at, needs[at], {one: needs[one] for one in texts})
    for at in sorted(words, key=lambda one: usual[one] - wide[one]):
        _take(wide, at, usual[at], {one: usual[one] for one in words if columns[one].yields})
    for at, need in whole.items():
        _take(wide, at, need, {one: px(columns[one].least) for one in words})
        wide[at] = max(wide[at], need)
    floors = [
        whole.get(at, px(column.least) if column.paint else min(px(column.least), needs[at]))
        for at, column in enumerate(columns)
    ]
    _shrink(wide, sum(wide) - room, floors)
    return wide


def _shrink(wide: list[int], much: int, floors: Sequence[int]) -> None:
    """Narrow all by what they stand above their floors, in proportion."""
    over = [max(0, width - floor) for width, floor in zip(wide, floors, strict=True)]
    share = min(1.0, much / sum(over)) if much > 0 and any(over) else 0.0
    for at, amount in enumerate(over):
        part = min(ceil(amount * share), max(much, 0))
        wide[at] -= part
        much -= part


def _take(wide: list[int], at: int, need: int, floors: dict[int, int]) -> None:
    """Widen a column to its need by what others stand above their floors, in proportion."""
    lack = need - wide[at]
    over = {one: wide[one] - floor for one, floor in floors.items() if one != at}
    over = {one: amount for one, amount in over.items() if amount > 0}
    spare = sum(over.values())
    if lack <= 0 or not spare:
        return
    share = min(1.0, lack / spare)
    for one, amount in over.items():
        part = min(ceil(amount * share), lack)
        wide[one] -= part
        wide[at] += part
        lack -= part

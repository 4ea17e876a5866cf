"""How wide the columns of a table are in the room there is."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import ceil

from app.window.paper.cells import Column


def fit_columns(columns: Sequence[Column], room: int, px: Callable[[float], int]) -> list[int]:
    """Widths in pixels that fill `room`.

    Columns without a width share what is left. Where it is not enough, the others give way in
    proportion to what they can, down to their least width; below that the table scrolls.
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
    return wide

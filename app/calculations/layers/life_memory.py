"""What was worked out of a supply's layers, kept for the next time lives are learnt.

After one more judgement nine supplies in ten have the layers they had. What they say of a life is
kept by all that it depends on, and so used exactly where it would be found anew. To make that
happen often, what is looked at is rounded (`snapped`): the grids, the habits. Where the answer
lies is known far worse than to such a step.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from math import floor
from typing import Any, TypeVar

T = TypeVar("T")

_TIMES = 4  # of learning, after which what was not used is forgotten


class Memory:
    """What was found by all that it depends on, of the last few times."""

    def __init__(self) -> None:
        self._found: list[dict[Hashable, Any]] = [{}]  # the present time first
        self.made = 0  # of what was asked for, so much was worked out

    def begin(self) -> None:
        """Another time begins."""
        self._found = [{}, *self._found][:_TIMES]

    def of(self, key: Hashable, find: Callable[[], T]) -> T:
        """What `find` gives, found once; `key` names all that it depends on."""
        found = self._found
        for known in found:
            if key in known:
                value: T = known[key]
                break
        else:
            value = find()
            self.made += 1
        found[0][key] = value
        return value


def snapped(value: float, step: float) -> float:
    """The multiple of `step` nearest to a value."""
    return floor(value / step + 0.5) * step

"""What work costs in steps, which every machine counts alike; seconds belong to `tests.bench`."""

from __future__ import annotations

import sys
from collections.abc import Callable


def steps(work: Callable[[], object]) -> int:
    """How many functions the work calls in this thread, Python's own included."""
    count = 0

    def called(_frame: object, event: str, _argument: object) -> None:
        nonlocal count
        count += event in ("call", "c_call")

    before = sys.getprofile()
    sys.setprofile(called)
    try:
        work()
    finally:
        sys.setprofile(before)
    return count

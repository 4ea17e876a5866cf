"""When Python looks for what can be thrown away: not while the window is made, and never in that.

Of what is made until the first picture nearly all stays as long as the program runs. Python would
look through it over and over meanwhile, and later each time that much is made anew: 60 ms and more
in which nothing is painted. So it begins to look when the window stands, and leaves that out.
"""

from __future__ import annotations

import gc
import linecache
from collections.abc import Iterator
from contextlib import contextmanager

_put_off = False  # by the program; the tests and the commands leave Python as it is


@contextmanager
def put_off() -> Iterator[None]:
    """Around the window's life: throw nothing away until it stands."""
    global _put_off
    _put_off = True
    gc.disable()
    try:
        yield
    finally:
        _put_off = False
        gc.unfreeze()
        gc.enable()


def begin() -> None:
    """From now on throw away what is not used; what was made so far is left out of that.

    May be called again when much more was made that stays. With Qt each module's text is read when
    it is imported, and kept for errors to quote: it is let go, and read again where one does.
    """
    if _put_off:
        gc.freeze()
        gc.enable()
        linecache.clearcache()


def look_through_all() -> None:
    """What was left out is looked through like all else, now that a window is taken down."""
    gc.unfreeze()

"""A page's action asked for twice in a row: the second press was meant for what stood there before.

What the first press opened was not read yet: an order that was only just written would be taken in
as come, a job only just booked would be ticked as done.
"""

from __future__ import annotations

from PySide6.QtCore import QElapsedTimer

from app.window.house.place import Place

TWICE = 800  # ms; nobody has read a page sooner. A judgement, no source
ACTS = 3000  # ms in which a page that opens was opened by the key. A judgement, no source
SAID = "Pressed twice, taken once. The same key again does what this page says."


class PressedTwice:
    """When the page's action was last asked for, on which place, and when it opened a page."""

    def __init__(self) -> None:
        self._since = QElapsedTimer()
        self._place: Place | None = None

    def turned(self, place: Place | None = None) -> None:
        """This place shows something else, or an act led to another place; where the key did it,
        what stands there is as new as the press."""
        by_it = place is None or place is self._place
        if by_it and self._since.isValid() and self._since.elapsed() < ACTS:
            self._since.start()

    def holds(self, place: Place) -> bool:
        """Whether this press is the second of two; said, where nothing else is asked."""
        soon = self._since.isValid() and self._since.elapsed() < TWICE
        if soon and not (place.goes_on and place is self._place):
            if not place.office.trouble:
                place.office.say(SAID)
            return True
        self._since.start()
        self._place = place
        return False

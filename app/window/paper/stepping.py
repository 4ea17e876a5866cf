"""Which part of a drawing an arrow key goes to."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QRectF, Qt

ARROWS = {
    Qt.Key.Key_Left: (-1, 0),
    Qt.Key.Key_Right: (1, 0),
    Qt.Key.Key_Up: (0, -1),
    Qt.Key.Key_Down: (0, 1),
}


def neighbour(boxes: Sequence[QRectF], at: int, step: tuple[int, int]) -> int:
    """Of boxes in a drawing, the nearest to that at `at` in a direction; itself where none is."""
    here = boxes[at].center()

    def away(box: QRectF) -> tuple[float, float]:
        shift = box.center() - here
        ahead = shift.x() * step[0] + shift.y() * step[1]
        aside = abs(shift.x() * step[1]) + abs(shift.y() * step[0])
        return ahead, aside

    # Ahead means more ahead than aside: an arrow goes along its line before it changes lines.
    found = [(at_, *away(box)) for at_, box in enumerate(boxes) if at_ != at]
    ahead = [(far + 2 * aside, at_) for at_, far, aside in found if far > 2 and aside <= 2 * far]
    return min(ahead)[1] if ahead else at

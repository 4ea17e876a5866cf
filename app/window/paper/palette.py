"""The colours of the window, light and dark, and the arithmetic on them."""

from __future__ import annotations

from dataclasses import dataclass, fields

from PySide6.QtGui import QColor


@dataclass(frozen=True, kw_only=True)
class Palette:
    """One set of colours; every one is a `QColor` and says by its name what it is for."""

    name: str
    paper: QColor
    leaf: QColor
    sel: QColor  # row with the focus
    act_soft: QColor  # here, usual range
    field: QColor  # a field being written
    ink: QColor
    ink2: QColor
    ink3: QColor  # never on act_soft: too faint there
    rule: QColor  # hairlines; decoration only
    rule2: QColor  # edge of a field, line under a table's head
    margin: QColor  # the double margin rule; decoration only
    act: QColor  # what acts, has the focus, or is here
    on_act: QColor
    look: QColor  # worth a look
    alarm: QColor  # wrong, or too late
    good: QColor  # done
    bar: QColor  # an amount in a drawing
    layer: QColor  # protection left
    gutter_leaf: float  # share of black at the fold, on the leaf's side
    gutter_page: float  # and on the page's

    @property
    def dark(self) -> bool:
        """Whether light ink stands on dark paper."""
        return self.name == "dark"


def _palette(name: str, gutter: tuple[float, float], colours: str) -> Palette:
    names = [field.name for field in fields(Palette) if field.name[:6] not in ("name", "gutter")]
    values = [QColor(text) for text in colours.split()]
    by_name = dict(zip(names, values, strict=True))
    return Palette(name=name, gutter_leaf=gutter[0], gutter_page=gutter[1], **by_name)


LIGHT = _palette(
    "light",
    (0.10, 0.09),
    "#FBF8F1 #F3EEE2 #E6ECEF #DCE5EC #FFFFFF #1D2226 #454C52 #646A6C #DDD6C6 #8A8474 #CFA094 "
    "#1D4468 #FBF8F1 #8A4D00 #A2271B #2B6640 #3F6A86 #1D4468",
)
DARK = _palette(
    "dark",
    (0.50, 0.45),
    "#1F201E #191A18 #2A3238 #2B3A47 #131412 #ECE7DB #C2BDB0 #A39E92 #393A35 #7F7B6F #7A4D44 "
    "#9CC3E6 #14181B #E5B05A #F29582 #8CC79B #7099B6 #8DB6DA",
)


def mix(under: QColor, over: QColor, share: float) -> QColor:
    """`under` with a `share` (0 to 1) of `over` laid on it, plainly in sRGB."""
    keep = 1.0 - share
    return QColor.fromRgbF(
        under.redF() * keep + over.redF() * share,
        under.greenF() * keep + over.greenF() * share,
        under.blueF() * keep + over.blueF() * share,
    )


def faded(colour: QColor, alpha: float) -> QColor:
    """The colour with an opacity from 0 to 1."""
    result = QColor(colour)
    result.setAlphaF(alpha)
    return result

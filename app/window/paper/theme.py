"""The theme: colours, fonts and sizes that every part of the window is given.

There is one `Theme` per running window. It is passed in, never looked up. Sizes in code are the
logical pixels of a window at scale 1; `px()` turns them into those of the chosen scale. When the
colours change, `recoloured` is sent and parts repaint; when the scale changes, `rescaled` is sent
and the window builds its parts anew.
"""

from __future__ import annotations

import sys
from pathlib import Path

from PySide6.QtCore import QObject, QRectF, QSettings, QSize, Qt, Signal
from PySide6.QtGui import QFont, QFontDatabase, QFontMetricsF, QGuiApplication, QPalette
from PySide6.QtWidgets import QApplication, QStyle

from app.paths import resources
from app.window.paper.palette import DARK, LIGHT, Palette
from app.window.paper.sheet import style_sheet

SERIF, SANS = "Vollkorn", "Source Sans 3"
SCALES = (0.8, 0.9, 1.0, 1.1, 1.25, 1.4, 1.6, 1.8, 2.0, 2.25, 2.5, 3.0)
LOOKS = ("system", "light", "dark")

# role: family, pixels, weight, italic
_ROLES: dict[str, tuple[str, int, int, bool]] = {
    "day": (SERIF, 44, 500, False),
    "title": (SERIF, 23, 500, False),
    "subtitle": (SERIF, 17, 400, True),
    "open": (SERIF, 20, 600, False),
    "entry": (SERIF, 17, 500, False),
    "entry_quiet": (SERIF, 17, 400, False),
    "entry_number": (SERIF, 17, 600, False),
    "name": (SERIF, 17, 600, False),
    "weekday": (SERIF, 17, 500, False),
    "month": (SERIF, 15, 400, False),
    "voice": (SERIF, 15, 400, True),
    "aside": (SERIF, 14, 400, True),
    "group": (SERIF, 15, 500, False),
    "row": (SANS, 15, 400, False),
    "total": (SANS, 15, 600, False),
    "changed": (SANS, 15, 700, False),
    "dense": (SANS, 14, 400, False),
    "dense_total": (SANS, 14, 600, False),
    "dense_changed": (SANS, 14, 700, False),
    "unit": (SANS, 13, 400, False),
    "unit_total": (SANS, 13, 600, False),
    "old": (SANS, 13, 400, False),
    "head": (SANS, 12, 600, False),
    "tick": (SANS, 12, 400, False),
    "key": (SANS, 12, 600, False),
}
ROLES = tuple(_ROLES)
# our colour: the roles in which Qt paints with it
_QT_ROLES = {
    "paper": "Window Button",
    "leaf": "AlternateBase ToolTipBase",
    "field": "Base",
    "ink": "WindowText Text ButtonText ToolTipText",
    "ink3": "PlaceholderText Shadow",
    "rule": "Light Midlight",
    "rule2": "Mid Dark",
    "act": "Highlight Link LinkVisited Accent",
    "on_act": "HighlightedText",
    "alarm": "BrightText",
}


def load_fonts(folder: Path | None = None) -> list[str]:
    """Register the bundled fonts with Qt and return the families found; once per process."""
    families: set[str] = set()
    for file in sorted((folder or resources() / "fonts").glob("*.ttf")):
        number = QFontDatabase.addApplicationFont(str(file))
        families.update(QFontDatabase.applicationFontFamilies(number))
    return sorted(families)


def scale_for(available: QSize) -> float:
    """The scale at which a screen of this size shows a page of about 1536 by 864."""
    wish = min(available.width() / 1536, available.height() / 864)
    return max([scale for scale in SCALES if 1.0 <= scale <= wish + 0.04], default=1.0)


class Theme(QObject):
    """Colours, fonts, sizes and motion, as the person and the system want them."""

    recoloured = Signal()
    rescaled = Signal()

    def __init__(self, settings: QSettings | None = None, parent: QObject | None = None) -> None:
        """Load the fonts and read the person's wishes from `settings` (none: nothing is kept)."""
        super().__init__(parent)
        load_fonts()
        self._settings = settings
        self.on_paper = False  # while a page is drawn to be printed
        self.book = ""  # whose rows are remembered: the path of the open one
        self._fonts: dict[str, QFont] = {}
        self._metrics: dict[str, QFontMetricsF] = {}
        self._look = str(self._read("look", "system"))
        self._still = self._read("motion", "system") == "less"
        try:
            self._wish = float(str(self._read("scale", 0)))
        except ValueError:
            self._wish = 0.0
        self.scale = self._wish if self._wish in SCALES else 1.0
        self.palette: Palette = LIGHT
        self._choose()
        QGuiApplication.styleHints().colorSchemeChanged.connect(self._system_changed)

    @property
    def settings(self) -> QSettings | None:
        """Where the person's wishes are kept, if they are."""
        return self._settings

    def _read(self, key: str, otherwise: object) -> object:
        if self._settings is None:
            return otherwise
        return self._settings.value(f"window/{key}", otherwise)

    def _write(self, key: str, value: object) -> None:
        if self._settings is not None:
            self._settings.setValue(f"window/{key}", value)

    # colours -------------------------------------------------------------------------------
    @property
    def look(self) -> str:
        """One of `LOOKS`."""
        return self._look

    def set_look(self, look: str) -> None:
        """Follow the system, or stay light or dark."""
        if look not in LOOKS:
            raise ValueError(f"no such look: {look}")
        self._look = look
        self._write("look", look)
        self._choose()

    def _system_changed(self, _scheme: object) -> None:
        self._choose()

    def _choose(self) -> None:
        dark = self._look == "dark" or (
            self._look == "system"
            and QGuiApplication.styleHints().colorScheme() == Qt.ColorScheme.Dark
        )
        chosen = DARK if dark else LIGHT
        if chosen is not self.palette:
            self.palette = chosen
            self.dress()
            self.recoloured.emit()

    def dress(self, application: QApplication | None = None) -> None:
        """Give the application our style, palette, font and style sheet."""
        target = application or QApplication.instance()
        if not isinstance(target, QApplication):
            return
        # Under a style sheet no style says its name: where one stands, the style is ours already.
        if not target.styleSheet() and target.style().objectName().lower() != "fusion":
            target.setStyle("Fusion")
        # Each of these polishes every widget anew, so what stands already is left alone.
        palette, font = self.qt_palette(), self.font("row")
        sheet = style_sheet(self.palette, self.scale)
        if target.palette() != palette:
            target.setPalette(palette)
        if target.font() != font:
            target.setFont(font)
        if target.styleSheet() != sheet:
            target.setStyleSheet(sheet)

    def qt_palette(self) -> QPalette:
        """Our colours in Qt's roles, for whatever Qt draws itself."""
        palette, roles = QPalette(), QPalette.ColorRole
        for colour, words in _QT_ROLES.items():
            for word in words.split():
                palette.setColor(getattr(roles, word), getattr(self.palette, colour))
        for role in (roles.WindowText, roles.Text, roles.ButtonText):
            palette.setColor(QPalette.ColorGroup.Disabled, role, self.palette.ink3)
        return palette

    # sizes ---------------------------------------------------------------------------------
    def px(self, size: float) -> int:
        """Logical pixels at scale 1 as whole pixels of the present scale, never below 1."""
        return max(1, round(size * self.scale)) if size > 0 else round(size * self.scale)

    def fit_screen(self, available: QSize) -> None:
        """Choose the scale for a screen unless the person has chosen one."""
        if self._wish not in SCALES:
            self._rescale(scale_for(available))

    def step_scale(self, by: int) -> None:
        """One step larger (1) or smaller (-1) and keep it; 0 goes back to the screen's own."""
        if by == 0:
            self._wish = 0.0
            self._write("scale", 0)
            screen = QGuiApplication.primaryScreen()
            self._rescale(scale_for(screen.availableSize()) if screen else 1.0)
            return
        nearest = min(range(len(SCALES)), key=lambda at: abs(SCALES[at] - self.scale))
        self.set_scale(SCALES[min(max(nearest + by, 0), len(SCALES) - 1)])

    def set_scale(self, scale: float) -> None:
        """Show everything at one of `SCALES` and keep that."""
        if scale not in SCALES:
            raise ValueError(f"no such scale: {scale}")
        self._wish = scale
        self._write("scale", scale)
        self._rescale(scale)

    def _rescale(self, scale: float) -> None:
        if scale != self.scale:
            self.scale = scale
            self._fonts.clear()
            self._metrics.clear()
            self.dress()
            self.rescaled.emit()

    # type ----------------------------------------------------------------------------------
    def font(self, role: str) -> QFont:
        """The font of a role (see `ROLES`), with tabular lining figures and no hinting."""
        font = self._fonts.get(role)
        if font is None:
            family, size, weight, italic = _ROLES[role]
            font = QFont(family)
            font.setPixelSize(self.px(size))
            font.setWeight(QFont.Weight(weight))
            font.setItalic(italic)
            font.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
            for tag in ("tnum", "lnum"):
                font.setFeature(QFont.Tag(tag), 1)
            self._fonts[role] = font
        return font

    def metrics(self, role: str) -> QFontMetricsF:
        """Measures of a role's font."""
        found = self._metrics.get(role)
        if found is None:
            found = self._metrics[role] = QFontMetricsF(self.font(role))
        return found

    def width(self, role: str, text: str) -> float:
        """How wide a text is in a role's font, in the present scale's pixels."""
        return self.metrics(role).horizontalAdvance(text)

    def elided(self, role: str, text: str, width: float) -> str:
        """The text, ending in … where it would be wider than `width`."""
        return self.metrics(role).elidedText(text, Qt.TextElideMode.ElideRight, width)

    def wrapped_height(self, role: str, text: str, width: float) -> float:
        """How high a text is that is broken into lines of a width; nothing for no text."""
        flags = int(Qt.AlignmentFlag.AlignLeft | Qt.TextFlag.TextWordWrap)
        box = QRectF(0, 0, width, 10_000)
        return self.metrics(role).boundingRect(box, flags, text).height() if text else 0.0

    # motion --------------------------------------------------------------------------------
    def set_less_motion(self, less: bool) -> None:
        """Keep still (or follow the system again)."""
        self._still = less
        self._write("motion", "less" if less else "system")

    def duration(self, milliseconds: int) -> int:
        """The time a movement takes: none where the person or the system asks for less."""
        if self._still:
            return 0
        if sys.platform == "win32" and not QApplication.isEffectEnabled(Qt.UIEffect.UI_General):
            return 0
        hint = QStyle.StyleHint.SH_Widget_Animation_Duration
        return milliseconds if QApplication.style().styleHint(hint) > 0 else 0


def wrapped(theme: Theme, role: str, text: str, width: float) -> list[str]:
    """Break a text into lines that are not wider than `width`; long words are cut."""
    lines: list[str] = []
    for paragraph in text.split("\n"):
        line = ""
        for word in paragraph.split(" "):
            trial = f"{line} {word}" if line else word
            if theme.width(role, trial) <= width:
                line = trial
                continue
            if line:
                lines.append(line)
            line = word
            while theme.width(role, line) > width and len(line) > 1:
                cut = len(line)
                while cut > 1 and theme.width(role, line[:cut]) > width:
                    cut -= 1
                lines.append(line[:cut])
                line = line[cut:]
        lines.append(line)
    return lines

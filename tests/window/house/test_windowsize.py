"""The window's first and least size: by the scale, on any screen, never larger than it."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import QSettings, QSize
from PySide6.QtWidgets import QApplication, QWidget

from app.window.house import windowsize
from app.window.house.first_run import FirstRun
from app.window.house.leaf import FOLDS_BELOW
from app.window.house.office import Office
from app.window.house.place import Place, PlaceEntry
from app.window.house.shell import Shell
from app.window.opening import Opening
from app.window.paper.theme import SCALES, Theme

Show = Callable[[QWidget, int, int], QWidget]
SCREENS = {"laptop": QSize(1366, 728), "unscaled 1920": QSize(1920, 1040), "4K": QSize(3840, 2120)}
PLACES = [PlaceEntry("day", "Day sheet", "day", Place)]


def put_before(monkeypatch: pytest.MonkeyPatch, screen: QSize) -> None:
    monkeypatch.setattr(windowsize, "room_for", lambda _window: screen)


@pytest.mark.parametrize("name", SCREENS)
def test_first_opened_the_leaf_is_unfolded_on_an_unscaled_screen(
    name: str,
    office: Office,
    theme: Theme,
    settings: QSettings,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    put_before(monkeypatch, SCREENS[name])
    theme.fit_screen(SCREENS[name])
    for window in (Shell(office, PLACES), FirstRun(theme, Opening(settings, theme))):
        assert window.width() == min(theme.px(1366), SCREENS[name].width())
        assert window.height() == min(theme.px(768), SCREENS[name].height())
        assert window.width() >= theme.px(FOLDS_BELOW)
        window.close()
        window.deleteLater()


@pytest.mark.parametrize("name", SCREENS)
@pytest.mark.parametrize("scale", [one for one in SCALES if one <= 2.0])
def test_the_least_size_follows_the_size_of_text_and_never_exceeds_the_screen(
    name: str, scale: float, office: Office, theme: Theme, monkeypatch: pytest.MonkeyPatch
) -> None:
    put_before(monkeypatch, SCREENS[name])
    shell = Shell(office, PLACES)
    shell.open("day")
    theme.set_scale(scale)
    least, screen = shell.minimumSize(), SCREENS[name]
    assert least.width() == min(theme.px(880), screen.width())
    assert least.height() == min(theme.px(560), screen.height())
    shell.close()
    shell.deleteLater()


def test_a_window_that_was_left_small_grows_to_what_larger_text_needs(
    office: Office, theme: Theme, settings: QSettings, monkeypatch: pytest.MonkeyPatch, shown: Show
) -> None:
    put_before(monkeypatch, SCREENS["4K"])
    shell = Shell(office, PLACES, settings=settings)
    shown(shell, 900, 600)
    shell.open("day")
    theme.set_scale(2.0)
    QApplication.processEvents()
    assert shell.width() >= 1760
    assert shell.height() >= 1120

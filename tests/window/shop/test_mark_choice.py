"""The shop's own mark: a picture made anew, kept small in the book, and on its papers."""

from __future__ import annotations

from base64 import b64decode
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QImage

from app.actions.desk.desk import Desk
from app.actions.jobs.invoices import issue
from app.actions.jobs.statements import statement_files
from app.actions.shop.shop_mark import MOST_BYTES
from app.errors import Mendable
from app.window.house.filechoice import FileChoice
from app.window.house.shell import Shell
from app.window.shop.mark_choice import small_png
from app.window.shop.settings_page import SettingsPage
from tests.actions.jobs.test_invoice_standing import charged
from tests.shop import SmallShop
from tests.window.conftest import Beside
from tests.window.keys import press

Key = Qt.Key


@pytest.fixture
def shell(beside: Beside) -> Shell:
    return beside("settings", SettingsPage)


def picture(path: Path, wide: int = 900, high: int = 300) -> Path:
    """A picture that says where it was made."""
    image = QImage(wide, high, QImage.Format.Format_RGB32)
    image.fill(QColor("#205070"))
    image.setText("Where", "behind the yard of Weir Terrace")
    assert image.save(str(path))
    return path


def test_a_picture_becomes_the_mark_on_papers_and_goes_again(
    shell: Shell, desk: Desk, shop: SmallShop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = picture(tmp_path / "mark.png")
    assert b"Weir Terrace" in path.read_bytes()
    monkeypatch.setattr(FileChoice, "open", lambda *_args: path)
    issue(desk, *charged(desk, shop.customers["tolk"], "100"))
    bare, _ = statement_files(desk, shop.customers["tolk"])
    assert b"/Subtype /Image" not in bare.read_bytes()
    shell.open("settings")
    press(Key.Key_F5)
    kept = b64decode(desk.settings.shop_mark)
    assert QImage.fromData(kept).size().toTuple() == (600, 200)
    assert b"Weir Terrace" not in kept
    marked, _ = statement_files(desk, shop.customers["tolk"])
    assert b"/Subtype /Image" in marked.read_bytes()
    press(Key.Key_F6)
    assert desk.settings.shop_mark == ""


def test_what_is_no_picture_is_refused_and_a_rich_one_is_made_small(tmp_path: Path) -> None:
    (tmp_path / "words.png").write_text("no picture at all")
    with pytest.raises(Mendable, match=r"words\.png is no picture that can be read"):
        small_png(tmp_path / "words.png")
    with pytest.raises(Mendable, match="could not be read"):
        small_png(tmp_path / "none.png")
    rich = QImage(300, 300, QImage.Format.Format_RGB32)
    for y in range(300):
        for x in range(300):
            rich.setPixel(x, y, (x * 2654435761 ^ y * 40503) & 0xFFFFFF)
    assert rich.save(str(tmp_path / "rich.png"))
    with pytest.raises(Mendable, match=r"rich\.png has too much in it"):
        small_png(tmp_path / "rich.png")
    for y in range(300):
        for x in range(300):
            rich.setPixel(x, y, (x // 3 * 40503 ^ y // 100 * 977) & 0xF0F0F0)
    assert rich.save(str(tmp_path / "rich.png"))
    assert len(small_png(tmp_path / "rich.png")) <= MOST_BYTES

"""What to charge, by keys: from Figures, another wish, what if, the jobs behind, the way back."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest
from pypdf import PdfReader
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.actions.figures.charging import MARKET
from app.records.models import Charge, Hours, Job, JobService, Use
from app.window.figures.charge_page import ChargePage
from app.window.house.office import Office
from app.window.house.shell import Shell
from app.window.places import asides, places
from tests.shop import TODAY, SmallShop
from tests.window.keys import press, type_words

Key = Qt.Key


@pytest.fixture
def shell(
    office: Office, shop: SmallShop, shown: Callable[[QWidget, int, int], QWidget], qtbot: QtBot
) -> Shell:
    """The figures of a shop with six done jobs of one kind, an hour each, at 80.00."""
    with office.desk.book.load() as session:
        service, supply = next(iter(shop.services.values())), next(iter(shop.supplies.values()))
        for at in range(6):
            day = TODAY - timedelta(days=20 + at)
            job = Job(number=800 + at, customer_id=shop.customers["tolk"], state="done",
                      done_on=day, first_day=day, last_day=day)  # fmt: skip
            session.add(job)
            session.flush()
            session.add_all(
                (
                    JobService(job_id=job.id, service_id=service),
                    Charge(job_id=job.id, text="Work", amount=8000),
                    Hours(job_id=job.id, day=day, minutes=60),
                    Hours(day=day, minutes=6),
                    Use(
                        job_id=job.id, day=day, supply_id=supply, quantity=1, booked=True, cost=500
                    ),
                )
            )
    made = Shell(office, places(), asides=asides())
    shown(made, 1366, 768)
    made.open("figures")
    return made


@pytest.fixture
def page(shell: Shell, qtbot: QtBot) -> ChargePage:
    press(Key.Key_C)
    made = shell.place("charge")
    assert isinstance(made, ChargePage)
    qtbot.waitUntil(lambda: bool(made.table.rows))
    return made


def row(page: ChargePage) -> list[str]:
    entries = page.table.entries
    return [entries.cell(0, at).text for at in range(1, 8)]


def test_the_wish_is_changed_and_changes_what_is_asked(page: ChargePage) -> None:
    # 66 minutes at 90.00 with 5.00 of supplies: 104.00; at 60.00: 71.00. Left: 75.00 by 1.1 h.
    assert row(page) == ["6", "80", "104", "104–104", "", "+24", "68.18"]
    press(Key.Key_E)
    type_words("60")
    for _ in range(3):
        press(Key.Key_Return)
    assert page.table.hasFocus()
    assert row(page) == ["6", "80", "71", "71–71", "", "−9", "68.18"]
    assert page.office.desk.settings.hourly_rate == 9000, "a wish here changes no setting"


def test_what_cannot_be_read_is_said_and_esc_leaves_it_and_then_the_page(
    page: ChargePage, shell: Shell
) -> None:
    press(Key.Key_E)
    type_words("many")
    press(Key.Key_Return)
    assert page.office.trouble
    press(Key.Key_Escape)
    assert page.table.hasFocus()
    assert page.rate.text() == "90.00"
    press(Key.Key_Escape)
    assert shell.here_key == "figures"


def test_the_market_is_named_once_and_enter_lists_the_jobs(page: ChargePage, qtbot: QtBot) -> None:
    texts = [page.title, page.subtitle, page.foot_right.text(), str(page.margin.note)]
    assert sum(text.count("market") for text in texts) == 1
    assert MARKET in page.foot_right.text()
    press(Key.Key_Return)
    assert all(f"{800 + at:04d}" in str(page.margin.note) for at in range(6))


def test_it_is_kept_as_a_page(
    page: ChargePage, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "charge.pdf"
    monkeypatch.setattr(
        "app.window.figures.charge_page.FileChoice.save", lambda *_args, **_more: path
    )
    press(Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    assert "Kept as charge.pdf" in page.office.saved
    assert len(PdfReader(path).pages) == 1

"""The plan by keys: looked through, a job moved before that is kept, a clash, many rows, none."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, time, timedelta
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from app.actions.bay.plan_of_shop import PlannedJob
from app.actions.desk.desk import Desk
from app.actions.jobs.booking_jobs import NewJob, book_job
from app.actions.jobs.job_card import job_card
from app.actions.people.customers import deceased
from app.calculations.bay.runs import Kind
from app.records.queries import settings as settings_queries
from app.window.bay import plan_body
from app.window.bay.plan_body import PlanBody
from app.window.house.office import Office
from app.window.house.place import PlaceEntry
from app.window.house.shell import Shell
from app.window.jobs.place import JobsPlace
from tests.shop import TODAY, SmallShop
from tests.window.keys import press, type_words

Key = Qt.Key
CTRL, ALT, SHIFT = (
    Qt.KeyboardModifier.ControlModifier,
    Qt.KeyboardModifier.AltModifier,
    Qt.KeyboardModifier.ShiftModifier,
)
MONDAY = TODAY + timedelta(days=4)
Opened = Callable[[], PlanBody]


@pytest.fixture
def opened(office: Office, shown: Callable[[QWidget, int, int], QWidget], qtbot: QtBot) -> Opened:
    """Opens the plan over what the book holds by then."""

    def open_plan() -> PlanBody:
        shell = Shell(office, [PlaceEntry("jobs", "Jobs", "jobs", JobsPlace)])
        shown(shell, 1366, 768)
        shell.open("jobs")
        press(Key.Key_2, ALT)
        assert isinstance(shell.here, JobsPlace)
        body = shell.here.listing.plan
        qtbot.waitUntil(lambda: body.plan is not None)
        return body

    return open_plan


def book(
    desk: Desk, shop: SmallShop, day: int, minutes: int = 0, at: int = 8, **more: object
) -> int:
    """A job on Monday and so many days, agreed for an hour; the ceramic coating unless minutes say
    how long something else takes."""
    begins = desk.instant(MONDAY + timedelta(days=day), time(at))
    what = {"minutes": minutes, "title": "Engine bay"} if minutes else {
        "services": ((shop.services["ceramic"], 1),)
    }  # fmt: skip
    new = NewJob(vehicle_id=shop.vehicles["wagon"], begins_at=begins, **what, **more)  # type: ignore[arg-type]
    return book_job(desk, new)[1]


def here(body: PlanBody) -> PlannedJob:
    row = body.chart.row_here
    assert isinstance(row, PlannedJob)
    return row


def facts(body: PlanBody) -> str:
    place = body.window().findChild(JobsPlace)
    return "; ".join(block.accessibleName() for block in place.margin.findChildren(QWidget))


def test_a_coating_cures_overnight_and_is_moved_by_keys_kept_and_taken_back(
    opened: Opened, desk: Desk, shop: SmallShop, qtbot: QtBot
) -> None:
    job = book(desk, shop, 2)
    body = opened()
    while body.here != job:
        press(Key.Key_Down)
    row = here(body)
    cure = next(bar for bar in row.bars if bar.kind is Kind.CURES)
    assert cure.end - cure.start >= 12 * 60, "a coating stands until it may get wet"
    assert body.chart.told_parts()[1 + body.chart.rows.index(row)].name.startswith(row.number)
    press(Key.Key_Right, SHIFT)
    press(Key.Key_Right)
    begins = desk.instant(MONDAY + timedelta(days=3), time(8, 30))
    assert body.trying is not None
    assert body.trying.begins_at == begins
    assert job_card(desk, job).job.first_day == MONDAY + timedelta(days=2), "nothing is saved"
    assert "Begins: Thu 21 Aug, 8:30, was Wed 8:00" in facts(body)
    assert body.row.button.text() == "Keep the move"
    press(Key.Key_Down)
    assert body.here == job, "the row keeps the focus while it is moved"
    press(Key.Key_Escape)
    qtbot.waitUntil(lambda: body.plan is not None and body.plan.effect is None)
    assert here(body).begin == row.begin
    press(Key.Key_Right, SHIFT)
    press(Key.Key_A)
    assert "Asked for by: the customer" in facts(body)
    press(Key.Key_Return, CTRL)
    assert job_card(desk, job).job.first_day == MONDAY + timedelta(days=3)
    qtbot.waitUntil(lambda: here(body).begin == row.begin + 24 * 60)
    assert body.office.saved.startswith(f"Moved {row.number} to Thursday 21 August, 8:00")
    body.office.undo()
    assert job_card(desk, job).job.first_day == MONDAY + timedelta(days=2)
    qtbot.waitUntil(lambda: here(body).begin == row.begin)


def test_two_in_one_bay_clash_until_one_is_moved(
    opened: Opened, desk: Desk, shop: SmallShop, qtbot: QtBot
) -> None:
    promised = datetime.combine(MONDAY + timedelta(days=2), time(12), desk.clock().tzinfo)
    first = book(desk, shop, 2, 240)
    second = book(desk, shop, 2, 240, 10, promised_at=promised + timedelta(days=3))
    body = opened()
    assert body.plan is not None
    assert {(one.first, one.second) for one in body.plan.clashes} == {(first, second)}
    assert body.alert == "wrong"
    assert body.result.startswith("1 clash")
    body.go(second)
    assert "clashes in the bay with" in body.chart.told_parts()[-1].name
    qtbot.waitUntil(lambda: "Clash in the bay with" in facts(body))
    press(Key.Key_W)
    assert body.trying is not None, "another begin keeps it"
    assert body.plan.effect is not None
    assert not body.plan.clashes
    assert "clash" in facts(body)
    press(Key.Key_Return, CTRL)
    qtbot.waitUntil(lambda: body.trying is None and body.alert == "")
    press(Key.Key_W)
    assert body.trying is None
    assert "kept as it stands" in body.office.trouble


def test_a_bar_is_dragged_along_its_row_to_a_half_hour(
    opened: Opened, desk: Desk, shop: SmallShop
) -> None:
    job = book(desk, shop, 2, 240)
    body = opened()
    body.go(job)
    chart, row = body.chart, here(body)
    line = next(one for one in chart._lines if one.row is row)
    calendar = chart.calendar()
    start = QPoint(round(calendar.x(row.begin)) + 3, round(line.middle))
    to = QPoint(round(calendar.x(row.begin + 24 * 60 + 100)) + 3, round(line.middle))
    QTest.mousePress(chart, Qt.MouseButton.LeftButton, pos=start)
    QTest.mouseMove(chart, to)
    QTest.mouseRelease(chart, Qt.MouseButton.LeftButton, pos=to)
    assert body.trying is not None
    assert body.trying.begins_at is not None
    begins = desk.clock_of(body.trying.begins_at)
    assert begins in ("09:30", "10:00")
    assert not body.chart.grab().isNull()


def test_many_rows_scroll_under_the_days_and_three_bays_have_a_line_each(
    opened: Opened, desk: Desk, shop: SmallShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    written: list[Path] = []
    monkeypatch.setattr(plan_body, "open_outside", written.append)
    with desk.book.load() as session:
        settings_queries.write(session, {"bays": 3})
    desk.reload()
    jobs = [book(desk, shop, at % 5, 90, 8 + at // 5) for at in range(30)]
    body = opened()
    titles = [group.title for group in body.chart.groups]
    assert titles[:3] == ["Bay 1", "Bay 2", "Bay 3"]
    assert len(body.chart.rows) >= len(jobs)
    press(Key.Key_End)
    last = [line for line in body.chart._lines if line.row is not None][-1]
    assert last.row is body.chart.row_here
    assert last.top + last.high <= body.chart.height() + 1
    press(Key.Key_Home)
    assert body.chart._lines[1].top >= 0
    press(Key.Key_F2)
    assert [path.suffix for path in written] == [".pdf"], "the week for the wall"


def test_an_empty_plan_teaches_and_ins_books(opened: Opened, desk: Desk, qtbot: QtBot) -> None:
    body = opened()
    assert body.empty.isVisible()
    assert body.result == "nothing booked"
    press(Key.Key_Insert)
    place = body.window().findChild(JobsPlace)
    assert place.booking


def test_who_did_not_come_waits_for_a_day_and_is_given_one_by_a_key(
    opened: Opened, desk: Desk, shop: SmallShop, qtbot: QtBot
) -> None:
    job = book(desk, shop, -4, 240)  # today
    body = opened()
    body.go(job)
    press(Key.Key_L)
    type_words("20")
    finder = QApplication.focusWidget()
    assert finder is not None
    press(Key.Key_Return)
    assert "20 min late" in body.office.saved
    body.go(job)
    press(Key.Key_N)
    assert job_card(desk, job).job.first_day is None
    qtbot.waitUntil(lambda: any(one.title == "Waiting for a day" for one in body.chart.groups))
    body.go(job)
    press(Key.Key_Right, SHIFT)
    assert body.plan is not None
    assert not body.plan.clashes, "the first that fits"
    press(Key.Key_Return, CTRL)
    assert job_card(desk, job).job.first_day is not None


def test_of_a_booking_whose_customer_died_it_is_said_that_nobody_may_bring_it(
    opened: Opened, desk: Desk, shop: SmallShop, qtbot: QtBot
) -> None:
    job = book(desk, shop, 2, 90, customer_id=shop.customers["tolk"])
    deceased(desk, shop.customers["tolk"])
    body = opened()
    while body.here != job:
        press(Key.Key_Down)
    qtbot.waitUntil(lambda: "The customer has died; on the customer’s page F6" in facts(body))

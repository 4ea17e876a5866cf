"""A day of the book is the shop's own date, from west of UTC-8 to east of UTC+12.

Changes of clocks by the IANA time zone database: Chicago 9 March and 2 November 2025, Auckland
28 September and 6 April 2025; Honolulu, Pago Pago and Kiritimati have none.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
import vobject
from pypdf import PdfReader

from app.__main__ import main
from app.actions import opening
from app.actions.day.closing import close_day, reopen_day
from app.actions.desk.desk import Desk
from app.actions.desk.typed_days import read_promise
from app.actions.desk.undoing import undo
from app.actions.exchange import bringing_in, exporting
from app.actions.jobs.booking_jobs import NewJob, book_job
from app.actions.jobs.job_card import job_card
from app.actions.layers.judging import AFTER, judging, set_judged
from app.actions.layers.protection_state import protection
from app.actions.letters import reminder_files, reminders, renewing
from app.actions.people.customers import edit_customer
from app.actions.people.vehicles import vehicle_page
from app.calculations.numbers.dates import day_year, near
from app.documents.papers.calendar import Entry, calendar
from app.records.models import DaySheet, Hours, LayerEvent, Movement, Supply
from app.records.queries import settings as setting_queries
from tests.shop import SmallShop, add_job, new_desk, small_shop

SHOPS = [
    ("America/Chicago", date(2025, 8, 15)),
    ("America/Chicago", date(2025, 3, 9)),
    ("America/Chicago", date(2025, 11, 2)),
    ("Pacific/Honolulu", date(2025, 8, 15)),
    ("Pacific/Pago_Pago", date(2025, 8, 15)),
    ("Pacific/Auckland", date(2025, 9, 28)),
    ("Pacific/Auckland", date(2025, 4, 6)),
    ("Pacific/Kiritimati", date(2025, 8, 15)),
]


class WallClock:
    """A clock on the wall of a shop in some zone, half an hour before midnight."""

    def __init__(self, zone: str, day: date) -> None:
        self.zone = ZoneInfo(zone)
        self.go_to(day)

    def go_to(self, day: date, hour: int = 23, minute: int = 30) -> None:
        self.now = datetime(day.year, day.month, day.day, hour, minute, tzinfo=self.zone)

    def __call__(self) -> datetime:
        return self.now.astimezone(UTC)


@pytest.fixture(params=SHOPS, ids=lambda one: f"{one[0].split('/')[1]} {one[1]:%d %b}")
def place(request: pytest.FixtureRequest) -> tuple[str, date]:
    """A zone and a day."""
    given: tuple[str, date] = request.param
    return given


@pytest.fixture
def day(place: tuple[str, date]) -> date:
    """The shop's day."""
    return place[1]


@pytest.fixture
def wall(place: tuple[str, date]) -> WallClock:
    """Half past eleven at night of the day, until it is moved."""
    return WallClock(*place)


@pytest.fixture
def desk(tmp_path: Path, place: tuple[str, date], wall: WallClock) -> Iterator[Desk]:
    """A desk in that zone; the ceramic of the red coupe is to be done in one day."""
    desk = new_desk(tmp_path / "shop.bayledger", wall, zone=place[0])
    with desk.book:
        yield desk


@pytest.fixture
def shop(desk: Desk, day: date) -> SmallShop:
    """The small shop on that day."""
    shop = small_shop(desk, day)
    with desk.book.load() as session:
        add_job(session, shop, "0413", "tolk", "coupe", "ceramic", day, day)
    return shop


def test_what_a_close_at_half_past_eleven_books_is_of_that_day(
    desk: Desk, shop: SmallShop, day: date, wall: WallClock
) -> None:
    assert desk.today == day
    close_day(desk, day)
    with desk.book.reading() as session:
        sheet = session.get_one(DaySheet, day)
        assert sheet.closed_at == wall()
        events = session.query(LayerEvent).all()
        assert {one.day for one in events} == {day}
        assert {one.at.astimezone(wall.zone).date() for one in events} == {day}
        assert {one.day for one in session.query(Hours)} == {day}
        used = session.query(Movement).filter(Movement.kind == "used")
        assert {one.day for one in used} == {day}
    wall.go_to(day + timedelta(days=1), 0, 10)
    reopen_day(desk, day, "a wrong amount")
    with desk.book.reading() as session:
        assert {one.day for one in session.query(Movement) if one.counters_id} == {day}


def test_a_layer_shows_the_day_on_which_it_was_put_on_everywhere(
    desk: Desk, shop: SmallShop, day: date, wall: WallClock
) -> None:
    close_day(desk, day)
    coupe = shop.vehicles["coupe"]
    assert {one.applied_on for one in vehicle_page(desk, coupe).layers} == {day}
    later = day + timedelta(days=200)
    wall.go_to(later)
    assert {row.applied_text for row in judging(desk, later, coupe).rows} == {f"{day:%b %Y}"}
    (row,) = renewing.renewals(desk, later).rows
    assert (row.layer.applied_on, row.curve[0][0]) == (day, day)
    assert ("Put on", near(day, later)) in row.facts


def test_a_judgement_is_of_the_day_on_which_the_layer_was_seen(
    desk: Desk, shop: SmallShop, day: date, wall: WallClock
) -> None:
    close_day(desk, day)
    later = day + timedelta(days=200)
    wall.go_to(later)
    coupe = shop.vehicles["coupe"]
    set_judged(desk, later, coupe, "upper sides", AFTER, "holding")
    judged = [due.candidate.judged for due in protection(desk, later).dues]
    assert sorted(judged, key=str) == [later, None]
    (row,) = renewing.renewals(desk, later).rows
    assert row.checks == (later,)
    (seen,) = [row.after for row in judging(desk, later, coupe).rows if row.after]
    assert seen == "holding"


def test_a_judgement_of_the_day_the_layer_was_put_on_is_never_before_it(
    desk: Desk, shop: SmallShop, day: date
) -> None:
    close_day(desk, day)
    set_judged(desk, day, shop.vehicles["coupe"], "upper sides", AFTER, "holding")
    assert day in [due.candidate.judged for due in protection(desk, day).dues]


def test_history_and_undo_speak_of_the_shops_day(
    desk: Desk, shop: SmallShop, day: date, wall: WallClock
) -> None:
    close_day(desk, day)
    (closed,) = desk.book.history()
    assert (desk.day_of(closed.at), desk.clock_of(closed.at)) == (day, "23:30")
    morrow = day + timedelta(days=1)
    wall.go_to(morrow, 0, 10)
    undo(desk)
    undone = desk.book.history()[0]
    assert (desk.day_of(undone.at), desk.clock_of(undone.at)) == (morrow, "00:10")


@pytest.mark.parametrize("typed", ["12:00", "23:30", "2:30", "0:15"])
def test_a_promise_is_shown_as_it_was_typed_but_where_clocks_leave_that_time_out(
    desk: Desk, shop: SmallShop, day: date, typed: str
) -> None:
    promised = read_promise(desk, typed, day)
    new = NewJob(
        customer_id=shop.customers["tolk"],
        vehicle_id=shop.vehicles["coupe"],
        first_day=day,
        last_day=day,
        promised_at=promised,
    )
    _, job_id = book_job(desk, new)
    left_out = day in (date(2025, 3, 9), date(2025, 9, 28)) and typed == "2:30"
    shown = "03:30" if left_out else f"{time.fromisoformat(typed.zfill(5)):%H:%M}"
    card = job_card(desk, job_id)
    assert card.promised_text.endswith(f"{day.day} {day:%B}, {shown}")


def test_an_appointment_of_an_hour_takes_an_hour_over_a_change_of_clocks(
    place: tuple[str, date], day: date
) -> None:
    for hour in range(24):
        start = datetime(day.year, day.month, day.day, hour, 30, tzinfo=ZoneInfo(place[0]))
        entry = Entry("one@bayledger", "Look", "", start, None, start)
        event = vobject.readOne(calendar([entry]).decode()).vevent
        assert event.dtend.value - event.dtstart.value == timedelta(hours=1)
        assert event.dtstart.value == start.astimezone(UTC)


@pytest.mark.usefixtures("qapp")
def test_a_letter_bears_the_shops_day_and_its_calendar_entry_comes_ten_days_later(
    desk: Desk, shop: SmallShop, day: date, wall: WallClock, tmp_path: Path
) -> None:
    with desk.book.load() as session:
        session.get_one(Supply, shop.supplies["coating"]).protection = "carnauba wax"
    close_day(desk, day)
    later = day + timedelta(days=70)
    wall.go_to(later)
    address = {"asks_by": "letter", "street": "7 High Street", "city": "Lindmoor"}
    edit_customer(desk, shop.customers["tolk"], **address)
    _, prepared = reminders.prepare_all(desk, later)
    reminder_files.draft_files(desk, later, prepared, tmp_path)
    words = " ".join(PdfReader(tmp_path / "letters.pdf").pages[0].extract_text().split())
    assert day_year(later) in words
    (event,) = vobject.readOne((tmp_path / "reminders.ics").read_text()).vevent_list
    assert event.dtstart.value == later + timedelta(days=10)


def test_today_on_the_command_line_is_the_shops_day(
    desk: Desk, shop: SmallShop, place: tuple[str, date], capsys: pytest.CaptureFixture[str]
) -> None:
    desk.book.close()
    before = datetime.now(ZoneInfo(place[0])).date()
    assert main(["day", str(desk.book.path)]) == 0
    after = datetime.now(ZoneInfo(place[0])).date()
    head = capsys.readouterr().out.splitlines()[0]
    assert any(f"{one.day} {one:%B}" in head for one in (before, after))


def test_a_shop_taken_out_and_brought_into_a_new_book_keeps_its_zone_and_its_days(
    desk: Desk,
    shop: SmallShop,
    place: tuple[str, date],
    day: date,
    wall: WallClock,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    close_day(desk, day)
    file = exporting.export(desk, tmp_path / "all.xlsx")
    monkeypatch.setenv("TZ", "Asia/Tokyo")
    other = opening.new_desk(tmp_path / "other.bayledger", wall)
    with other.book:
        assert other.settings.zone == "Asia/Tokyo"
        plan = bringing_in.preview(other, [bringing_in.read(other, tmp_path / "all.xlsx")])
        bringing_in.bring_in(other, plan)
        assert other.settings.zone == place[0], file
        assert other.today == day
        (page,) = [
            vehicle_page(other, one.vehicle_id)
            for one in protection(other, day).candidates
            if one.layer.group == "upper sides"
        ]
        assert {one.applied_on for one in page.layers} == {day}


@pytest.mark.parametrize("zone", ["Pacific/Auckland", "Pacific/Honolulu", "Europe/Lisbon"])
def test_a_new_book_keeps_the_time_of_the_computer(
    zone: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TZ", zone)
    with opening.new_desk(tmp_path / "new.bayledger").book as book:
        assert Desk(book).settings.zone == zone
    assert main(["new", str(tmp_path / "typed.bayledger")]) == 0
    with opening.open_desk(tmp_path / "typed.bayledger").book as book:
        assert Desk(book).settings.zone == zone


def test_a_zone_that_nobody_knows_leaves_the_usual_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TZ", "Nowhere/Never")
    with opening.new_desk(tmp_path / "new.bayledger").book as book:
        with book.reading() as session:
            assert "zone" not in setting_queries.read_all(session)
        assert Desk(book).settings.zone == "America/Chicago"

"""The plan outside the program: a calendar parsed by another library, a week on paper."""

from __future__ import annotations

from datetime import UTC, date
from pathlib import Path

import pytest
import vobject
from pypdf import PdfReader

from app.actions.bay.plan_of_shop import plan_of_shop
from app.actions.bay.plan_papers import calendar_entries, write_jobs_calendar, write_week
from app.actions.day.closing import close_day
from app.actions.desk.desk import Desk
from app.actions.shop.shop_settings import set_typed
from app.calculations.bay.opening import instant_of
from app.calculations.bay.runs import Kind
from app.errors import Mendable
from tests.actions.bay.conftest import At, Book
from tests.shop import TODAY


@pytest.mark.usefixtures("dries")
def test_a_calendar_has_the_stretches_of_the_plan_with_and_without_holds(
    desk: Desk, book: Book, at: At, tmp_path: Path
) -> None:
    """Read by vobject, which shares nothing with what writes it (RFC 5545)."""
    book("wash", 18, minutes=90, begins_at=at(18, "8:00"), promised_at=at(20, "12:00"))
    path = write_jobs_calendar(desk, tmp_path / "jobs.ics")
    events = vobject.readOne(path.read_text(encoding="utf-8")).vevent_list
    planned = [
        (instant_of(bar.start), instant_of(bar.end))
        for row in plan_of_shop(desk).rows
        for bar in row.bars
    ]
    spans = [(one.dtstart.value, one.dtend.value) for one in events]
    assert [(a.astimezone(UTC), b.astimezone(UTC)) for a, b in spans] == planned
    assert len({one.uid.value for one in events}) == 3
    assert events[1].summary.value.endswith(": dries")
    assert "promised Wed 20 Aug, 12:00" in events[0].description.value
    set_typed(desk, "calendar_holds", "out")
    write_jobs_calendar(desk, path)
    assert len(vobject.readOne(path.read_text(encoding="utf-8")).vevent_list) == 2
    assert {one.title for one in calendar_entries(desk, holds=True)} > {
        one.title for one in calendar_entries(desk, holds=False)
    }
    with pytest.raises(Mendable, match=r"\.ics"):
        write_jobs_calendar(desk, tmp_path / "jobs.txt")


def test_one_file_is_written_at_each_close_and_one_that_fails_undoes_nothing(
    desk: Desk, book: Book, tmp_path: Path
) -> None:
    folder = tmp_path / "cloud"
    folder.mkdir()
    set_typed(desk, "calendar_file", str(folder / "jobs.ics"))
    job = book("wash", 18, minutes=90)
    closed = close_day(desk, TODAY)
    assert folder / "jobs.ics" in closed.files
    number = plan_of_shop(desk).row(job).number
    assert number in (folder / "jobs.ics").read_text(encoding="utf-8")
    (folder / "jobs.ics").unlink()
    folder.rmdir()
    again = close_day(desk, date(2025, 8, 13))
    assert any("calendar" in line for line in again.trouble)
    assert again.changed.name.startswith("Closed")


def test_a_week_on_the_wall_has_vehicles_and_no_names(
    desk: Desk, book: Book, at: At, tmp_path: Path
) -> None:
    book("ceramic", 18, minutes=700, begins_at=at(18, "8:00"), promised_at=at(20, "12:00"))
    book("wash", 19, minutes=60, begins_at=at(19, "9:00"))
    book("wash", None, minutes=60)
    path = write_week(desk, date(2025, 8, 18), tmp_path / "week.pdf")
    text = PdfReader(path).pages[0].extract_text().replace("\t", " ")
    for words in ("Week from Monday 18 August", "grey wagon", "Polish and ceramic", "The bay",
                  "ready Wed", "promised Wed 20 Aug, 12:00", "Two at once in the bay",
                  "Without a day", "closed"):  # fmt: skip
        assert words in text, words
    assert "Tolk" not in text
    assert [bar.kind for bar in plan_of_shop(desk).rows[0].bars][-1] is Kind.CURES
    assert write_week(desk).is_file(), "this week's, among the papers of the plan"

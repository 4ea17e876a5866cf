"""Calendar files, read back with an independent library (vobject) and checked against RFC 5545."""

from __future__ import annotations

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest
import vobject
from hypothesis import example, given
from hypothesis import strategies as st

from app.documents.papers.calendar import Entry, calendar

WRITTEN = datetime(2026, 8, 14, 23, 0, tzinfo=UTC)


def entry(**changes: object) -> Entry:
    values: dict[str, object] = {
        "uid": "reminder-1@bayledger",
        "title": "Look at the blue wagon",
        "text": "Ida Morrow\nsealant from May",
        "start": date(2026, 9, 1),
        "end": None,
        "written": WRITTEN,
    }
    return Entry(**{**values, **changes})  # type: ignore[arg-type]


def test_a_whole_day_ends_on_the_day_after_it() -> None:
    """RFC 5545, section 3.6.1: the end of a VALUE=DATE event is not part of it."""
    event = vobject.readOne(calendar([entry()]).decode()).vevent
    assert event.dtstart.value == date(2026, 9, 1)
    assert event.dtend.value == date(2026, 9, 2)
    assert event.uid.value == "reminder-1@bayledger"


def test_special_characters_are_escaped_as_the_standard_says() -> None:
    r"""RFC 5545, section 3.3.11: `a;b,c\d` and a line break become `a\;b\,c\\d\n`."""
    written = calendar([entry(title="a;b,c\\d\ne")]).decode()
    assert "SUMMARY:a\\;b\\,c\\\\d\\ne" in written
    assert vobject.readOne(written).vevent.summary.value == "a;b,c\\d\ne"


@example(r"\N")
@given(st.text(st.characters(min_codepoint=32, exclude_categories=["Cs", "Cc"]), max_size=300))
def test_no_line_is_longer_than_75_octets_and_the_text_comes_back_whole(title: str) -> None:
    """RFC 5545, section 3.1: at most 75 octets a line, never split within a character."""
    written = calendar([entry(title=title)])
    for line in written.split(b"\r\n"):
        assert len(line) <= 75
        line.decode("utf-8")
    assert vobject.readOne(written.decode()).vevent.summary.value.strip() == title.strip()


def test_a_moment_keeps_its_zone_and_one_without_is_refused() -> None:
    start = datetime(2026, 9, 1, 8, 30, tzinfo=ZoneInfo("America/Chicago"))
    event = vobject.readOne(calendar([entry(start=start)]).decode()).vevent
    assert event.dtstart.value.astimezone(UTC) == datetime(2026, 9, 1, 13, 30, tzinfo=UTC)
    with pytest.raises(ValueError, match="zone"):
        calendar([entry(start=datetime(2026, 9, 1, 8, 30))])

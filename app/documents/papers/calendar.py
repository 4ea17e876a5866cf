"""Calendar files (RFC 5545): what the shop wants to be reminded of, and appointments."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path

from app.calculations.numbers.instants import in_utc

_ESCAPED = re.compile(r"[\\;,]")
PRODUCT = "-//Bayledger//Day book//EN"


@dataclass(frozen=True)
class Entry:
    """One entry: a whole day, or from a moment to a moment (both aware).

    `uid` stays the same however often it is written, so that a calendar replaces, not repeats it.
    """

    uid: str
    title: str
    text: str
    start: date | datetime
    end: date | datetime | None
    written: datetime
    place: str = ""


def write_calendar(entries: Sequence[Entry], path: Path) -> Path:
    """The entries as one calendar file.

    Raises `ValueError` for a moment without its time zone.
    """
    path.write_bytes(calendar(entries))
    return path


def calendar(entries: Sequence[Entry]) -> bytes:
    """The entries as the bytes of a calendar file, folded and escaped by the standard."""
    from icalendar import Calendar, Event, vText

    class Text(vText):
        """Escaped by RFC 5545, section 3.3.11; the library takes a written `\\N` for a break."""

        def to_ical(self) -> bytes:
            return _ESCAPED.sub(r"\\\g<0>", self).replace("\n", "\\n").encode()

    whole = Calendar()
    whole.add("prodid", PRODUCT)
    whole.add("version", "2.0")
    for entry in entries:
        event = Event()
        event.add("uid", entry.uid)
        event.add("summary", Text(_clean(entry.title)))
        if entry.text:
            event.add("description", Text(_clean(entry.text)))
        if entry.place:
            event.add("location", Text(_clean(entry.place)))
        event.add("dtstamp", entry.written)
        if isinstance(entry.start, datetime):
            # UTC is read alike everywhere; zones would bring their own tables along.
            end = entry.end if isinstance(entry.end, datetime) else None
            start = in_utc(entry.start)
            event.add("dtstart", start)
            event.add("dtend", in_utc(end) if end else start + timedelta(hours=1))
        else:
            event.add("dtstart", entry.start)
            # The end of a whole day is the day after it (RFC 5545, section 3.6.1).
            event.add("dtend", entry.end or entry.start + timedelta(days=1))
        whole.add_component(event)
    return bytes(whole.to_ical())


def _clean(text: str) -> str:
    """Without control characters, which no calendar may hold; line breaks stay."""
    return "".join(c for c in text.replace("\r\n", "\n") if c == "\n" or ord(c) >= 32)

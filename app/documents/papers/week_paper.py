"""A week's plan on a sheet for the wall: a row a job, its hours and holds over the days."""

from __future__ import annotations

from functools import partial
from itertools import groupby
from pathlib import Path

from app.calculations.numbers.dates import day_short, day_year
from app.documents.papers.paper import DOTS, QUIET, Font, _font, _Page, _paper, box, sheet_layout
from app.documents.papers.week_sheet import WeekDay, WeekJob, WeekSheet

MM = DOTS / 25.4
NAMES, WORDS = 56 * MM, 40 * MM  # left of the days, and right of them
HIGH, BAR = 11 * MM, 3.4 * MM
BESIDE = 60  # minutes before the first opening and after the last close that are drawn
CLOSED = 0.35  # of an open day's width


class _Scale:
    """Where a minute lies: days beside each other, the nights between them left out."""

    def __init__(self, page: _Page, days: tuple[WeekDay, ...]) -> None:
        opens = [one.window[0] - one.start for one in days if one.window]
        closes = [one.window[1] - one.start for one in days if one.window]
        self.low = max(0, min(opens, default=480) - BESIDE)
        self.high = max(closes, default=960) + BESIDE
        weights = [1.0 if one.window else CLOSED for one in days]
        room = page.width - NAMES - WORDS
        self.edges = [NAMES]
        for weight in weights:
            self.edges.append(self.edges[-1] + room * weight / sum(weights))
        self._days = days

    def of(self, minute: int) -> float:
        """Dots from the left, from the week's first edge to its last."""
        if minute <= self._days[0].start:
            return self.edges[0]
        for at, day in enumerate(self._days):
            if minute < day.end:
                part = (minute - day.start - self.low) / (self.high - self.low)
                wide = self.edges[at + 1] - self.edges[at]
                return self.edges[at] + wide * min(1.0, max(0.0, part))
        return self.edges[-1]


def week_pdf(sheet: WeekSheet, path: Path, region: str = "US") -> Path:
    """The week on a sheet across, on as many as it needs."""
    layout = sheet_layout(region, 12, 12, 12, across=True)
    with _paper(path, region, sheet.title, layout) as page:
        page.text(sheet.title, _font("Vollkorn", 20, 600), right=f"as of {day_year(sheet.printed)}")
        if sheet.shop:
            page.text(sheet.shop, _font(size=10), QUIET)
        page.space(2)
        scale = _Scale(page, sheet.days)
        _head(page, scale, sheet.days)
        for where, jobs in groupby(sheet.jobs, key=lambda one: one.where):
            page.whole(partial(_group, page, where))
            for job in jobs:
                page.whole(partial(_job, page, scale, job))
        if not sheet.jobs:
            page.space(4)
            page.text("Nothing is booked in this week.", _font(size=12))
        page.space(3)
        for words in (*sheet.clashes, *sheet.waiting):
            page.paragraph(words, _font(size=10))
        page.space(1)
        page.paragraph(
            "Full: hands on. Hatched: cures or dries, hands off. Line: stands in the bay.",
            _font(size=9),
        )
    return path


def _head(page: _Page, scale: _Scale, days: tuple[WeekDay, ...]) -> None:
    for font, texts in (
        (_font(size=11, weight=600), [_day_words(one) for one in days]),
        (_font(size=8.5), [one.words for one in days]),
    ):
        for at, text in enumerate(texts):
            left, right = scale.edges[at] + MM, scale.edges[at + 1]
            if days[at].window or page.width_of(text, font) < right - left:
                page.put(text, font, left, right)
        page.y += page.line_of(font)
    page.space(1)
    page.rule(3)


def _day_words(one: WeekDay) -> str:
    return f"{one.day:%a} {day_short(one.day)}" if one.window else str(one.day.day)


def _group(page: _Page, where: str) -> None:
    page.space(2)
    page.text(where, _font("Vollkorn", 12, 600))
    page.rule(3)


def _job(page: _Page, scale: _Scale, job: WeekJob) -> None:
    top = page.y
    name, small = _font(size=10.5, weight=600), _font(size=8.5)
    page.space(0.8)
    page.put(_cut(page, job.name, name, NAMES - 2 * MM), name, 0, NAMES)
    right = page.width
    page.put(job.ready, small, scale.edges[-1] + MM, right, high=page.line_of(name))
    page.y += page.line_of(name)
    page.put(_cut(page, job.work, small, NAMES - 2 * MM), small, 0, NAMES)
    page.put(job.promised, small, scale.edges[-1] + MM, right)
    page.y = top
    for edge in scale.edges:
        page.line(edge, edge, down=HIGH)
    middle = top + HIGH / 2
    for bar in job.bars:
        left, end = scale.of(bar.start), scale.of(bar.end)
        if end - left < 1:
            continue
        if bar.what == "hands":
            page.stroke(BAR, left, middle, end, middle)
        elif bar.what == "holds":
            place = box(left, middle - BAR / 2, end - left, BAR)
            page.bar(place.left(), place.top(), place.width(), place.height(), 2, hatched=True)
        else:
            page.stroke(3, left, middle, end, middle)
    page.y = top + HIGH
    page.rule()


def _cut(page: _Page, text: str, font: Font, room: float) -> str:
    """The text, with dots where it has no room."""
    if page.width_of(text, font) <= room:
        return text
    while text and page.width_of(f"{text}…", font) > room:
        text = text[:-1]
    return f"{text.rstrip()}…"

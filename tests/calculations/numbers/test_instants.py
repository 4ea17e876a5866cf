"""Instants and the shop's days, in zones far west and far east and over both changes of clocks.

The changes named here are those of the IANA time zone database; what becomes of a clock time that
does not exist or comes twice is RFC 5545, section 3.3.5.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

import app
from app.calculations.numbers.instants import clock_of, day_of, elapsed, in_utc, instant

ZONES = (
    "America/Chicago",
    "Pacific/Honolulu",
    "Pacific/Pago_Pago",
    "Pacific/Auckland",
    "Pacific/Kiritimati",
    "Australia/Lord_Howe",  # its clocks change by half an hour
)


@given(
    st.sampled_from(ZONES),
    st.dates(date(2000, 1, 1), date(2037, 12, 31)),
    st.times().map(lambda clock: clock.replace(second=0, microsecond=0, fold=0)),
)
def test_the_day_of_an_instant_is_the_day_it_was_made_of(zone: str, day: date, clock: time) -> None:
    at = instant(day, clock, zone)
    assert day_of(at, zone) == day
    assert at.tzinfo is UTC


@pytest.mark.parametrize(
    ("zone", "at", "day", "clock"),
    [
        ("Pacific/Pago_Pago", datetime(2025, 8, 16, 4, 0, tzinfo=UTC), date(2025, 8, 15), "17:00"),
        ("Pacific/Honolulu", datetime(2025, 8, 16, 9, 30, tzinfo=UTC), date(2025, 8, 15), "23:30"),
        ("America/Chicago", datetime(2025, 8, 16, 4, 30, tzinfo=UTC), date(2025, 8, 15), "23:30"),
        ("Pacific/Auckland", datetime(2025, 8, 14, 20, 0, tzinfo=UTC), date(2025, 8, 15), "08:00"),
        ("Pacific/Kiritimati", datetime(2025, 8, 14, 10, tzinfo=UTC), date(2025, 8, 15), "00:00"),
    ],
)
def test_an_evening_in_the_west_and_a_morning_in_the_east_are_the_shops_own_day(
    zone: str, at: datetime, day: date, clock: str
) -> None:
    assert day_of(at, zone) == day
    assert clock_of(at, zone) == clock


@pytest.mark.parametrize(
    ("zone", "day", "clock", "shown"),
    [
        ("America/Chicago", date(2025, 3, 9), time(2, 30), "03:30"),
        ("Pacific/Auckland", date(2025, 9, 28), time(2, 30), "03:30"),
        ("America/Havana", date(2025, 3, 9), time(0, 0), "01:00"),
    ],
)
def test_a_time_that_clocks_leave_out_is_as_much_later(
    zone: str, day: date, clock: time, shown: str
) -> None:
    at = instant(day, clock, zone)
    assert (day_of(at, zone), clock_of(at, zone)) == (day, shown)


@pytest.mark.parametrize(
    ("zone", "day", "clock", "first"),
    [
        ("America/Chicago", date(2025, 11, 2), time(1, 30), datetime(2025, 11, 2, 6, 30)),
        ("Pacific/Auckland", date(2025, 4, 6), time(2, 30), datetime(2025, 4, 5, 13, 30)),
    ],
)
def test_of_a_time_that_comes_twice_the_first_is_meant(
    zone: str, day: date, clock: time, first: datetime
) -> None:
    at = instant(day, clock, zone)
    assert at == first.replace(tzinfo=UTC)
    assert clock_of(at, zone) == clock_of(at + timedelta(hours=1), zone) == f"{clock:%H:%M}"


def test_what_falls_on_a_day_that_a_zone_left_out_falls_on_the_next() -> None:
    """Apia had no 30 December 2011 (IANA time zone database)."""
    at = instant(date(2011, 12, 30), time(17), "Pacific/Apia")
    assert day_of(at, "Pacific/Apia") == date(2011, 12, 31)


def test_lengths_are_real_over_a_change_of_clocks() -> None:
    chicago = ZoneInfo("America/Chicago")
    before, after = (datetime(2025, 11, day, 12, tzinfo=chicago) for day in (1, 2))
    assert after - before == timedelta(hours=24), "what Python makes of it"
    assert elapsed(before, after) == timedelta(hours=25)


def test_a_moment_without_a_zone_is_no_instant() -> None:
    with pytest.raises(ValueError, match="no time zone"):
        in_utc(datetime(2025, 8, 14, 12))


# --- nothing else in the program turns one into the other -------------------------------------
ROOT = Path(app.__file__).parent
CELL = "a cell of somebody's workbook, a date on paper and no instant"
STAMP = "files bear the computer's own clock"
LOST = "the hour of a lost line is not known; its day stands beside it"
ALLOWED = {
    ("documents/reading/dates.py", "value.date()"): CELL,
    ("documents/reading/grid.py", "value.date()"): CELL,
    ("documents/export/exact.py", "cell.date()"): CELL,
    ("documents/export/full_export.py", "day.date()"): CELL,
    (
        "documents/export/workbook.py",
        "datetime.fromtimestamp(path.stat().st_mtime)",
    ): "when a file was written, as the computer's own file list tells it",
    ("documents/reading/dates.py", "date.today()"): "where two-digit years turn; no shop is known",
    ("documents/export/exact.py", "value.astimezone(UTC)"): "an export tells instants in UTC",
    ("documents/export/exact.py", "moment.astimezone(UTC)"): "an export tells instants in UTC",
    ("records/models/base.py", "value.astimezone(UTC)"): "the book keeps instants in UTC",
    ("records/models/base.py", "value.replace"): "the zone is taken off and put on again",
    ("__main__.py", "datetime.now()"): STAMP,
    ("records/storage/backup.py", "datetime.now()"): STAMP,
    ("records/storage/backup.py", "(now or datetime.now()).date()"): STAMP,
    ("records/storage/backup.py", "datetime.strptime(found[1], '%Y-%m-%d').date()"): STAMP,
    ("records/storage/stray_log.py", "datetime.now()"): STAMP,
    ("actions/shop/backups.py", "copy.made.date()"): STAMP,
    ("actions/shop/backups.py", "copy.made.year"): STAMP,
    ("actions/shop/backups.py", "{copy.made:%H:%M}"): STAMP,
    ("actions/shop/backups.py", "one.made.date()"): STAMP,
    ("records/salvage/mending.py", "datetime.combine(use.day, time(12), UTC)"): LOST,
    ("records/salvage/mending.py", "datetime.combine(row.day, time(12), UTC)"): LOST,
    ("records/models/words.py", "ZoneInfo(str(value))"): "whether a setting names a zone at all",
    ("window/paper/ordering.py", "date.today()"): "the year of a listed day that names none",
    ("window/house/first_run.py", "date.today()"): "no book is open, so there is no shop's day",
}
TURNING = {".date", ".combine", ".astimezone", ".fromtimestamp", "ZoneInfo", ".today"}
PARTS = {
    "year", "month", "day", "hour", "minute", "weekday", "isoweekday", "isocalendar", "toordinal",
    "isoformat", "strftime", "replace",
}  # fmt: skip


def _sources() -> Iterator[tuple[str, ast.Module]]:
    for path in sorted(ROOT.rglob("*.py")):
        name = path.relative_to(ROOT).as_posix()
        if name != "calculations/numbers/instants.py" and "versions/" not in name:
            yield name, ast.parse(path.read_text(encoding="utf-8"))


def _fields(trees: list[tuple[str, ast.Module]]) -> set[str]:
    """The fields that are annotated as an instant, and nowhere in the program as a day."""
    kinds: dict[str, set[str]] = {}
    for _, tree in trees:
        for node in ast.walk(tree):
            if isinstance(node, ast.AnnAssign):
                kinds.setdefault(ast.unparse(node.target), set()).update(_kinds(node.annotation))
    return {f".{name}" for name, found in kinds.items() if found == {"datetime"}} | {".clock"}


def _kinds(annotation: ast.expr) -> set[str]:
    return {n.id for n in ast.walk(annotation) if isinstance(n, ast.Name)} & {"date", "datetime"}


def _name(node: ast.expr) -> str:
    if isinstance(node, ast.Call):
        return _name(node.func)
    return f".{node.attr}" if isinstance(node, ast.Attribute) else getattr(node, "id", "")


def _turns(node: ast.AST, instants: set[str]) -> bool:
    """Whether a piece of code makes a day of an instant, or an instant of a day."""
    if isinstance(node, ast.FormattedValue):
        spec = ast.unparse(node.format_spec) if node.format_spec else ""
        return "%" in spec and _name(node.value) in instants
    if isinstance(node, ast.Attribute):
        return node.attr in PARTS and _name(node.value) in instants
    if not isinstance(node, ast.Call):
        return False
    name = _name(node.func)
    return (name == ".now" and not node.args) or name in TURNING


def _in_functions(tree: ast.Module, instants: set[str]) -> Iterator[ast.AST]:
    """What turns one into the other, with each function's own arguments that are instants."""
    yield from (node for node in ast.walk(tree) if _turns(node, instants))
    for function in ast.walk(tree):
        if isinstance(function, ast.FunctionDef):
            given = [*function.args.args, *function.args.kwonlyargs]
            own = {a.arg for a in given if a.annotation and _kinds(a.annotation) == {"datetime"}}
            yield from (node for node in ast.walk(function) if _turns(node, own))


def test_nothing_else_in_the_program_makes_a_day_of_an_instant() -> None:
    trees = list(_sources())
    fields = _fields(trees)
    assert {".at", ".applied_at", ".promised_at"} <= fields
    found = {
        (name, ast.unparse(node)) for name, tree in trees for node in _in_functions(tree, fields)
    }
    assert found == set(ALLOWED)


@pytest.mark.parametrize(
    "code",
    ["one.at.date()", "func.date(row.at)", "datetime.combine(day, time())", "layer.applied_at.day",
     "f'{layer.applied_at:%b %Y}'", "date.today()", "at.astimezone(zone)", "ZoneInfo(zone)"],
)  # fmt: skip
def test_what_would_make_a_day_of_an_instant_is_found(code: str) -> None:
    tree = ast.parse(code)
    assert any(_turns(node, {".at", ".applied_at"}) for node in ast.walk(tree))

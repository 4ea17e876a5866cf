"""What happened and was seen on each vehicle, read once and then mended by what changed."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property

from app.actions.desk.desk import Desk
from app.errors import check_stop
from app.records.queries import protection as queries
from app.records.queries.histories import OF_VEHICLES, vehicles_of
from app.records.queries.protection import EventRow, JudgementRow
from app.records.undo.touched import RowTouched

# Nothing put on longer ago than this still protects or teaches; it bounds what is read.
LOOK_BACK_DAYS = 8 * 366
# Read besides, so that turning back some pages reads nothing anew.
SPARE = timedelta(days=366)
MANY = 100  # vehicles: of more than these all are read anew


@dataclass(frozen=True)
class History:
    """One vehicle's events in order of time, and what was seen of it by day."""

    events: tuple[EventRow, ...]
    seen: tuple[JudgementRow, ...]

    @cached_property
    def span(self) -> tuple[date, date]:
        """The first and the last day of which it tells."""
        days = [*(row.day for row in self.events), *(row.day for row in self.seen)]
        return (min(days), max(days)) if days else (date.max, date.min)

    def within(self, since: date, until: date) -> History:
        """The same between two days, both included; itself where it tells of no other days."""
        first, last = self.span
        if since <= first and last <= until:
            return self
        return History(
            tuple([row for row in self.events if since <= row.day <= until]),
            tuple([row for row in self.seen if since <= row.day <= until]),
        )


@dataclass(frozen=True)
class _Read:
    since: date
    vehicles: dict[int, History]


def histories(desk: Desk, day: date) -> dict[int, History]:
    """Vehicle id -> what happened and was seen up to a day, in the order of their ids."""
    since = day - timedelta(days=LOOK_BACK_DAYS)

    def mend(last: _Read | None, touched: Sequence[RowTouched] | None) -> _Read:
        if last is None or touched is None or not last.since <= since <= last.since + 2 * SPARE:
            return _all(desk, since - SPARE)
        return _mended(desk, last, touched)

    read = desk.mended("histories", mend)
    check_stop()
    return {vehicle: one.within(since, day) for vehicle, one in sorted(read.vehicles.items())}


def _all(desk: Desk, since: date) -> _Read:
    with desk.book.reading() as session:
        events = queries.layer_events(session, since)
        seen = queries.judgements(session, since)
    return _Read(since, _by_vehicle(events, seen))


def _mended(desk: Desk, last: _Read, touched: Sequence[RowTouched]) -> _Read:
    rows = [row for row in touched if row.table in OF_VEHICLES]
    if not rows:
        return last
    with desk.book.reading() as session:
        vehicles = {vehicle for row in rows for vehicle in row.vehicles}
        for table in OF_VEHICLES:
            ids = [row.key for row in rows if row.table == table]
            vehicles |= vehicles_of(session, table, ids)
        if len(vehicles) > MANY:
            return _all(desk, last.since)
        events = [row for one in vehicles for row in queries.layer_events(session, last.since, one)]
        seen = [row for one in vehicles for row in queries.judgements(session, last.since, one)]
    others = {one: history for one, history in last.vehicles.items() if one not in vehicles}
    return _Read(last.since, others | _by_vehicle(events, seen))


def _by_vehicle(events: Iterable[EventRow], seen: Iterable[JudgementRow]) -> dict[int, History]:
    happened, was_seen = defaultdict(list), defaultdict(list)
    for event in events:
        happened[event.vehicle_id].append(event)
    for judgement in seen:
        was_seen[judgement.vehicle_id].append(judgement)
    return {
        vehicle: History(tuple(happened[vehicle]), tuple(was_seen[vehicle]))
        for vehicle in happened.keys() | was_seen.keys()
    }

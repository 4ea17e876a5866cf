"""What became of estimates and bookings, which work was done again, and how long layers held."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import inf

from app.actions.desk.desk import Desk, kept
from app.actions.figures.kinds import kind_name
from app.actions.figures.row_figure import (
    FEW,
    MOST_ROWS,
    Column,
    Row,
    RowFigure,
    cut,
    share_of,
)
from app.actions.layers.protection_state import seen_layers
from app.calculations.layers.protection import ProtectionClass
from app.calculations.letters.came_of_letters import lives_achieved
from app.calculations.numbers.dates import age_words
from app.calculations.numbers.durations import shown_duration
from app.calculations.numbers.money import shown_money
from app.calculations.numbers.wording import capital, count_of, counted, listed, noun
from app.records.queries import days as day_queries
from app.records.queries import protection as protection_queries
from app.records.queries import work_figures as queries
from app.records.queries.figures import DoneJob
from app.records.queries.work_figures import Booked, Given

DECIDED_AFTER = 21  # days; older without an answer counts as decided (common practice, no source)
LONG_OPEN = 60
AGAIN_DAYS = 30  # within which free work on the vehicle is the former done again (no source)
NOT_COME = "they did not come"


@dataclass(frozen=True)
class WorkFigures:
    """The third page."""

    estimates: RowFigure
    bookings: RowFigure
    again: RowFigure
    lives: RowFigure

    @property
    def all(self) -> tuple[RowFigure, ...]:
        """In the order in which they stand."""
        return self.estimates, self.bookings, self.again, self.lives


def work_figures(
    desk: Desk, jobs: Sequence[DoneJob], first: date, last: date, then: tuple[date, date]
) -> WorkFigures:
    """Of the time from `first` to `last`, with what it was in the time `then`, a year before."""
    with desk.book.reading() as session:
        given, given_then = (queries.given(session, *one) for one in ((first, last), then))
        until = min(last, desk.today)
        booked, booked_then = (queries.booked(session, *one) for one in ((first, until), then))
    currency = desk.settings.currency
    return WorkFigures(
        estimates_figure(given, given_then, desk.today, currency),
        bookings_figure(booked, booked_then, currency),
        again_figure(desk, jobs, first, last, then),
        lives_figure(desk, desk.today),
    )


# estimates -------------------------------------------------------------------------------------
def said_yes(one: Given) -> bool:
    """Whether an estimate was said yes to: as noted, or because the work was done."""
    return one.yes or one.state in ("working", "done")


def _decided(one: Given, today: date) -> bool:
    return said_yes(one) or one.state == "cancelled" or (today - one.given_on).days > DECIDED_AFTER


def estimates_figure(
    given: Sequence[Given], before: Sequence[Given], today: date, currency: str
) -> RowFigure:
    """What became of the estimates that were given, and how long the open ones have been open."""
    columns = (Column("Estimates", short="number"), Column("Likely, with tax", "money", "likely"))
    if not given:
        return RowFigure(finding="No estimate was given in this time.", columns=columns)
    groups: dict[str, list[Given]] = {name: [] for name in _ENDS}
    for one in given:
        groups[_end_of(one, today)].append(one)
    decided = [one for one in given if _decided(one, today)]
    yes = sum(map(said_yes, decided))
    rows = _listed_given(given, today) if len(given) < FEW else tuple(
        Row(name, (len(some), sum(one.likely for one in some)), tuple(one.job_id for one in some),
            len(some), look=name == _ENDS[-1], open=name in _ENDS[4:])
        for name, some in groups.items() if some
    )  # fmt: skip
    finding = f"{count_of(len(given), 'estimate')} given, {counted(yes)} said yes to."
    if len(decided) >= FEW:
        finding = f"{yes} of {len(decided)} decided estimates got a yes."
    done = sum(1 for one in given if one.state == "done")
    facts = [("Given", str(len(given))), ("Decided", str(len(decided))), ("Said yes to", str(yes)),
             ("Done", str(done))]  # fmt: skip
    facts += _share_facts("Of the decided", yes, len(decided))
    then = [one for one in before if _decided(one, today)]
    facts += _share_facts("A year before", sum(map(said_yes, then)), len(then))
    return RowFigure(
        finding=finding, columns=columns, rows=rows, first_head="What became of them",
        beside=(0, 1),
        subtitle=f"Number, and likely with tax{_HATCHED * any(row.open for row in rows)}",
        facts=tuple(facts),
    )  # fmt: skip


_HATCHED = "; hatched: no answer yet"
_ENDS = (
    "yes, done", "yes, to come", "yes, then called off", "came to nothing",
    f"open up to {DECIDED_AFTER} days", f"open {DECIDED_AFTER + 1} to {LONG_OPEN} days",
    f"open over {LONG_OPEN} days",
)  # fmt: skip


def _end_of(one: Given, today: date) -> str:
    if one.state == "cancelled":
        return _ENDS[2] if one.yes else _ENDS[3]
    if said_yes(one):
        return _ENDS[0] if one.state == "done" else _ENDS[1]
    age = (today - one.given_on).days
    return _ENDS[4 + (age > DECIDED_AFTER) + (age > LONG_OPEN)]


def _listed_given(given: Sequence[Given], today: date) -> tuple[Row, ...]:
    return tuple(
        Row(f"{one.number:04d} {one.customer}: {_end_of(one, today)}", (1, one.likely),
            (one.job_id,), 1, open=not _decided(one, today))
        for one in given
    )  # fmt: skip


def _share_facts(label: str, part: int, whole: int) -> list[tuple[str, str]]:
    """A share as a fact; of fewer than five none is said."""
    share = share_of(part, whole)
    return [(label, f"{share:.0f} %")] if share is not None and whole >= FEW else []


# bookings --------------------------------------------------------------------------------------
def bookings_figure(booked: Sequence[Booked], before: Sequence[Booked], currency: str) -> RowFigure:
    """Which bookings came to nothing, why, and what is kept of their deposits."""
    columns = (
        Column("Bookings", short="number"),
        Column("Kept of what they paid", "money", "kept"),
    )
    came = [one for one in booked if one.state in ("done", "working")]
    off = [one for one in booked if one.state == "cancelled"]
    if not came and not off:
        return RowFigure(finding="No booking fell due in this time.", columns=columns)
    missed = sum(one.because == NOT_COME for one in off)
    due = len(came) + len(off)
    why = Counter(one.because or "no reason noted" for one in off)
    if len(off) < FEW:
        rows = [
            Row(f"{one.number:04d} {one.customer}: {one.because or 'no reason noted'}",
                (1, one.kept), (one.job_id,), 1, look=one.because == NOT_COME)
            for one in off
        ]  # fmt: skip
    else:
        rows = []
        for reason, many in why.most_common():
            some = [one for one in off if (one.because or "no reason noted") == reason]
            kept_of = sum(one.kept for one in some)
            ids = tuple(one.job_id for one in some)
            rows.append(Row(reason, (many, kept_of), ids, many, look=reason == NOT_COME))
    drawn, rest = cut(rows)
    if missed:
        finding = f"{missed} of {count_of(due, 'booking')} did not come."
    elif off:
        finding = (
            f"{len(off)} of {count_of(due, 'booking')} {noun(len(off), 'was', 'were')} called off."
        )
    else:
        finding = f"All {counted(due)} bookings came." if due > 1 else "The one booking came."
    facts = [("Bookings due", str(due)), ("Came", str(len(came))), ("Called off", str(len(off))),
             ("Did not come", str(missed))]  # fmt: skip
    facts += _share_facts("Of all", missed, due)
    then = [one for one in before if one.state in ("done", "working", "cancelled")]
    missed_then = sum(one.because == NOT_COME and one.state == "cancelled" for one in then)
    facts += _share_facts("A year before", missed_then, len(then))
    facts.append(("Kept of deposits", shown_money(sum(one.kept for one in off), currency)))
    return RowFigure(
        finding=finding, columns=columns, rows=drawn, rest=rest, first_head="Called off because",
        beside=(0, 1), subtitle="Bookings called off by why; at the right what is kept of them",
        facts=tuple(facts),
    )  # fmt: skip


# done again ------------------------------------------------------------------------------------
def again_figure(
    desk: Desk, jobs: Sequence[DoneJob], first: date, last: date, then: tuple[date, date]
) -> RowFigure:
    """Work done again: a free job on a vehicle soon after another; by the kind of that one."""
    columns = (
        Column("Jobs"), Column("Hours", "time"), Column("Supplies", "money"),
        Column("Of jobs' hours", "percent"),
    )  # fmt: skip
    pairs = _again(desk, first, last)
    whole = sum(job.minutes for job in jobs)
    with desk.book.reading() as session:
        names = {
            one: kind_name([service.name for service in some])
            for one, some in day_queries.services_of(
                session, [former for _, former in pairs]
            ).items()
        }
    groups: dict[str, list[queries.Visit]] = {}
    for visit, former in pairs:
        groups.setdefault(names.get(former, "Other work"), []).append(visit)
    found = sorted(groups.items(), key=lambda one: -sum(visit.minutes for visit in one[1]))
    rows, rest = cut([
        Row(
            name,
            (len(some), (minutes := sum(one.minutes for one in some)),
             sum(one.supplies for one in some), share_of(minutes, whole)),
            tuple(one.job_id for one in some), minutes, look=len(some) >= FEW,
        )
        for name, some in found
    ])  # fmt: skip
    minutes = sum(visit.minutes for visit, _ in pairs)
    again_then = _again(desk, *then)
    facts = [
        ("Jobs done again", str(len(pairs))),
        ("Hours on them", shown_duration(minutes)),
        ("Supplies", shown_money(sum(one.supplies for one, _ in pairs), desk.settings.currency)),
        ("A year before", count_of(len(again_then), "job")),
    ]
    finding = "No work had to be done again." if jobs else "No job was done in this time."
    if pairs:
        finding = f"{count_of(len(pairs), 'job')} done again took {shown_duration(minutes)}."
    share = share_of(minutes, whole)
    voice = (f"That is {share:.1f} % of the hours on jobs.",) if share and minutes else ()
    return RowFigure(
        finding=finding, columns=columns, rows=rows, rest=rest, first_head="What was done again",
        beside=(0, 1),
        subtitle="By the work that was done again; jobs, and their hours" if pairs else "",
        voice=voice, facts=tuple(facts),
    )  # fmt: skip


def _again(desk: Desk, first: date, last: date) -> list[tuple[queries.Visit, int]]:
    """(the free visit, the job before it on the same vehicle)."""
    with desk.book.reading() as session:
        visits = queries.visits_of_vehicles(session, first, last, AGAIN_DAYS)
    latest: dict[int, queries.Visit] = {}  # of each vehicle the last that was paid
    found = []
    for visit in visits:
        former = latest.get(visit.vehicle_id)
        if visit.earned > 0:
            latest[visit.vehicle_id] = visit
        elif (
            former is not None
            and visit.done_on >= first
            and visit.done_on - former.done_on <= timedelta(days=AGAIN_DAYS)
        ):
            found.append((visit, former.job_id))
    return found


# lives -----------------------------------------------------------------------------------------
@kept("lives achieved")
def lives_figure(desk: Desk, day: date) -> RowFigure:
    """How long half of the layers held, by class and by how hard a life the vehicle has."""
    columns = (
        Column("Layers"),
        Column("Seen gone"),
        Column("Half held, days", "days", "days"),
    )
    with desk.book.reading() as session:
        supplies = protection_queries.protections(session)
    known = {one.value: one for one in ProtectionClass}
    classes = {row.supply_id: known[row.protection] for row in supplies if row.protection in known}
    lives = lives_achieved(seen_layers(desk, day), classes)
    if not lives:
        return RowFigure(finding="No layer has been seen again yet.", columns=columns,
                         of="supplies")  # fmt: skip
    of_class: dict[ProtectionClass, list[int]] = {}
    for supply, kind in classes.items():
        of_class.setdefault(kind, []).append(supply)
    longest = max((one.median_days for one in lives if one.layers >= FEW
                   and one.median_days < inf), default=1.0)  # fmt: skip
    found = [
        Row(
            f"{capital(one.protection_class)}, {one.band}",
            (one.layers, one.gone, round(one.median_days) if one.median_days < inf
             else "not yet"),
            tuple(of_class[one.protection_class]),
            min(one.median_days, longest), open=one.median_days == inf or one.layers < FEW,
        )
        for one in lives
    ]  # fmt: skip
    sure = [one for one in lives if one.median_days < inf and one.layers >= FEW]
    finding = "No class was seen to its end often enough yet."
    if sure:
        most = max(sure, key=lambda one: one.layers)
        finding = f"{capital(most.protection_class)}: half held {age_words(most.median_days)}."
    voice = [f"{capital(most.protection_class)} on vehicles {_KEPT[most.band]}."] if sure else []
    few = [row.name for row in found if int(row.cells[0] or 0) < FEW]
    if few:
        voice.append(f"Fewer than five layers: {listed(few[:3])}"
                     f"{' and others' if len(few) > 3 else ''}.")  # fmt: skip
    often = sorted(found, key=lambda row: -int(row.cells[0] or 0))[:MOST_ROWS]
    rows = tuple(row for row in found if row in often)  # the classes in their order
    rest = tuple(row for row in found if row not in often)
    seen, gone = sum(one.layers for one in lives), sum(one.gone for one in lives)
    return RowFigure(
        finding=finding, columns=columns, rows=rows, rest=rest,
        first_head="Class, and its vehicles", beside=(2, 0), of="supplies", voice=tuple(voice),
        subtitle="Days until half had gone, and layers seen"
        f"{'; hatched: not known yet' * any(row.open for row in rows)}",
        facts=(("Layers seen again", f"{seen:,}"), (f"Of them {noun(gone, 'gone', 'gone')}",
                                                    f"{gone:,}")),
    )  # fmt: skip


_KEPT = {
    "kept well": "that are kept well", "middling": "of middling exposure",
    "hard": "that have it hard",
}  # fmt: skip

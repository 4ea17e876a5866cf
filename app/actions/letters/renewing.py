"""Renewals: which layers wear out when, and the view that the Renewals place draws."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import cached_property, partial

import numpy as np

from app.actions.desk.desk import Changed, Desk
from app.actions.layers.judging import note_judgement
from app.actions.layers.protection_state import LayerOnVehicle, Protection, protection
from app.calculations.layers.layers import Verdict
from app.calculations.layers.protection import PAINT, SurfaceGroup
from app.calculations.letters.renewals import Due
from app.calculations.numbers.dates import age_words, months_of, near
from app.calculations.numbers.wording import count_of, counted
from app.records.queries import protection as queries

MONTHS_BACK, MONTHS_AHEAD = 17, 19
WORN_OUT = 0.05  # below this chance a layer counts as worn out: nobody waits for it any more
POINTS = 40  # of a curve
STATES = ("due", "reminded", "coming", "worn")  # in the order of the page
END_OF_CURVE = 0.01  # where the drawing stops


@dataclass(frozen=True, kw_only=True)
class RenewalRow:
    """One layer of one vehicle, with its curve.

    `cut_left` when it was put on before the drawing's left edge.
    """

    key: str
    layer: LayerOnVehicle  # of several put on together, the one due soonest
    due: Due
    groups: tuple[str, ...]
    draw: Callable[[], tuple[tuple[date, float], ...]] = field(compare=False, repr=False)
    cut_left: bool
    where: str
    due_text: str
    asked: date | None  # a letter about it went on that day, and no answer came yet
    state: str  # one of STATES
    checks: tuple[date, ...]
    voice: tuple[str, ...]
    facts: tuple[tuple[str, str], ...]
    layer_ids: tuple[int, ...]

    @cached_property
    def curve(self) -> tuple[tuple[date, float], ...]:
        """(Day, chance that it still protects) from the day it was put on, or the left edge.

        Worked out when it is first drawn: a page shows twenty rows of perhaps thousands.
        """
        return self.draw()


@dataclass(frozen=True)
class Renewals:
    """What is due, what waits for an answer, what is to come; each soonest first."""

    day: date
    left: date
    right: date
    rows: tuple[RenewalRow, ...]
    learnt: str


def drawing_span(day: date) -> tuple[date, date]:
    """The 36 months that the page draws around a day."""
    return day - timedelta(days=round(30.44 * MONTHS_BACK)), day + timedelta(
        days=round(30.44 * MONTHS_AHEAD)
    )


def renewals(desk: Desk, day: date, text: str = "", limit: int = 2000) -> Renewals:
    """Every standing layer that wears out, soonest due first; `text` filters by name."""
    state = protection(desk, day)
    with desk.book.reading() as session:
        reminded = queries.reminded_on(session)
    groups = _grouped(state, text)
    shown = groups[:limit]
    left, right = drawing_span(day)
    supplies = {one.layer.supply for members in shown for one, _ in members if one.layer.supply}
    said = {one: state.lives.summary(one, exposure=None).sentence for one in supplies}
    found = [_row(state, members, reminded, said, left, right) for members in shown]
    rows = tuple(sorted(found, key=lambda row: STATES.index(row.state)))
    learnt = (
        f"Learnt from {count_of(len(state.observations), 'layer')} seen again in this shop."
        if state.observations
        else "No layer was seen again yet: the labels' ranges stand."
    )
    return Renewals(day, left, right, rows, learnt)


def still_good(desk: Desk, day: date, row: RenewalRow) -> Changed:
    """The layer was checked and holds, on all its surface groups, as one action."""
    kinds = frozenset({"layers"})
    holder = row.layer.holder
    name = (
        f"Checked the {row.layer.supply_name} on {holder.customer}’s {holder.description}: holding"
    )
    with desk.book.change(name, day=day, kinds=kinds, at=desk.clock()) as session:
        for layer_id, group in zip(row.layer_ids, row.groups, strict=True):
            note_judgement(
                session, day, row.layer.vehicle_id, layer_id, group, after=Verdict.HOLDING.value
            )
    return Changed(name, kinds)


Member = tuple[LayerOnVehicle, Due]


def _grouped(state: Protection, text: str) -> list[list[Member]]:
    """Layers put on one vehicle at one time with one supply, as one row; soonest due first."""
    wanted = text.strip().casefold()
    together: dict[tuple[int, int, date], list[Member]] = {}
    for one, due in zip(state.candidates, state.dues, strict=True):
        if wanted and wanted not in (
            f"{one.holder.customer} {one.holder.description} {one.supply_name}".casefold()
        ):
            continue
        assert one.layer.supply is not None
        key = (one.vehicle_id, one.layer.supply, one.applied_on)
        together.setdefault(key, []).append((one, due))

    def order(members: list[Member]) -> tuple[bool, date]:
        _, due = _soonest(members)
        return due.still < WORN_OUT, due.due_from

    return sorted(together.values(), key=order)


def curve_of(
    state: Protection, one: LayerOnVehicle, due: Due, left: date, right: date
) -> tuple[tuple[date, float], ...]:
    """One row's curve: as many points over a wax's weeks as over a coating's years."""
    assert one.layer.supply is not None
    applied, judged = one.applied_on, due.candidate.judged
    begin = max(applied, left).toordinal()
    # Three times the life to the 50 % day: nothing worth drawing lies beyond.
    far = applied + 3 * max(due.due_to - applied, timedelta(days=14))
    end = max(min(far, right).toordinal(), begin + 1)
    days = np.unique(np.linspace(begin, end, POINTS).round())
    ages = days - applied.toordinal()
    seen = float((judged - applied).days) if judged else 0.0
    since = state.lives.survival(
        one.layer.supply, np.maximum(ages, seen), one.exposure, seen if seen > 0 else 0.0
    )
    if seen > 0:
        before = state.lives.survival(one.layer.supply, ages, one.exposure, 0.0)
        since = np.where(ages < seen, before, since)
    return tuple(
        (date.fromordinal(int(day)), float(chance))
        for day, chance in zip(days, since, strict=True)
        if chance >= END_OF_CURVE
    )


def _soonest(members: Sequence[Member]) -> Member:
    return min(members, key=lambda member: member[1].due_from)


def _row(
    state: Protection,
    members: Sequence[Member],
    reminded: Mapping[int, date],
    said: Mapping[int, str],  # of each supply's life
    left: date,
    right: date,
) -> RenewalRow:
    one, due = _soonest(members)
    layer = one.layer
    assert layer.supply is not None
    ids = tuple(m.layer.layer for m, _ in members if m.layer.layer is not None)
    asked = max((reminded[i] for i in ids if i in reminded), default=None)
    checks = tuple(sorted({day for i in ids for day in state.checks.get(i, ())}))
    applied_on = one.applied_on
    state_name = _state(due, state.day, asked, checks)
    facts = [
        ("Put on", near(applied_on, state.day)),
        ("On", _groups_words({m.layer.group for m, _ in members})),
        *((("First to go", layer.group.value),) if _one_goes_first(members) else ()),
        ("Parked", str(one.holder.exposure.get("stands") or "not asked")),
        ("Lasts here", f"{round(100 * one.exposure)} % as long"),
        ("Seen last", _seen_last(layer.verdict, checks, state.day)),
    ]
    voice = (
        f"{_age(applied_on, state.day)} {_of_ten(due.still)} at this age.",
        said[layer.supply],
    )
    return RenewalRow(
        key=f"{one.vehicle_id}-{layer.supply}-{applied_on.isoformat()}",
        layer=one,
        due=due,
        groups=tuple(m.layer.group.value for m, _ in members),
        draw=partial(curve_of, state, one, due, left, right),
        cut_left=applied_on < left,
        where=_where(members, layer.group),
        due_text=months_of(due.due_from, due.due_to),
        asked=asked if state_name == "reminded" else None,
        state=state_name,
        checks=checks,
        voice=voice,
        facts=tuple(facts),
        layer_ids=ids,
    )


def _groups_words(groups: set[SurfaceGroup]) -> str:
    rest = sorted(group.value for group in groups - PAINT)
    if groups >= PAINT:
        return ", ".join(["all paint", *rest])
    return ", ".join(sorted(group.value for group in groups))


def _one_goes_first(members: Sequence[Member]) -> bool:
    return len({due.due_from for _, due in members}) > 1


def _where(members: Sequence[Member], first: SurfaceGroup) -> str:
    """Where the layer is, and which part of it goes first: that is the part which is drawn."""
    words = _groups_words({m.layer.group for m, _ in members})
    return f"{words}, {first.value} first" if _one_goes_first(members) else words


def _state(due: Due, day: date, asked: date | None, checks: tuple[date, ...]) -> str:
    if asked is not None and asked >= due.candidate.applied and not (checks and checks[-1] > asked):
        return "reminded"
    if due.still < WORN_OUT:
        return "worn"
    return "due" if due.in_span(day) else "coming"


def _seen_last(verdict: Verdict | None, checks: tuple[date, ...], day: date) -> str:
    if verdict is None or not checks:
        return "not since"
    return f"{near(checks[-1], day)}, {verdict.value}"


def _age(applied: date, day: date) -> str:
    return f"Put on {age_words((day - applied).days)} ago."


def _of_ten(chance: float) -> str:
    tenths = round(10 * chance)
    if tenths in (0, 10):
        return f"Nearly {'none' if tenths == 0 else 'all'} of such layers still protect"
    return f"About {counted(tenths)} in ten such layers still protect"

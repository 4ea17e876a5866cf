"""Pools: towels and pads that come back from the wash, counted together by kind.

Two books are kept of them. The pool counts pieces: clean, in use, gone down a step, retired. The
shelf's ledger counts what is left of their lives: a job takes its pieces' wear, a standard rate of
price / uses in a life for each use, which goes into its cost like any other supply.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction

from app.actions.amounts import all_supplies, counted, money, supply_of
from app.actions.desk import Changed, Desk
from app.calculations.dates import day_year
from app.calculations.pools import (
    OUT,
    OUTSIDE,
    RUNGS,
    Moved,
    Tally,
    clean,
    in_use,
    next_rung,
    tally,
    to_rebuy,
    washed,
    worn,
)
from app.calculations.rounding import half_away
from app.errors import Mendable
from app.records.models import PoolEvent
from app.records.queries import pools as queries
from app.records.queries import stock as stock_queries
from app.records.queries.stock import SupplyRow

KINDS = frozenset({"stock", "supplies"})
_WORDS = frozenset({"pc", "pcs", "piece", "pieces", "load", "loads", "use", "uses"})
# Common practice, no source; local fire code goes before it.
RAGS = (
    "Rags with drying oil or solvent can heat up by themselves: into a lidded metal can, wet or "
    "laid flat first. Label, data sheet and local fire code override this."
)
USUAL_LOAD = 25  # pieces (common practice, no source: 25 to 30)


@dataclass(frozen=True)
class RungView:
    """A step of the ladder."""

    rung: str
    clean: int
    in_use: int


@dataclass(frozen=True)
class PoolView:
    """A pool as it stands; `wear` is minor units for a hundred single uses."""

    supply_id: int
    name: str
    rungs: tuple[RungView, ...]
    out: int
    came_in: int
    loads: int
    in_a_load: int
    uses: int | None
    wear: int | None
    wear_text: str
    rebuy: int
    rebuy_text: str
    text: str
    lines: tuple[tuple[date, str, str], ...]  # day, what, taken back or not


def pools(desk: Desk) -> tuple[PoolView, ...]:
    """Every pool, in order of name."""
    return tuple(pool_view(desk, one.supply_id) for one in all_supplies(desk).values() if one.pool)


def pool_view(desk: Desk, supply_id: int) -> PoolView:
    """One pool: where its pieces are, what a use wears off, what to rebuy."""
    supply = _pool(desk, supply_id)
    with desk.book.reading() as session:
        lines = queries.lines(session, supply_id)
        price = stock_queries.unit_costs(session, supply_id)
        packs = stock_queries.packs(session).get(supply_id, [])
    standing = tally(Moved(one.source, one.target, one.pieces, one.loads) for one in lines)
    load = _load(supply)
    each: Fraction | None = None
    if price is not None:
        each = Fraction(price[0] * 1000, price[1])
    elif packs and packs[0].size:
        each = Fraction(packs[0].price * 1000, packs[0].size)
    wear = None
    if each is not None and supply.pool_uses:
        wear = half_away(each * 100 / supply.pool_uses)
    rebuy = to_rebuy(standing, supply.pool, load) if standing.came_in else 0
    return PoolView(
        supply_id,
        supply.name,
        tuple(
            RungView(rung, standing.at(clean(rung)), standing.at(in_use(rung)))
            for rung in RUNGS[RUNGS.index(supply.pool) :]
        ),
        standing.out,
        standing.came_in,
        standing.loads,
        load,
        supply.pool_uses,
        wear,
        "" if wear is None else f"{money(desk, wear)} for a hundred uses",
        rebuy,
        f"{_pieces(rebuy).capitalize()} short of two loads, one in use and one in the wash."
        if rebuy
        else "",
        _text(standing),
        tuple((one.day, one.said, one.kind) for one in lines[::-1]),
    )


def _text(standing: Tally) -> str:
    if not standing.came_in:
        return "no pieces yet"
    inside = sum(standing.at(clean(rung)) for rung in RUNGS)
    return f"{inside} clean, {sum(standing.at(in_use(rung)) for rung in RUNGS)} in use"


def _pieces(number: int) -> str:
    return f"{counted(number)} piece{'' if number == 1 else 's'}"


def _pool(desk: Desk, supply_id: int) -> SupplyRow:
    supply = supply_of(desk, supply_id)
    if not supply.pool:
        raise Mendable(
            f"{supply.name} is used up, not washed; say under its facts for what its pieces are "
            "used first."
        )
    return supply


def _load(supply: SupplyRow) -> int:
    return supply.pool_load or USUAL_LOAD


def read_number(typed: str, what: str) -> int:
    """A whole number of pieces or loads as typed: `12`, `12 pc`, `2 loads`."""
    head, *words = typed.casefold().split() or [""]
    if not head.isdecimal() or not _WORDS.issuperset(word.rstrip(".") for word in words):
        raise Mendable(f"“{typed.strip()[:20]}” is no number of {what}; type one like 2.")
    number = int(head)
    if not 0 < number <= 100_000:
        raise Mendable(f"Type how many {what}, more than none.")
    return number


def _standing(desk: Desk, supply_id: int) -> Tally:
    with desk.book.reading() as session:
        lines = queries.lines(session, supply_id)
    return tally(Moved(one.source, one.target, one.pieces, one.loads) for one in lines)


def _move(desk: Desk, day: date, name: str, supply: SupplyRow, kind: str, moved: Moved) -> Changed:
    if moved.source != OUTSIDE:
        there = _standing(desk, supply.supply_id).at(moved.source)
        if there < moved.pieces:
            raise Mendable(
                f"Only {_pieces(there)} of {supply.name} {'is' if there == 1 else 'are'} "
                f"{moved.source}; type no more than that, or bring the count up to date first."
            )
    with desk.book.change(name, day=day, kinds=KINDS, at=desk.clock()) as session:
        session.add(
            PoolEvent(
                supply_id=supply.supply_id,
                day=day,
                at=desk.clock(),
                kind=kind,
                source=moved.source,
                target=moved.target,
                pieces=moved.pieces,
                loads=moved.loads,
                note=name[:300],
            )
        )
    return Changed(name, KINDS)


def put_in(desk: Desk, day: date, supply_id: int, typed: str) -> Changed:
    """New pieces begin at the pool's first step, clean."""
    supply = _pool(desk, supply_id)
    number = read_number(typed, "pieces")
    name = f"{_pieces(number).capitalize()} more in the pool of {supply.name}"
    return _move(desk, day, name, supply, "added", Moved(OUTSIDE, clean(supply.pool), number))


def set_out(desk: Desk, day: date, supply_id: int, typed: str, rung: str = "") -> Changed:
    """Clean pieces are taken into use; they wait for the wash from then on."""
    supply = _pool(desk, supply_id)
    rung = _rung(supply, rung)
    number = read_number(typed, "pieces")
    name = f"{_pieces(number).capitalize()} of {supply.name} in use"
    return _move(desk, day, name, supply, "set out", Moved(clean(rung), in_use(rung), number))


def wash(desk: Desk, day: date, supply_id: int, typed: str, rung: str = "") -> Changed:
    """Loads of the wash: the pieces in use come back clean, as many as go into them."""
    supply = _pool(desk, supply_id)
    rung = _rung(supply, rung)
    loads = read_number(typed, "loads")
    back = washed(_standing(desk, supply_id), rung, loads, _load(supply))
    name = f"{counted(loads).capitalize()} load{'' if loads == 1 else 's'} of {supply.name} washed"
    return _move(desk, day, name, supply, "washed", Moved(in_use(rung), clean(rung), back, loads))


def demote(desk: Desk, day: date, supply_id: int, typed: str, rung: str = "") -> Changed:
    """Clean pieces go down a step: from paint to interior, to wheels, and out."""
    supply = _pool(desk, supply_id)
    rung = _rung(supply, rung)
    number = read_number(typed, "pieces")
    below = next_rung(rung)
    if below == OUT:
        return retire(desk, day, supply_id, typed, rung)
    name = f"{_pieces(number).capitalize()} of {supply.name} down to {below}"
    return _move(desk, day, name, supply, "demoted", Moved(clean(rung), clean(below), number))


def retire(desk: Desk, day: date, supply_id: int, typed: str, rung: str = "") -> Changed:
    """Clean pieces are thrown away: torn, hot-dried, hard with coating."""
    supply = _pool(desk, supply_id)
    rung = _rung(supply, rung)
    number = read_number(typed, "pieces")
    name = f"{_pieces(number).capitalize()} of {supply.name} retired"
    changed = _move(desk, day, name, supply, "retired", Moved(clean(rung), OUT, number))
    return replace(changed, question=RAGS)


def _rung(supply: SupplyRow, rung: str) -> str:
    rung = rung.strip().casefold() or supply.pool
    if rung not in RUNGS[RUNGS.index(supply.pool) :]:
        steps = ", ".join(RUNGS[RUNGS.index(supply.pool) :])
        raise Mendable(f"“{rung[:20]}” is no step of this pool; its steps are {steps}.")
    return rung


def wear_of(supply: SupplyRow, typed: str) -> int | None:
    """Thousandths of a piece that `2 loads` or `12 uses` wear off; None where neither is said."""
    words = typed.strip().casefold().split()
    if not supply.pool or len(words) != 2:
        return None
    word = words[1].rstrip(".")
    if word not in ("load", "loads", "use", "uses"):
        return None
    number = read_number(typed, "loads" if word.startswith("load") else "uses")
    pieces = number * _load(supply) if word.startswith("load") else number
    if not supply.pool_uses:
        raise Mendable(
            f"Say under the facts of {supply.name} how many uses a piece lasts; then loads wear it."
        )
    return worn(pieces, supply.pool_uses)


def last_washed(view: PoolView) -> str:
    """`washed last 3 August 2026`, or nothing."""
    day = next((day for day, _, kind in view.lines if kind == "washed"), None)
    return "" if day is None else f"washed last {day_year(day)}"

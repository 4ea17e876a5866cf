"""Pools: towels and pads that come back from the wash, counted together by kind.

On the day sheet an amount of a pool is *single uses*, in thousandths of a piece like everything
that is counted: `12` are twelve pieces used once, `2 loads` as many as go into two loads. Closing
the day sets them out (clean to in use) and takes their wear, a standard rate of price / uses in a
life, off the worth of the pool; the pieces stay. So the stock ledger of a pool counts the pieces of
its first step, clean and in use together, at what is left of their worth, and agrees with the pool.

Pieces that are retired or go down a step take what is left of their worth along, as waste: it was
paid for the first step. Below, they are worth nothing and cost nothing.
"""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import AbstractContextManager
from dataclasses import dataclass, replace
from datetime import date

from app.actions.desk.amounts import all_supplies, money
from app.actions.desk.desk import NOTHING, Changed, Desk
from app.actions.desk.open_day import writing_on
from app.actions.shelf.pool_view import (
    pool_of,
)
from app.actions.stock import pool_lines, stock
from app.actions.stock.pool_lines import load_of, read_number, write
from app.actions.stock.stock_lines import last_unit_cost, receive_goods, take_out
from app.calculations.numbers.dates import weekday_day
from app.calculations.numbers.rounding import half_away
from app.calculations.numbers.wording import noun, words_of
from app.calculations.stock.pools import (
    LOST,
    OUT,
    PIECE,
    RUNGS,
    Moved,
    clean,
    in_use,
    leaving,
    next_rung,
    washed,
)
from app.errors import Mendable
from app.records.queries import pools as queries
from app.records.queries.days import Session
from app.records.queries.stock import SupplyRow
from app.records.undo.ledgers import countering

KINDS = frozenset({"stock", "supplies", "days"})
# Common practice, no source; local fire code goes before it.
RAGS = (
    "Rags with drying oil or solvent can heat up by themselves: into a lidded metal can, wet or "
    "laid flat first. Label, data sheet and local fire code override this."
)


def _noted_on(desk: Desk, day: date, name: str) -> AbstractContextManager[Session]:
    """A change that moves pieces within the pool: also on a day that is closed, for the wash comes
    after the work."""
    return desk.book.change(name, day=day, kinds=KINDS, at=desk.clock())


def _clean_enough(session: Session, supply: SupplyRow, rung: str, pieces: int) -> None:
    standing = pool_lines.standing_in(session, supply.supply_id)
    there = max(0, standing.at(clean(rung)))
    if there < pieces:
        raise Mendable(
            f"Only {words_of(there, 'piece')} of {supply.name} {noun(there, 'is', 'are')} "
            f"{clean(rung)}; type no more than that, or count the pool first."
        )
    pool_lines.enough(standing, supply, rung, pieces)


def _write_off(
    session: Session, desk: Desk, day: date, supply: SupplyRow, pieces: int, kind: str, note: str
) -> tuple[int, int | None]:
    """Pieces of the first step leave the ledger; (their worth, the ledger's line)."""
    worth = take_out(session, desk, day, supply.supply_id, pieces * PIECE, kind, note)
    return worth, queries.last_movement(session, supply.supply_id, kind)


def put_in(desk: Desk, day: date, supply_id: int, typed: str) -> Changed:
    """New pieces begin at the pool's first step, clean, and on the shelf at the last price."""
    supply = pool_of(desk, supply_id)
    number = read_number(typed, "pieces")
    name = f"{words_of(number, 'piece').capitalize()} more in the pool of {supply.name}"
    with writing_on(desk, day, name, KINDS) as session:
        cost = half_away(last_unit_cost(session, supply) * number * PIECE)
        receive_goods(session, desk, day, supply_id, number * PIECE, cost, note=name)
    return Changed(name, KINDS, f"Taken in at {money(desk, cost)}.")


def set_out(desk: Desk, day: date, supply_id: int, typed: str, rung: str = "") -> Changed:
    """Clean pieces are taken into use besides what jobs take; they wait for the wash from then."""
    supply, rung, number = _asked(desk, supply_id, rung, typed)
    name = f"{words_of(number, 'piece').capitalize()} of {supply.name} in use"
    with _noted_on(desk, day, name) as session:
        _clean_enough(session, supply, rung, number)
        moved = Moved(clean(rung), in_use(rung), number)
        write(session, desk, day, supply_id, "set out", [moved], name)
    return Changed(name, KINDS)


def wash(desk: Desk, day: date, supply_id: int, typed: str, rung: str = "") -> Changed:
    """Loads of the wash: the pieces in use come back clean, as many as go into them."""
    supply, rung, loads = _asked(desk, supply_id, rung, typed, "loads")
    name = f"{words_of(loads, 'load').capitalize()} of {supply.name} washed"
    with _noted_on(desk, day, name) as session:
        standing = pool_lines.standing_in(session, supply_id)
        back = washed(standing, rung, loads, load_of(supply))
        moved = Moved(in_use(rung), clean(rung), back, loads)
        write(session, desk, day, supply_id, "washed", [moved], name)
    return Changed(name, KINDS, f"{words_of(back, 'piece').capitalize()} clean again.")


@dataclass(frozen=True)
class WashedView:
    """A pool and the wash of a day: loads typed by themselves, and its pieces as they stand."""

    supply_id: int
    name: str
    loads: int
    clean: int
    in_use: int


def washed_on(desk: Desk, day: date) -> tuple[WashedView, ...]:
    """Every pool that has pieces, with what was washed on a day."""
    views = []
    with desk.book.reading() as session:
        for supply in all_supplies(desk).values():
            if supply.pool and supply.archived_on is None:
                standing = pool_lines.standing_in(session, supply.supply_id)
                loads = sum(one.loads for one in queries.washed_on(session, supply.supply_id, day))
                if standing.came_in > 0:
                    views.append(
                        WashedView(
                            supply.supply_id,
                            supply.name,
                            loads,
                            standing.at(clean(supply.pool)),
                            standing.at(in_use(supply.pool)),
                        )
                    )
    return tuple(views)


def set_washed(desk: Desk, day: date, supply_id: int, typed: str) -> Changed:
    """Say how many loads of a pool were washed on a day in all; what was said before is taken
    back by a counter-line. Nothing, or 0, says that none were."""
    supply = pool_of(desk, supply_id)
    loads = 0 if typed.strip() in ("", "0") else read_number(typed, "loads")
    with desk.book.reading() as session:
        if sum(one.loads for one in queries.washed_on(session, supply_id, day)) == loads:
            return NOTHING
    said = words_of(loads, "load").capitalize()
    name = f"{said} of {supply.name} washed on {weekday_day(day)}"
    with _noted_on(desk, day, name) as session:
        for line in queries.washed_on(session, supply_id, day):
            session.add(countering(line, day=day, at=desk.clock(), note=name))
        session.flush()
        if loads:
            standing = pool_lines.standing_in(session, supply_id)
            back = washed(standing, supply.pool, loads, load_of(supply))
            moved = Moved(in_use(supply.pool), clean(supply.pool), back, loads)
            write(session, desk, day, supply_id, "washed", [moved], name)
    return Changed(name, KINDS)


def demote(desk: Desk, day: date, supply_id: int, typed: str, rung: str = "") -> Changed:
    """Clean pieces go down a step: from paint to interior, to wheels, and out."""
    supply, rung, number = _asked(desk, supply_id, rung, typed)
    below = next_rung(rung)
    if below == OUT:
        return retire(desk, day, supply_id, typed, rung)
    name = f"{words_of(number, 'piece').capitalize()} of {supply.name} down to {below}"
    changed = _leave(desk, day, supply, rung, number, clean(below), "demoted", name)
    return replace(changed, question=RAGS) if below == RUNGS[-1] else changed


def retire(desk: Desk, day: date, supply_id: int, typed: str, rung: str = "") -> Changed:
    """Clean pieces are thrown away: torn, hot-dried, hard with coating."""
    supply, rung, number = _asked(desk, supply_id, rung, typed)
    name = f"{words_of(number, 'piece').capitalize()} of {supply.name} retired"
    return replace(_leave(desk, day, supply, rung, number, OUT, "retired", name), question=RAGS)


def _leave(
    desk: Desk,
    day: date,
    supply: SupplyRow,
    rung: str,
    number: int,
    target: str,
    kind: str,
    name: str,
) -> Changed:
    """Clean pieces leave a step; from the first, what is left of their worth is written off."""
    sentence, line = "", None
    with writing_on(desk, day, name, KINDS) as session:
        _clean_enough(session, supply, rung, number)
        if rung == supply.pool:
            worth, line = _write_off(session, desk, day, supply, number, "wasted", name)
            sentence = f"What was left of their worth, {money(desk, worth)}, is written off."
        moved = Moved(clean(rung), target, number)
        write(session, desk, day, supply.supply_id, kind, [moved], name, movement_id=line)
    return Changed(name, KINDS, sentence)


def lose(desk: Desk, day: date, supply_id: int, typed: str, rung: str = "") -> Changed:
    """Pieces are gone: left in a vehicle, blown away. Those in use go first."""
    supply, rung, number = _asked(desk, supply_id, rung, typed)
    name = f"{words_of(number, 'piece').capitalize()} of {supply.name} lost"
    sentence, line = "", None
    with writing_on(desk, day, name, KINDS) as session:
        standing = pool_lines.standing_in(session, supply_id)
        pool_lines.enough(standing, supply, rung, number)
        moves = leaving(standing, rung, number, LOST)
        if rung == supply.pool:
            worth, line = _write_off(session, desk, day, supply, number, "counted", "Lost")
            sentence = f"Worth {money(desk, worth)}."
        write(session, desk, day, supply_id, "lost", moves, name, movement_id=line)
    return Changed(name, KINDS, sentence)


def count_pool(desk: Desk, day: date, supply_id: int, typed: str, rung: str = "") -> Changed:
    """Set a step to what was counted, clean and in use together; what is missing is lost.

    The first step is counted on the shelf; its ledger goes along.
    """
    supply = pool_of(desk, supply_id)
    rung = _rung(supply, rung)
    if rung == supply.pool:
        return stock.count(desk, day, supply_id, typed)
    plain = typed.strip().split()
    number = 0 if plain and plain[0] == "0" else read_number(typed, "pieces")
    name = f"Counted {supply.name} on {rung}: {words_of(number, 'piece')}"
    with writing_on(desk, day, name, KINDS) as session:
        moves = pool_lines.counted(session, desk, day, supply, rung, number, in_ledger=False)
    return Changed(name, KINDS, _difference(moves))


def _difference(moves: Iterable[Moved]) -> str:
    lost = sum(one.pieces for one in moves if one.target == LOST)
    found = sum(one.pieces for one in moves if one.source in (LOST, ""))
    if lost:
        return f"{words_of(lost, 'piece').capitalize()} lost."
    return f"{words_of(found, 'piece').capitalize()} more." if found else "Just as the pool says."


def _asked(
    desk: Desk, supply_id: int, rung: str, typed: str, what: str = "pieces"
) -> tuple[SupplyRow, str, int]:
    """(the pool, its step, how many) as they were said."""
    supply = pool_of(desk, supply_id)
    return supply, _rung(supply, rung), read_number(typed, what)


def _rung(supply: SupplyRow, rung: str) -> str:
    rung = rung.strip().casefold() or supply.pool
    if rung not in RUNGS[RUNGS.index(supply.pool) :]:
        steps = ", ".join(RUNGS[RUNGS.index(supply.pool) :])
        raise Mendable(f"“{rung[:20]}” is no step of this pool; its steps are {steps}.")
    return rung

"""A pool as it is shown: where its pieces are, their uses so far, what a use costs, what to do."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction

from app.actions.desk.amounts import all_supplies, money, supply_of
from app.actions.desk.desk import Desk, kept
from app.actions.stock.pool_lines import load_of
from app.calculations.numbers.rounding import half_away
from app.calculations.numbers.wording import counted, words_of
from app.calculations.stock.pools import (
    LOST,
    PIECE,
    RUNGS,
    Moved,
    Tally,
    Washes,
    clean,
    in_use,
    is_near_its_end,
    learnt_life,
    tally,
    to_rebuy,
    washes,
)
from app.errors import Mendable
from app.records.queries import pools as queries
from app.records.queries import stock as stock_queries
from app.records.queries.pools import PoolLine
from app.records.queries.stock import SupplyRow
from app.records.stock import balances

YEAR = timedelta(days=365)
# A yearly loss of 10 to 25 % is usual (common practice, no source).
USUAL_LOSS = "Ten to 25 % lost in a year is usual."


@dataclass(frozen=True)
class RungView:
    """A step of the ladder."""

    rung: str
    clean: int
    in_use: int


@dataclass(frozen=True, kw_only=True)
class PoolView:
    """A pool as it stands."""

    supply_id: int
    name: str
    rungs: tuple[RungView, ...]
    standing: Tally
    in_a_load: int
    uses: int | None
    wear_text: str
    rebuy: int
    rebuy_text: str
    text: str
    uses_text: str  # uses of a piece so far against the life stated
    learnt_text: str  # what pieces that went had lasted, with how many say so
    learnt_wear_text: str  # what a use cost by that
    advice: tuple[str, ...]  # what to do about it: nothing, mostly
    lost_text: str  # of the last year
    lines: tuple[tuple[date, str, str], ...]  # day, what, kind; newest first

    @property
    def first(self) -> RungView:
        """The step at which the pool begins."""
        return self.rungs[0]


@kept("pools", "shown")
def pools(desk: Desk) -> tuple[PoolView, ...]:
    """Every pool, in order of name."""
    return tuple(_views(desk, [one for one in all_supplies(desk).values() if one.pool]))


def pool_of(desk: Desk, supply_id: int) -> SupplyRow:
    """A supply that is a pool; `Mendable` where it is none."""
    supply = supply_of(desk, supply_id)
    if not supply.pool:
        raise Mendable(
            f"{supply.name} is used up, not washed; say under its facts for what its pieces are "
            "used first."
        )
    return supply


def pool_view(desk: Desk, supply_id: int) -> PoolView:
    """One pool: where its pieces are, their uses, what a use wears off, what to rebuy."""
    (view,) = _views(desk, [pool_of(desk, supply_id)])
    return view


def _views(desk: Desk, supplies: Sequence[SupplyRow]) -> list[PoolView]:
    """What is read once for all; the lines of all years are summed by the database."""
    ids = [one.supply_id for one in supplies]
    with desk.book.reading() as session:
        moved, events = queries.moved(session, ids), queries.events(session, ids)
        in_ledger = balances(session) if ids else {}
        views = []
        for supply in supplies:
            number = supply.supply_id
            lines = events.get(number, [])
            settled = ("washed", "counted", "lost", "found")
            last = max((one.line_id for one in lines if one.kind in settled), default=0)
            views.append(
                _view(
                    desk,
                    supply,
                    tally(Moved(*one) for one in moved.get(number, ())),
                    lines,
                    _price_of_a_piece(session, number),
                    in_ledger.get(number, (0, 0))[0],
                    queries.taken_and_set_out(session, number, last),
                )
            )
    return views


def _view(
    desk: Desk,
    supply: SupplyRow,
    standing: Tally,
    lines: Sequence[PoolLine],
    each: Fraction | None,
    ledger: int,
    since_washed: tuple[int, int],
) -> PoolView:
    load, (taken, out) = load_of(supply), since_washed
    moves = [Moved(one.source, one.target, one.pieces, one.loads) for one in lines]
    seen = washes(moves, supply.pool, load)
    short = (taken + PIECE // 2) // PIECE - out
    wear = None
    if each is not None and supply.pool_uses:
        wear = half_away(each * 100 / supply.pool_uses)
    rebuy = to_rebuy(standing, supply.pool, load) if standing.came_in > 0 else 0
    learnt, learnt_wear = _learnt(desk, seen, supply.pool_uses, each)
    return PoolView(
        supply_id=supply.supply_id,
        name=supply.name,
        rungs=tuple(
            RungView(rung, standing.at(clean(rung)), standing.at(in_use(rung)))
            for rung in RUNGS[RUNGS.index(supply.pool) :]
        ),
        standing=standing,
        in_a_load=load,
        uses=supply.pool_uses,
        wear_text="" if wear is None else f"{money(desk, wear)} for a hundred uses",
        rebuy=rebuy,
        rebuy_text=_rebuy_text(rebuy),
        text=_text(standing),
        uses_text=_uses_text(seen.mean, supply.pool_uses, standing.loads),
        learnt_text=learnt,
        learnt_wear_text=learnt_wear,
        advice=tuple(_advice(supply, standing, seen, short, ledger)),
        lost_text=_lost_text(lines, desk.today, standing.of_rung(supply.pool)),
        lines=tuple((one.day, one.note, one.kind) for one in lines[::-1]),
    )


def _rebuy_text(lacking: int) -> str:
    if not lacking:
        return ""
    pieces = words_of(lacking, "piece").capitalize()
    return f"{pieces} short of two loads, one in use and one in the wash."


def _price_of_a_piece(session: stock_queries.Session, supply_id: int) -> Fraction | None:
    """Minor units for a new piece as last paid, else by its first pack."""
    paid = stock_queries.last_price(session, supply_id, for_nothing=False)
    if paid is not None:
        return Fraction(paid[0] * PIECE, paid[1])
    packs = stock_queries.packs(session).get(supply_id, [])
    if packs and packs[0].size:
        return Fraction(packs[0].price * PIECE, packs[0].size)
    return None


def _text(standing: Tally) -> str:
    if standing.came_in <= 0:
        return "no pieces yet"
    inside = sum(standing.at(clean(rung)) for rung in RUNGS)
    return f"{inside} clean, {sum(standing.at(in_use(rung)) for rung in RUNGS)} in use"


def _uses_text(mean: Fraction, life: int | None, loads: int) -> str:
    if not loads:
        return ""
    text = f"about {half_away(mean)} a piece"
    return f"{text}, of {life}" if life else text


def _learnt(desk: Desk, seen: Washes, stated: int | None, each: Fraction | None) -> tuple[str, str]:
    """(`68 uses each, n 42`, `2.94 for a hundred`): of pieces that went down or out, and what a
    use so cost, where the stated life counts as much as twenty pieces."""
    lasted, life = seen.each_lasted, learnt_life(stated, seen)
    if lasted is None or not life:
        return "", ""
    cost = "" if each is None else f"{money(desk, half_away(each * 100 / life))} for a hundred"
    return f"{half_away(lasted)} uses each, n {seen.gone}", cost


def _advice(supply: SupplyRow, standing: Tally, seen: Washes, short: int, ledger: int) -> list[str]:
    sentences = []
    negative = any(standing.at(state(rung)) < 0 for rung in RUNGS for state in (clean, in_use))
    if short > 0:
        sentences.append(
            f"Jobs took {counted(short)} more than were clean: note the loads that were washed, "
            "or count the pool."
        )
    elif negative:
        sentences.append("Fewer than none in a step: count the pool.")
    first = standing.of_rung(supply.pool)
    if ledger != first * PIECE and standing.came_in > 0:
        shelf = f"{ledger / PIECE:g}"
        sentences.append(f"The shelf's ledger has {shelf} of them, the pool {first}: count them.")
    if is_near_its_end(seen.mean, supply.pool_uses):
        sentences.append(
            f"The pieces on {supply.pool} have about {half_away(seen.mean)} uses of "
            f"{supply.pool_uses} behind them: look which go down a step or out."
        )
    if not supply.pool_uses and standing.came_in > 0:
        sentences.append("Say how many uses are in a life; until then jobs cost no wear.")
    return sentences


def _lost_text(lines: Sequence[PoolLine], today: date, first: int) -> str:
    """`6 in a year, 9 %`."""
    since = today - YEAR
    lost = 0
    for one in lines:
        if one.day < since:
            continue
        lost += one.pieces if one.target == LOST else 0
        lost -= one.pieces if one.source == LOST else 0
    if lost <= 0:
        return ""
    share = half_away(Fraction(lost * 100, max(1, first + lost)))
    return f"{lost} in a year, {share} %"

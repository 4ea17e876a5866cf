"""Lines of a pool, written within a change beside those of the stock ledger.

How the two go together: the ledger's quantity is the pieces of the pool's first step, clean and in
use together, and its value what is left of their worth. A job takes worth, not pieces: its line in
the ledger has no quantity, and the pool's line names the use. Pieces that come, are lost, go out or
down a step move in both.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from datetime import date
from typing import Any

from app.actions.desk.desk import Desk
from app.calculations.numbers.wording import count_of
from app.calculations.stock.pools import (
    LOST,
    OUT,
    OUTSIDE,
    PIECE,
    Moved,
    Tally,
    clean,
    from_clean,
    in_use,
    leaving,
    tally,
    to_counted,
    washed,
    whole_pieces,
)
from app.errors import Mendable
from app.records.models import PoolEvent, Supply, Use
from app.records.queries import pools as queries
from app.records.queries.days import Session
from app.records.queries.stock import SupplyRow
from app.records.stock import balance
from app.records.undo.ledgers import countering

USUAL_LOAD = 25  # pieces (common practice, no source: 25 to 30)
_LOADS = frozenset({"load", "loads"})
_WORDS = frozenset({"pc", "pcs", "piece", "pieces", "use", "uses"}) | _LOADS
# What becomes of pieces that the stock ledger lets go, by the kind of its line.
_GO = {"wasted": OUT, "expired": OUT, "returned": OUTSIDE}
_KIND = {OUT: "retired", OUTSIDE: "returned"}


def load_of(supply: SupplyRow) -> int:
    """Pieces in a load of the wash."""
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


def loads_in(typed: str) -> int:
    """The loads of `2 loads`; 0 where something else is typed."""
    words = typed.casefold().split()
    if len(words) != 2 or words[1].rstrip(".") not in _LOADS or not words[0].isdecimal():
        return 0
    return int(words[0])


def taken_as_typed(supply: SupplyRow, typed: str) -> int | None:
    """Thousandths of a piece of single uses that `12 uses` or `2 loads` are; None for other words.

    A piece that is used once is one use. A load is as many as go into it.
    """
    words = typed.strip().casefold().split()
    if not supply.pool or len(words) != 2:
        return None
    word = words[1].rstrip(".")
    if word in _LOADS:
        return read_number(typed, "loads") * load_of(supply) * PIECE
    if word in ("use", "uses"):
        return read_number(typed, "uses") * PIECE
    return None


def whole(supply: SupplyRow, amount: int) -> int:
    """An amount of a pool in thousandths, which is of whole pieces; `Mendable` where it is not."""
    if supply.pool and amount % PIECE:
        raise Mendable(
            f"{supply.name} is a pool of whole pieces; type a number like 12, or 2 loads."
        )
    return amount


def standing_in(session: Session, supply_id: int, until: date | None = None) -> Tally:
    """Where the pieces of a pool are."""
    found = queries.moved(session, [supply_id], until).get(supply_id, ())
    return tally(Moved(*one) for one in found)


def enough(standing: Tally, supply: SupplyRow, rung: str, pieces: int) -> None:
    """`Mendable` where a step has fewer pieces than are to leave it."""
    there = max(0, standing.of_rung(rung))
    if there < pieces:
        raise Mendable(
            f"{supply.name} has {there} on {rung}, clean and in use; type no more than that, or "
            "count the pool first."
        )


def write(
    session: Session,
    desk: Desk,
    day: date,
    supply_id: int,
    kind: str,
    moves: Iterable[Moved],
    note: str,
    **named: Any,
) -> None:
    """One line for each move; `named` is the use or the movement that it belongs to, by id."""
    for moved in moves:
        session.add(
            PoolEvent(
                supply_id=supply_id,
                day=day,
                at=desk.clock(),
                kind=kind,
                source=moved.source,
                target=moved.target,
                pieces=moved.pieces,
                loads=moved.loads,
                note=note[:300],
                **named,
            )
        )
    session.flush()


def came(
    session: Session, desk: Desk, day: date, supply: SupplyRow, quantity: int, note: str
) -> None:
    """Pieces that the ledger has just received begin at the pool's first step, clean."""
    if not supply.pool or quantity <= 0:
        return
    moved = Moved(OUTSIDE, clean(supply.pool), quantity // PIECE)
    named = queries.last_movement(session, supply.supply_id, "received")
    write(session, desk, day, supply.supply_id, "added", [moved], note, movement_id=named)


def went(
    session: Session, desk: Desk, day: date, supply: SupplyRow, quantity: int, kind: str, note: str
) -> None:
    """Pieces that the ledger has just let go leave the pool's first step, clean ones first."""
    if not supply.pool or quantity <= 0:
        return
    target, pieces = _GO[kind], quantity // PIECE
    standing = standing_in(session, supply.supply_id)
    enough(standing, supply, supply.pool, pieces)
    moves = leaving(standing, supply.pool, pieces, target, clean_first=True)
    named = queries.last_movement(session, supply.supply_id, kind)
    write(session, desk, day, supply.supply_id, _KIND[target], moves, note, movement_id=named)


def counted(
    session: Session,
    desk: Desk,
    day: date,
    supply: SupplyRow,
    rung: str,
    pieces: int,
    *,
    in_ledger: bool = True,
) -> tuple[Moved, ...]:
    """Make a step of the pool as many pieces as were counted, clean and in use together."""
    moves = to_counted(standing_in(session, supply.supply_id), rung, pieces)
    named = queries.last_movement(session, supply.supply_id, "counted") if in_ledger else None
    for one in moves:
        kind = {LOST: "lost"}.get(one.target, "counted")
        if one.source in (LOST, OUTSIDE):
            kind = "found"
        write(session, desk, day, supply.supply_id, kind, [one], "Counted", movement_id=named)
    return moves


def book_use(
    session: Session,
    desk: Desk,
    day: date,
    supply: SupplyRow,
    use: Use,
    standing: Tally,
    text: str,
) -> Tally:
    """What a job took of a pool is set out, clean to in use, no more than is clean; `2 loads` were
    washed besides. The pool after it. Each use gets its line, even where nothing was clean.
    """
    wanted = whole_pieces(use.quantity, washed=True) // PIECE
    if wanted <= 0:
        return standing
    pieces = from_clean(standing, supply.pool, wanted)
    note = f"{text}: {wanted}"
    if pieces < wanted:
        note += f", of them {pieces} were clean"
    out = Moved(clean(supply.pool), in_use(supply.pool), pieces)
    write(session, desk, day, supply.supply_id, "set out", [out], note, use_id=use.id)
    standing = standing.after(out)
    loads = loads_in(use.typed)
    if loads:
        back = washed(standing, supply.pool, loads, load_of(supply))
        wash = Moved(in_use(supply.pool), clean(supply.pool), back, loads)
        write(
            session, desk, day, supply.supply_id, "washed", [wash],
            f"{text}: {count_of(loads, 'load')}", use_id=use.id,
        )  # fmt: skip
        standing = standing.after(wash)
    return standing


def take_back(
    session: Session,
    desk: Desk,
    reason: str,
    *,
    use_ids: Collection[int] = (),
    movement_ids: Collection[int] = (),
) -> int:
    """Counter the pool's lines that name these uses or movements; how many."""
    lines = queries.lines_to_take_back(session, use_ids, movement_ids)
    for line in lines:
        session.add(countering(line, day=line.day, at=desk.clock(), note=reason))
    session.flush()
    return len(lines)


def begin(session: Session, desk: Desk, before: str, row: Supply) -> None:
    """Pieces that stand on the shelf when a supply becomes a pool are its first; where a pool
    begins on the ladder stays while it has pieces there."""
    if row.pool == before:
        return
    if before:
        there = standing_in(session, row.id).of_rung(before)
        if row.pool and there:
            raise Mendable(
                f"{there} pieces of {row.name} stand on {before}, where the pool begins; move or "
                "retire them first, or undo."
            )
        return
    on_shelf = balance(session, row.id)[0] // PIECE
    standing = standing_in(session, row.id)
    if on_shelf > 0 and standing.of_rung(row.pool) < on_shelf:
        lacking = on_shelf - standing.of_rung(row.pool)
        write(
            session, desk, desk.today, row.id, "added",
            [Moved(OUTSIDE, clean(row.pool), lacking)],
            "On the shelf when the pool began",
        )  # fmt: skip

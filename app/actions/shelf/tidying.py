"""Supplies that are there twice, by mistake, or no more."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from app.actions.desk.amounts import supply_of
from app.actions.desk.desk import Changed, Desk
from app.actions.desk.open_day import numbered
from app.actions.orders.deliveries import still_due
from app.actions.orders.shelf_state import open_plans
from app.calculations.numbers.wording import counted, listed
from app.errors import Mendable
from app.records.models import (
    JobStep,
    Movement,
    Order,
    OrderLine,
    Pack,
    RecipeLine,
    ServiceStep,
    Supply,
    Use,
)
from app.records.queries import days, tidying
from app.records.queries import orders as order_queries
from app.records.queries.orders import ON_THEIR_WAY
from app.records.queries.services import services
from app.records.queries.uses import use_to_write
from app.records.stock import balances

KINDS = frozenset({"supplies", "stock", "orders", "services"})
_MERGED = KINDS | {"jobs", "uses", "days"}
# What goes with a supply that was never used; anything else is history.
_ALONG = ("packs", "pack_breaks", "movements")


def remove_supply(desk: Desk, supply_id: int) -> Changed:
    """Take a supply out that was never used, with its packs; archive one that was."""
    title = supply_of(desk, supply_id).name
    with desk.book.reading() as session:
        kept = tidying.has_history(session, Supply, supply_id, _ALONG)
    if kept:
        return archive_supply(desk, supply_id)
    name = f"Removed {title}"
    with desk.book.change(name, day=desk.today, kinds=KINDS, at=desk.clock()) as session:
        tidying.take_out(session, Supply, supply_id)
    return Changed(name, KINDS)


def why_keep(desk: Desk, day: date, supply_id: int) -> str:
    """What still counts on a supply that is about to be archived, and that the same key does it all
    the same; nothing where nothing does.
    """
    supply = supply_of(desk, supply_id)
    with desk.book.reading() as session:
        orders = [
            numbered(order.number)
            for order in order_queries.on_their_way(session)
            if any(line.supply_id == supply_id and still_due(line) for line in order.lines)
        ]
        recipes = days.recipes(session)
        sold = services(session, stopped=False)
    named = [
        one.name
        for one in sold
        if any(line.supply_id == supply_id for line in recipes.get(one.service_id, ()))
    ]
    jobs = [plan.job.number_text for plan in open_plans(desk, day) if supply_id in plan.needs]
    said = []
    if orders:
        said.append(f"is on its way with order {listed(orders)}")
    if named:
        said.append(f"stands in the recipe of {_first_few(named)}")
    if jobs:
        said.append(f"is needed for job {_first_few(jobs)}")
    if not said:
        return ""
    return f"{supply.name} {listed(said)}. F12 again archives it all the same."


def _first_few(words: Sequence[str]) -> str:
    """`0412`, `0412 and 0413`, `0412, 0413 and five more`."""
    more = len(words) - 2
    return listed([*words[:2], f"{counted(more)} more"] if more > 0 else words)


def archive_supply(desk: Desk, supply_id: int, *, on: bool = True) -> Changed:
    """Keep a supply for its history only: not ordered, not listed, found by name."""
    title = supply_of(desk, supply_id).name
    name = f"Archived {title}, which has a history" if on else f"{title} is back from the archive"
    with desk.book.change(name, day=desk.today, kinds=KINDS, at=desk.clock()) as session:
        row = session.get_one(Supply, supply_id)
        row.archived_on = desk.today if on else None
        row.stopped = on
    return Changed(name, KINDS)


def merge_supplies(desk: Desk, keep_id: int, other_id: int) -> Changed:
    """Put two supplies together: packs, recipes and stock of the other go to the kept one, and so
    does what is still to come of it: packs on their way, steps to do, uses on an open day.

    What is final of the other stays under its name, which goes to the archive then.
    """
    kept, other = supply_of(desk, keep_id), supply_of(desk, other_id)
    if keep_id == other_id:
        raise Mendable("These are the same supply already.")
    if kept.kind != other.kind:
        raise Mendable(
            f"{kept.name} is a {kept.kind} and {other.name} a {other.kind}; "
            "only what is measured alike can be put together."
        )
    name = f"Put {other.name} together with {kept.name}"
    with desk.book.change(name, day=desk.today, kinds=_MERGED, at=desk.clock()) as session:
        rows = tidying.pointing(session, Supply, other_id)
        one, gone = session.get_one(Supply, keep_id), session.get_one(Supply, other_id)
        also = f"Also called: {other.name}"
        one.notes = "\n".join(part for part in (one.notes, gone.notes, also) if part)
        for field in ("supplier_id", "dilution", "bottle", "tare", "shelf_place", "protection"):
            if not getattr(one, field) and getattr(gone, field):
                setattr(one, field, getattr(gone, field))
        if tidying.has_history(session, Supply, other_id, (*_ALONG, "recipe_lines")):
            moving = [(row, column) for row, column in rows if _goes_on(session, row, keep_id)]
            tidying.repoint(session, moving, keep_id)
            _carry_over(session, desk, keep_id, other_id, name)
            gone.archived_on, gone.stopped = desk.today, True
        else:
            tidying.repoint(session, rows, keep_id)
            session.delete(gone)
    return Changed(name, _MERGED)


def _goes_on(session: tidying.Session, row: Any, keep_id: int) -> bool:
    """Whether a row that names the other supply is to name the kept one from now on."""
    if isinstance(row, OrderLine):
        return _still_to_come(session, row, keep_id)
    if isinstance(row, Use):
        return not row.booked and not _added(session, row, keep_id)
    if isinstance(row, JobStep):
        return row.state == "to do"
    return isinstance(row, Pack | RecipeLine | ServiceStep)


def _still_to_come(session: tidying.Session, line: OrderLine, keep_id: int) -> bool:
    """Whether nothing of a line that is on its way has come; of one in part the rest is split off,
    for the deliveries so far are final."""
    if session.get_one(Order, line.order_id).state not in ON_THEIR_WAY:
        return False
    due = line.packs - line.packs_received
    if line.packs_received and due > 0:
        rest = {"order_id": line.order_id, "supply_id": keep_id, "packs": due}
        same = ("pack_id", "pack_label", "pack_size", "price", "reason")
        session.add(OrderLine(**rest, **{name: getattr(line, name) for name in same}))
        line.packs = line.packs_received
    return not line.packs_received


def _added(session: tidying.Session, use: Use, keep_id: int) -> bool:
    """Add what an open day has of the other to what it has of the kept one, where it has some."""
    there = None if use.job_id is None else use_to_write(session, use.day, use.job_id, keep_id)
    if there is None or there.booked:
        return False
    there.quantity += use.quantity
    there.expected += use.expected
    there.recipe += use.recipe
    there.typed = ""
    session.delete(use)
    return True


def _carry_over(
    session: tidying.Session, desk: Desk, keep_id: int, other_id: int, why: str
) -> None:
    """What stands of the other goes to the kept one, by a line in the ledger of each."""
    quantity, value = balances(session).get(other_id, (0, 0))
    for supply_id, sign in ((other_id, -1), (keep_id, 1)):
        if quantity:
            session.add(
                Movement(
                    supply_id=supply_id,
                    day=desk.today,
                    at=desk.clock(),
                    kind="counted",
                    quantity=sign * quantity,
                    value=sign * value,
                    note=why[:300],
                )
            )

"""A pool for the tests of actions, and what is asked of it again and again."""

from __future__ import annotations

from app.actions.shelf.pool_view import pool_view
from app.records.models import Order, OrderLine, Use
from app.records.stock import balances
from tests.shop import TODAY


def rungs(desk, towels):
    return [(one.rung, one.clean, one.in_use) for one in pool_view(desk, towels).rungs]


def stands(desk, towels):
    with desk.book.reading() as session:
        return balances(session)[towels]


def whole(desk, towels):
    """All that came in is somewhere, and the shelf counts the pieces of the first step."""
    view = pool_view(desk, towels)
    inside = sum(one.clean + one.in_use for one in view.rungs)
    assert view.standing.came_in == inside + view.standing.out + view.standing.lost
    first = view.rungs[0]
    assert stands(desk, towels)[0] == (first.clean + first.in_use) * 1000
    assert desk.book.check() == []


def cost_of(desk, job, supply):
    with desk.book.reading() as session:
        return session.query(Use.cost).filter(Use.job_id == job, Use.supply_id == supply).scalar()


def order_of_towels(desk, shop, towels, packs=1):
    with desk.book.change("Wrote an order", day=TODAY) as session:
        order = Order(number=77, supplier_id=shop.suppliers["van"], day=TODAY, state="sent")
        session.add(order)
        session.flush()
        line = OrderLine(
            order_id=order.id, supply_id=towels, pack_label="50 cloths", pack_size=50_000,
            packs=packs, price=2400,
        )  # fmt: skip
        session.add(line)
        session.flush()
        return order.id, line.id

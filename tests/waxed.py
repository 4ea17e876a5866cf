"""Customers whose one vehicle was waxed ten weeks ago, so that they are written to.

That carnauba wax lasts one to three months is common practice, no source.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta

from sqlalchemy.orm import Session

from app.actions.desk.desk import Desk
from app.records.models import Customer, Job, LayerEvent, OwnerLink, Supply, Vehicle
from tests.shop import TODAY, SmallShop

WEEKS = 10
WAX = 900  # the supply's number


def waxed(session: Session, number: int, day: date, **customer: object) -> None:
    """A customer, a vehicle and a layer, all three of this number, due on `day`."""
    put_on = day - timedelta(weeks=WEEKS)
    if session.get(Supply, WAX) is None:
        session.add(Supply(id=WAX, name="Carnauba wax", kind="paste", protection="carnauba wax"))
    given = {"name": f"Owner {number}", "email": f"o{number}@example.org", **customer}
    session.add(Customer(id=number, **given))
    session.add(Vehicle(id=number, description="blue wagon"))
    session.flush()
    session.add(OwnerLink(vehicle_id=number, customer_id=number))
    session.add(
        LayerEvent(
            id=number,
            vehicle_id=number,
            day=put_on,
            at=datetime.combine(put_on, time(17), UTC),
            kind="applied",
            surface_group="upper sides",
            supply_id=WAX,
        )
    )
    session.flush()


def wax_the_coupe(desk: Desk, shop: SmallShop) -> None:
    """Tolk's coupe was waxed ten weeks ago; nobody of that household is booked."""
    then = TODAY - timedelta(weeks=WEEKS)
    with desk.book.load() as session:
        session.get_one(Supply, shop.supplies["wax"]).protection = "carnauba wax"
        session.get_one(Job, shop.jobs["0412"]).state = "cancelled"
        session.add(
            LayerEvent(
                vehicle_id=shop.vehicles["coupe"],
                surface_group="upper sides",
                kind="applied",
                supply_id=shop.supplies["wax"],
                day=then,
                at=datetime.combine(then, time(15), UTC),
            )
        )

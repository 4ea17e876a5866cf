"""Customers whose one vehicle was waxed ten weeks ago, so that they are written to.

That carnauba wax lasts one to three months is common practice, no source.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta

from sqlalchemy.orm import Session

from app.records.models import Customer, LayerEvent, OwnerLink, Supply, Vehicle

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

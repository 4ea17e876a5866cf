"""A book with so many layers at all ages, for pictures and for looking at long pages."""

from __future__ import annotations

import random
from datetime import UTC, date, datetime, timedelta

from app.calculations.layers.protection import CLASSES, ProtectionClass, SurfaceGroup
from app.records.book import Book
from app.records.models import (
    Customer,
    Judgement,
    LayerEvent,
    OwnerLink,
    Reminder,
    ReminderItem,
    Supply,
    Vehicle,
)

FIRST = ("Ada", "Ilse", "Jonas", "Mara", "Noor", "Otto", "Rhea", "Sven", "Tilda", "Wim")
LAST = ("Brandt", "Ferrowe", "Lunt", "Morrow", "Ostheim", "Pellam", "Quell", "Sorrel", "Tolk")
COLORS = ("red", "blue", "grey", "black", "white", "silver", "green")
BODIES = ("wagon", "sedan", "coupe", "van", "hatchback", "open two-seater")
KINDS = (
    (ProtectionClass.CARNAUBA_WAX, SurfaceGroup.UPPER_SIDES),
    (ProtectionClass.SYNTHETIC_SEALANT, SurfaceGroup.UPPER_HORIZONTALS),
    (ProtectionClass.CERAMIC_2_YEAR, SurfaceGroup.UPPER_SIDES),
    (ProtectionClass.GLASS_COATING, SurfaceGroup.OTHER_GLASS),
    (ProtectionClass.WHEEL_COATING, SurfaceGroup.WHEELS),
    (ProtectionClass.LEATHER_PROTECTANT, SurfaceGroup.LEATHER),
)


def fill_with_layers(book: Book, count: int, day: date, seed: int = 4) -> None:
    """Put `count` layers on, two to a vehicle; some were seen again, some reminded of."""
    rng = random.Random(seed)
    with book.load() as session:
        for number, (kind, _) in enumerate(KINDS, 1):
            name = kind.value.capitalize()
            session.add(Supply(id=number, name=name, kind="liquid", protection=kind.value))
        for at in range(count):
            owner, (kind, group) = at // 2 + 1, KINDS[at % len(KINDS)]
            if at % 2 == 0:
                name = f"{FIRST[owner % len(FIRST)]} {LAST[owner * 7 % len(LAST)]}"
                session.add(Customer(id=owner, name=name, email=f"o{owner}@example.org"))
                car = f"{rng.choice(COLORS)} {rng.choice(BODIES)}"
                session.add(Vehicle(id=owner, description=car))
                session.flush()
                session.add(OwnerLink(vehicle_id=owner, customer_id=owner))
            age = int(CLASSES[kind].middle_days * rng.uniform(0.05, 1.15))
            put_on = day - timedelta(days=age)
            session.add(
                LayerEvent(
                    id=at + 1,
                    vehicle_id=owner,
                    day=put_on,
                    at=datetime(put_on.year, put_on.month, put_on.day, 17, tzinfo=UTC),
                    kind="applied",
                    surface_group=group.value,
                    supply_id=KINDS.index((kind, group)) + 1,
                )
            )
            session.flush()
            if at % 5 == 3:
                seen = day - timedelta(days=age // 3)
                young = age < CLASSES[kind].middle_days / 3
                session.add(
                    Judgement(
                        vehicle_id=owner,
                        layer_event_id=at + 1,
                        day=seen,
                        surface_group=group.value,
                        after="holding" if young else "fading",
                    )
                )
            if at % 6 == 4:
                sent = day - timedelta(days=5)
                reminder = Reminder(
                    customer_id=owner, day=sent, sent_on=sent, state="sent", uid=f"reminder-{at}"
                )
                session.add(reminder)
                session.flush()
                session.add(
                    ReminderItem(reminder_id=reminder.id, vehicle_id=owner, layer_event_id=at + 1)
                )

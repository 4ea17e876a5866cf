"""A shelf with so many supplies and a year of their use, for pictures and long pages."""

from __future__ import annotations

import random
from datetime import UTC, date, datetime, timedelta

from app.records.book import Book
from app.records.models import (
    DaySheet,
    Job,
    JobService,
    Movement,
    Order,
    OrderLine,
    Pack,
    RecipeLine,
    Service,
    Supplier,
    Supply,
    Use,
    Vehicle,
)

# name, kind, pack label, base units in it, its price, what a job uses
GOODS = (
    ("Wash soap", "liquid", "1 gal", 3_785_412, 3400, 45_000),
    ("Wheel cleaner", "liquid", "1 gal", 3_785_412, 4100, 90_000),
    ("Panel wipe", "liquid", "1 gal", 3_785_412, 4200, 60_000),
    ("Finishing polish", "liquid", "32 oz", 946_353, 4500, 40_000),
    ("Cutting compound", "liquid", "32 oz", 946_353, 4800, 55_000),
    ("Paste wax", "paste", "200 g", 200_000, 3300, 12_000),
    ("Glass cleaner", "liquid", "1 gal", 3_785_412, 1900, 50_000),
    ("Foam pads", "piece", "5 pieces", 5_000, 4000, 400),
    ("Masking tape", "piece", "12 rolls", 12_000, 4800, 300),
    ("Interior cleaner", "liquid", "1 gal", 3_785_412, 3100, 70_000),
    ("Leather balm", "paste", "500 g", 500_000, 2900, 20_000),
    ("Applicators", "piece", "10 pieces", 10_000, 1500, 1_000),
)
WORDS = (
    "", "mild", "strong", "citrus", "foaming", "winter", "for vans", "for trucks", "scented",
    "matte", "satin", "deep", "fine", "coarse", "soft", "firm", "spring", "summer", "autumn",
    "dark", "light", "for boats", "for cycles", "heavy", "quick", "slow",
)  # fmt: skip
SUPPLIERS = (("Alder Road Trade", 1400, 15000, 3), ("Kestrel Parcel", 900, None, 5),
             ("Lowfen Wholesale", 2200, 25000, 7))  # fmt: skip


def fill_shelf(book: Book, count: int, day: date, seed: int = 7) -> None:
    """Put `count` supplies on the shelf, with a year of jobs that used them."""
    rng = random.Random(seed)
    if not count:
        return
    with book.load() as session:
        sellers = []
        for name, freight, free, days in SUPPLIERS:
            seller = Supplier(
                name=name, freight=freight, free_freight_from=free, promised_days=days
            )
            session.add(seller)
            session.flush()
            sellers.append(seller)
        weeks = [day - timedelta(days=7 * week + 3) for week in range(52, -1, -1)]
        services, recipes = [], []
        for number in range(6):
            service = Service(name=f"Service {number + 1}", minutes=240, price=30000)
            session.add(service)
            session.flush()
            services.append(service)
            recipes.append([])
        vehicle = Vehicle(description="grey wagon", size_outside="M", size_inside="M")
        session.add(vehicle)
        session.flush()
        packs = {}
        for number in range(count):
            name, kind, label, size, price, use = GOODS[number % len(GOODS)]
            use *= 4
            word = WORDS[number // len(GOODS)]
            supply = Supply(
                name=f"{name}, {word}" if word else name,
                kind=kind,
                supplier_id=sellers[number % 3].id,
                shelf_place=f"{'ABCDEF'[number % 6]}{number // 6 + 1}",
                flammable=name == "Panel wipe",
                ingredients=["isopropanol"] if name == "Panel wipe" else [],
            )
            session.add(supply)
            session.flush()
            pack = Pack(supply_id=supply.id, label=label, size=size, price=price)
            session.add(pack)
            session.flush()
            packs[supply.id] = pack
            recipes[number % 6].append((supply.id, use))
            session.add(
                RecipeLine(
                    service_id=services[number % 6].id,
                    supply_id=supply.id,
                    scaling="size",
                    amount=use,
                )
            )
        used: dict[int, int] = {}
        moves = []
        for at, when in enumerate(weeks):
            for turn in range(2):
                which = (at + 3 * turn) % 6
                job = Job(
                    number=2 * at + turn + 1, vehicle_id=vehicle.id, state="done", first_day=when,
                    last_day=when, done_on=when, expected_minutes=240,
                )  # fmt: skip
                session.add(job)
                session.flush()
                session.add(JobService(job_id=job.id, service_id=services[which].id))
                for supply, recipe in recipes[which]:
                    amount = round(recipe * rng.lognormvariate(0, 0.3))
                    use = Use(
                        day=when, job_id=job.id, supply_id=supply, quantity=amount,
                        expected=recipe, recipe=recipe, state="confirmed", booked=True,
                    )  # fmt: skip
                    session.add(use)
                    session.flush()
                    pack = packs[supply]
                    cost = amount * pack.price // pack.size
                    use.cost = cost
                    used[supply] = used.get(supply, 0) + amount
                    moves.append((when, supply, "used", -amount, -cost, job.id, use.id))
            session.add(DaySheet(day=when, page=at + 1, state="closed", stations=[]))
        begin = weeks[0] - timedelta(days=20)
        for supply, pack in packs.items():
            bought = used.get(supply, 0) + round(pack.size * rng.uniform(0.04, 1.3))
            cost = bought * pack.price // pack.size + 1
            moves.insert(0, (begin, supply, "received", bought, cost, None, None))
        for when, supply, kind, quantity, value, job_id, use_id in moves:
            session.add(
                Movement(
                    supply_id=supply, day=when, kind=kind, quantity=quantity, value=value,
                    at=datetime(when.year, when.month, when.day, 23, tzinfo=UTC), job_id=job_id,
                    use_id=use_id,
                )
            )  # fmt: skip
        _ahead(session, services, vehicle.id, day)
        _coming(session, packs, sellers[0].id, day)


def _ahead(session, services, vehicle_id: int, day: date) -> None:
    """Jobs booked for the next days."""
    for at, ahead in enumerate((1, 4, 5, 6, 11, 12)):
        when = day + timedelta(days=ahead)
        job = Job(
            number=500 + at, vehicle_id=vehicle_id, state="booked", first_day=when, last_day=when,
            expected_minutes=240, booked_on=day - timedelta(days=8),
        )  # fmt: skip
        session.add(job)
        session.flush()
        session.add(JobService(job_id=job.id, service_id=services[at % 6].id))


def _coming(session, packs, supplier_id: int, day: date) -> None:
    """One order on its way, of the first supplies."""
    order = Order(
        number=41, supplier_id=supplier_id, day=day - timedelta(days=2), state="sent",
        expected_on=day + timedelta(days=1),
    )  # fmt: skip
    session.add(order)
    session.flush()
    for supply in list(packs)[:12:6]:
        pack = packs[supply]
        session.add(
            OrderLine(
                order_id=order.id, supply_id=supply, pack_id=pack.id, pack_label=pack.label,
                pack_size=pack.size, packs=1, price=pack.price,
            )
        )  # fmt: skip

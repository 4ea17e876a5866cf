"""A small made-up shop for tests: real books, a fixed clock, a Thursday with two jobs."""

from __future__ import annotations

from collections.abc import Callable
from copy import deepcopy
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from app.actions.desk.desk import Desk
from app.calculations.numbers.tax_rates import BEGINNING
from app.calculations.numbers.units import System
from app.records.book import Book
from app.records.models import (
    Charge,
    Customer,
    Job,
    JobService,
    JobStep,
    Movement,
    OwnerLink,
    Pack,
    RecipeLine,
    Service,
    ServiceStep,
    Supplier,
    Supply,
    TaxRate,
    Vehicle,
)
from app.records.queries import settings as settings_queries

TODAY = date(2025, 8, 14)  # a Thursday
ML, GRAM, PIECE = 1000, 1000, 1000


class Clock:
    """A clock that stands still until it is moved: 17:54 in Chicago on the given day."""

    def __init__(self, day: date = TODAY) -> None:
        self.now = datetime(day.year, day.month, day.day, 22, 54, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.now

    def go_to(self, day: date) -> None:
        """Move to the same hour of another day."""
        self.now = datetime(day.year, day.month, day.day, 22, 54, tzinfo=UTC)

    def tick(self, minutes: int = 1) -> None:
        """Let some minutes pass."""
        self.now += timedelta(minutes=minutes)


@dataclass
class SmallShop:
    """The ids of what stands in the book, by short names."""

    today: date = TODAY
    customers: dict[str, int] = field(default_factory=dict)
    vehicles: dict[str, int] = field(default_factory=dict)
    suppliers: dict[str, int] = field(default_factory=dict)
    supplies: dict[str, int] = field(default_factory=dict)
    packs: dict[str, int] = field(default_factory=dict)
    services: dict[str, int] = field(default_factory=dict)
    jobs: dict[str, int] = field(default_factory=dict)


@cache
def _empty() -> bytes:
    """The file of a new book."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "empty.bayledger"
        Book.create(path).close()
        return path.read_bytes()


@cache
def _small() -> tuple[bytes, SmallShop]:
    """The file of the small shop's book, and what stands in it."""
    with TemporaryDirectory() as folder:
        desk = new_desk(Path(folder) / "shop.bayledger")
        shop = small_shop(desk)
        desk.book.close()
        return desk.book.path.read_bytes(), shop


def empty_book(path: Path) -> Book:
    """A new, empty book, open for writing: a copy of one that is founded once, which is faster."""
    path.write_bytes(_empty())
    return Book.open(path)


def small_book(path: Path) -> SmallShop:
    """Write the small shop's book, closed: a copy of one that is filled once, which is faster."""
    file, shop = _small()
    path.write_bytes(file)
    return deepcopy(shop)


def small_desk(path: Path, clock: Callable[[], datetime] | None = None) -> tuple[Desk, SmallShop]:
    """A desk with the small shop's book."""
    shop = small_book(path)
    return Desk(Book.open(path), clock or Clock()), shop


def new_desk(path: Path, clock: Callable[[], datetime] | None = None, **settings: object) -> Desk:
    """A desk with a new book; settings as keywords."""
    book = empty_book(path)
    if settings:
        with book.load() as session:
            settings_queries.write(session, settings)
    return Desk(book, clock or Clock())


def small_shop(desk: Desk, day: date = TODAY) -> SmallShop:
    """Fill a book: two customers, three vehicles, six supplies with packs and two suppliers, two
    services with recipes and steps, and two jobs on `day`, of which one goes on the next day.

    Quantities are metric round numbers; money is in cents. The shelf was counted in two weeks ago.
    """
    shop = SmallShop(today=day)
    with desk.book.load() as session:
        settings_queries.write(
            session,
            {"shop_name": "Lindmoor Finish Care", "system": System.METRIC.value},
        )
        session.add(TaxRate(kind="work", rate=7250, from_day=BEGINNING))
        for key, name, mail in (
            ("tolk", "Mara Tolk", "mara.tolk@lindmoor.example"),
            ("quell", "Jonas Quell", ""),
        ):
            customer = Customer(name=name, household=key, email=mail, phone="+13125550142")
            session.add(customer)
            session.flush()
            shop.customers[key] = customer.id
        for key, owner, description, size in (
            ("wagon", "tolk", "grey wagon", "L"),
            ("coupe", "tolk", "red coupe", "S"),
            ("sedan", "quell", "blue sedan", "M"),
        ):
            vehicle = Vehicle(description=description, size_outside=size, size_inside=size)
            session.add(vehicle)
            session.flush()
            shop.vehicles[key] = vehicle.id
            session.add(
                OwnerLink(
                    vehicle_id=vehicle.id,
                    customer_id=shop.customers[owner],
                    from_day=day - timedelta(days=400),
                )
            )
        for key, name, freight, free, promised in (
            ("van", "Tuesday van", 1400, 15000, 5),
            ("parcel", "Friday parcel", 900, None, 8),
        ):
            supplier = Supplier(
                name=name,
                email=f"orders@{key}.example",
                freight=freight,
                free_freight_from=free,
                promised_days=promised,
            )
            session.add(supplier)
            session.flush()
            shop.suppliers[key] = supplier.id
        _supplies(session, shop, day)
        _services(session, shop)
        _jobs(session, shop, day)
    desk.reload()
    return shop


def _supplies(session, shop: SmallShop, day: date) -> None:
    rows = (
        # key, name, kind, supplier, on hand, cost of it, packs (label, size, price)
        ("soap", "Wash soap", "liquid", "van", 2000, 2000, [("1 L", 1000, 1200)]),
        ("wheel", "Wheel cleaner", "liquid", "van", 1500, 1200, [("5 L", 5000, 3800)]),
        ("polish", "Finishing polish", "liquid", "van", 600, 2400, [("1 L", 1000, 3900)]),
        ("coating", "Ceramic layer", "liquid", "parcel", 60, 15800, [("30 mL", 30, 7900)]),
        ("cloths", "Cloths", "piece", "van", 40, 2000, [("50 cloths", 50, 2400)]),
        ("wax", "Paste wax", "paste", "parcel", 180, 3000, [("200 g", 200, 3300)]),
    )
    for key, name, kind, supplier, on_hand, cost, packs in rows:
        coating = key == "coating"
        supply = Supply(
            name=name,
            kind=kind,
            density=1000,
            supplier_id=shop.suppliers[supplier],
            costing="lot" if coating else "average",
            protection="ceramic 2 year" if coating else "",
            signal_word="Danger" if key == "wheel" else "",
            hazard_statements=["Causes severe skin burns"] if key == "wheel" else [],
        )
        if key == "soap":
            supply.dilution, supply.bottle = 256_000, 1000 * ML
        if key == "polish":
            supply.tare, supply.bottle = 60_000, 1000 * ML
        session.add(supply)
        session.flush()
        shop.supplies[key] = supply.id
        for label, size, price in packs:
            pack = Pack(supply_id=supply.id, label=label, size=size * 1000, price=price)
            session.add(pack)
            session.flush()
            shop.packs[key] = pack.id
        when = day - timedelta(days=14)
        lot_id = None
        if coating:
            from app.records.models import Lot

            lot = Lot(
                supply_id=supply.id,
                code="L1",
                received_on=when,
                expires_on=day + timedelta(days=300),
            )
            session.add(lot)
            session.flush()
            lot_id = lot.id
        session.add(
            Movement(
                supply_id=supply.id,
                day=when,
                at=datetime(when.year, when.month, when.day, 15, tzinfo=UTC),
                kind="received",
                quantity=on_hand * 1000,
                value=cost,
                lot_id=lot_id,
                weight=660_000 if key == "polish" else None,
                note="Counted in",
            )
        )


def _services(session, shop: SmallShop) -> None:
    upper = ["upper horizontals", "upper sides"]
    rows = (
        (
            "wash",
            Service(name="Upkeep wash", outside=True, minutes=90, price=9000),
            [("soap", "size_condition", 40), ("wheel", "size", 120), ("cloths", "fixed", 2)],
            [("Wash", "", None, []), ("Wheels", "", None, []), ("Dry", "", None, [])],
        ),
        (
            "ceramic",
            Service(name="Polish and ceramic", outside=True, minutes=600, price=95000),
            [
                ("soap", "size_condition", 60),
                ("polish", "size_condition", 60),
                ("coating", "layer", 14),
                ("cloths", "fixed", 8),
            ],
            [
                ("Wash", "", None, []),
                ("Polish", "abrades", None, upper),
                ("Panel wipe", "strips", None, upper),
                ("Ceramic layer", "applies", "coating", upper),
            ],
        ),
    )
    for key, service, recipe, steps in rows:
        session.add(service)
        session.flush()
        shop.services[key] = service.id
        for supply, scaling, amount in recipe:
            session.add(
                RecipeLine(
                    service_id=service.id,
                    supply_id=shop.supplies[supply],
                    scaling=scaling,
                    amount=amount * 1000,
                )
            )
        for position, (name, effect, supply, groups) in enumerate(steps):
            session.add(
                ServiceStep(
                    service_id=service.id,
                    position=position,
                    name=name,
                    effect=effect,
                    supply_id=shop.supplies[supply] if supply else None,
                    surface_groups=groups,
                )
            )
    session.flush()


def _jobs(session, shop: SmallShop, day: date) -> None:
    add_job(session, shop, "0411", "quell", "sedan", "wash", day, day)
    add_job(session, shop, "0412", "tolk", "wagon", "ceramic", day, day + timedelta(days=1))


def add_job(
    session,
    shop: SmallShop,
    number: str,
    customer: str,
    vehicle: str,
    service: str,
    first: date,
    last: date,
    *,
    state: str = "booked",
) -> int:
    """A job with its service, the service's steps and one charge of its price at 7.25 % tax."""
    job = Job(
        number=int(number),
        customer_id=shop.customers[customer],
        vehicle_id=shop.vehicles[vehicle],
        state=state,
        booked_on=first - timedelta(days=9),
        first_day=first,
        last_day=last,
    )
    session.add(job)
    session.flush()
    sold = session.get_one(Service, shop.services[service])
    session.add(JobService(job_id=job.id, service_id=sold.id))
    steps = {
        "wash": [("Wash", "", None), ("Wheels", "", None), ("Dry", "", None)],
        "ceramic": [
            ("Wash", "", None),
            ("Polish", "abrades", None),
            ("Panel wipe", "strips", None),
            ("Ceramic layer", "applies", "coating"),
        ],
    }[service]
    for position, (name, effect, supply) in enumerate(steps):
        session.add(
            JobStep(
                job_id=job.id,
                position=position,
                name=name,
                effect=effect,
                supply_id=shop.supplies[supply] if supply else None,
                surface_groups=["upper horizontals", "upper sides"] if effect else [],
            )
        )
    session.add(
        Charge(
            job_id=job.id,
            text=sold.name,
            amount=sold.price,
            tax_rate=7250,
            service_id=sold.id,
        )
    )
    session.flush()
    shop.jobs[number] = job.id
    return job.id

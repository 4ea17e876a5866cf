"""The people of the made-up town and their vehicles."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta
from itertools import accumulate
from typing import Any

from app.calculations.layers.exposure import exposure
from app.demo.catalog import Body, FleetItem, Habit
from app.demo.scene import Part, Scene
from app.records.models import Consent, Customer, OwnerLink, Vehicle

# Answers to the five questions about where a vehicle lives, and how often they are given.
STANDS = (("garage", 34), ("carport", 22), ("street", 32), ("under trees", 12))
WASHED = (("by hand", 40), ("touchless", 22), ("weekly brushes", 24), ("rain", 14))
AROUND = (("salted roads", 0.30), ("industry", 0.08), ("hard water", 0.22))
DISTANCE = (("usual", 68), ("over 20,000 miles", 14), ("commercial", 6), ("under 3,000 miles", 12))
KEPT_HERE = {
    "regular": "twice a year", "seasonal": "twice a year", "yearly": "now and then",
    "once": "never", "fleet": "twice a year",
}  # fmt: skip
CHANGING = (
    "household", "deceased", "stopped_on", "later_until", "email_bad_since", "address_bad_since",
)  # fmt: skip
NOTES = (
    "Calls back in the evening.", "Key in the letter box.", "Prefers Fridays.",
    "Two child seats, leaves them in.", "Asks for the care sheet each time.",
    "Dog hair in the back.", "Pays cash as a rule.", "Came through the bakery.",
)  # fmt: skip


@dataclass(frozen=True)
class StandingLayer:
    """A layer on one surface group, with the day it truly ends."""

    event: int
    supply: int
    group: str
    applied: date
    ends: date


@dataclass(kw_only=True)
class Person:
    """A customer; `columns` are those of their row."""

    id: int
    columns: dict[str, Any]
    household: str
    vehicles: list[Car] = field(default_factory=list)
    last_visit: date | None = None
    letters: list[date] = field(default_factory=list)
    unanswered: int = 0
    booked_until: date | None = None
    fleet: FleetItem | None = None

    @property
    def writable(self) -> bool:
        """Whether a reminder may go to them at all."""
        held = self.columns
        return not held["deceased"] and held["stopped_on"] is None and held["may_remind"]


@dataclass(kw_only=True)
class Car:
    """A vehicle with its holder, its habit of coming, and what stands on it."""

    id: int
    columns: dict[str, Any]
    owner: Person
    habit: Habit
    old: bool
    exposure: float
    held_since: date
    layers: dict[str, list[StandingLayer]] = field(default_factory=dict)
    gone: set[int] = field(default_factory=set)  # layer events that were seen gone
    visits: int = 0
    held: bool = True
    links: list[tuple[Person, date, date | None]] = field(default_factory=list)

    def leaves_by(self, day: date) -> bool:
        """Whether its lease ends soon, or has ended: then nobody is written to about it."""
        ends = self.columns["lease_ends"]
        return ends is not None and day >= ends - timedelta(days=56)

    @property
    def sizes(self) -> tuple[str, str]:
        """Outside and inside."""
        return self.columns["size_outside"], self.columns["size_inside"]


class Town(Part):
    """Draws people and vehicles, and writes them when the story has been told."""

    def __init__(self, scene: Scene) -> None:
        super().__init__(scene)
        self.people: list[Person] = []
        self.cars: list[Car] = []
        self._names: set[str] = set()
        self._written = [0, 0]  # of the people, of the cars
        self._bodies = list(accumulate(body.weight for body in scene.catalog.bodies))
        self._colors = list(accumulate(weight for _, weight in scene.catalog.colors))

    def newcomer(self, day: date, *, since: date | None = None) -> Car:
        """A new customer with a vehicle, sometimes with a second one or with a partner."""
        rng = self._rng
        person = self._person(day, since or day)
        car = self._car(person, day)
        if rng.random() < 0.13:
            self._car(person, day)
        if rng.random() < 0.10:
            partner = self._person(day, since or day, like=person)
            self._car(partner, day)
        self._settle()
        return car

    def fleet(self, item: FleetItem, day: date) -> Person:
        """A firm with its vehicles."""
        number = self._rows.number(Customer)
        person = Person(id=number, columns=self._reach(item.name, day), household="", fleet=item)
        domain = "".join(c for c in item.name.lower() if c.isalpha())
        person.columns |= {
            "is_firm": True,
            "email": f"office@{domain}.example.com",
            "asks_by": "mail",
            "notes": f"{item.contact} decides. Every {item.every_days // 7} weeks, in their yard.",
            "tax_exempt_no": "TB-EX-118" if "Library" in item.name else "",
            "tax_exempt_until": date(day.year + 20, 12, 31) if "Library" in item.name else None,
            "may_remind": False,
        }
        self.people.append(person)
        habit = Habit("fleet", 0, (item.every_days, item.every_days), 0.0)
        body = Body(item.description, item.outside, item.inside, 1, False)
        for unit in range(1, item.units + 1):
            car = self._car(person, day, body=body, habit=habit)
            car.columns["fleet_unit"] = f"{item.name.split()[0][:2].upper()}{unit:02d}"
        self._settle()
        return person

    def sell(self, car: Car, day: date) -> None:
        """The vehicle leaves its holder; now and then the new one comes here too."""
        car.links.append((car.owner, car.held_since, day))
        car.owner.vehicles.remove(car)
        car.held = self._rng.random() < 0.3
        if car.held:
            buyer = self._person(day, day)
            car.owner, car.held_since = buyer, day
            buyer.vehicles.append(car)
            self._settle()

    def _settle(self) -> None:
        """Write everyone and everything new."""
        for person in self.people[self._written[0] :]:
            self._rows.put(Customer, person.columns | {"id": person.id})
        for car in self.cars[self._written[1] :]:
            self._rows.put(Vehicle, car.columns | {"id": car.id})
        self._written = [len(self.people), len(self.cars)]

    def write(self) -> None:
        """What became of them, and who held which vehicle."""
        for person in self.people:
            changing = {name: person.columns[name] for name in CHANGING}
            self._rows.change(Customer, person.id, **changing)
            if person.columns["asks_by"] == "text":
                self._rows.add(
                    Consent,
                    customer_id=person.id,
                    channel="text",
                    purpose="reminders",
                    wording="You may send me reminders about my vehicle by text message.",
                    how="signed at the counter",
                    day=person.columns["since"],
                    by=self._catalog.settings["shop_name"],
                    withdrawn_on=person.columns["stopped_on"],
                )
        for car in self.cars:
            links = [*car.links]
            if car.held:
                links.append((car.owner, car.held_since, None))
            for person, start, end in links:
                self._rows.add(
                    OwnerLink,
                    vehicle_id=car.id,
                    customer_id=person.id,
                    from_day=start,
                    to_day=end,
                )

    def _person(self, day: date, since: date, like: Person | None = None) -> Person:
        rng = self._rng
        number = self._rows.number(Customer)
        if like is None:
            name = self._name(rng.choice(self._catalog.family_names))
            columns = self._reach(name, since)
            if rng.random() < 0.18 and len(self.people) > 5:
                columns["referred_by_id"] = rng.choice(self.people).id
        else:
            if not like.household:
                like.household = f"{like.columns['name'].split()[-1]} {like.id}"
                like.columns["household"] = like.household
            name = self._name(like.columns["name"].split()[-1])
            columns = like.columns | {"name": name, "household": like.household, "notes": ""}
            columns["email"] = self._mail(name) if rng.random() < 0.7 else ""
        person = Person(id=number, columns=columns, household=columns["household"])
        self.people.append(person)
        return person

    def _name(self, family: str) -> str:
        """A name that nobody here has yet; with a middle initial once the plain ones run out."""
        rng = self._rng
        for attempt in range(60):
            given = rng.choice(self._catalog.given_names)
            name = (
                f"{given} {family}"
                if attempt < 12
                else f"{given} {rng.choice('ABDEFGHJKLMNPRSTVW')}. {family}"
            )
            if name not in self._names:
                self._names.add(name)
                return name
        raise RuntimeError("the town has run out of names")

    def _mail(self, name: str) -> str:
        place = self._rng.choice(self._catalog.town["mail_places"])
        return ".".join(part.strip(".").lower() for part in name.split()) + "@" + place

    def _reach(self, name: str, since: date) -> dict[str, Any]:
        """How a person is reached: some have no mail, some no address, a few no telephone."""
        rng = self._rng
        town = self._catalog.town
        place = rng.choices(town["places"], [one["share"] for one in town["places"]])[0]
        number = len(self.people)
        area = town["phone_areas"][(number // 100) % len(town["phone_areas"])]
        local = f"555-01{number % 100:02d}"
        has_phone, has_mail, has_street = (
            rng.random() < 0.96,
            rng.random() < 0.74,
            rng.random() < 0.86,
        )
        return {
            "name": name,
            "is_firm": False,
            "household": "",
            "phone": f"+1{area}{local.replace('-', '')}" if has_phone else "",
            "phone_as_typed": f"({area}) {local}" if has_phone else "",
            "email": self._mail(name) if has_mail else "",
            "street": f"{rng.randint(1, 240)} {rng.choice(self._catalog.streets)}"
            if has_street
            else "",
            "city": place["city"],
            "postal_code": place["postal_code"],
            "asks_by": rng.choices(("", "mail", "letter", "phone", "text"), (40, 28, 16, 9, 7))[0],
            "may_remind": rng.random() < 0.95,
            "stopped_on": None,
            "later_until": None,
            "deceased": False,
            "tax_exempt_no": "",
            "tax_exempt_until": None,
            "notes": rng.choice(NOTES) if rng.random() < 0.12 else "",
            "since": since,
            "referred_by_id": None,
            "email_bad_since": None,
            "address_bad_since": None,
        }

    def _car(
        self, owner: Person, day: date, body: Body | None = None, habit: Habit | None = None
    ) -> Car:
        rng = self._rng
        catalog = self._catalog
        body = body or rng.choices(catalog.bodies, cum_weights=self._bodies)[0]
        habit = habit or rng.choices(catalog.habits, [one.share for one in catalog.habits])[0]
        color = ""
        description = body.description
        if owner.fleet is None:
            color = rng.choices(catalog.colors, cum_weights=self._colors)[0][0]
            description = f"{color} {body.description}"
        answers = self._exposure(habit)
        car = Car(
            id=self._rows.number(Vehicle),
            columns={
                "description": description,
                "year": day.year - (rng.randint(28, 45) if body.old else rng.randint(0, 13)),
                "color": color,
                "plate": f"{rng.choice('BCDFGHKLMNPRSTVZ')}{rng.choice('BCDFGHKLMNPRSTVZ')}"
                f"{rng.choice('BCDFGHKLMNPRSTVZ')} {rng.randint(1000, 9999)}",
                "size_outside": body.outside,
                "size_inside": body.inside,
                "exposure": answers,
                "lease_ends": day + timedelta(days=rng.randint(200, 1100))
                if not body.old and rng.random() < 0.10
                else None,
                "fleet_unit": "",
                "notes": "",
            },
            owner=owner,
            habit=habit,
            old=body.old,
            exposure=exposure(answers).factor,
            held_since=day,
        )
        owner.vehicles.append(car)
        self.cars.append(car)
        return car

    def _exposure(self, habit: Habit) -> dict[str, Any]:
        """Answers to the five questions; one vehicle in four was never asked about."""
        rng = self._rng
        if rng.random() < 0.25:
            return {}
        return {
            "stands": rng.choices([w for w, _ in STANDS], [n for _, n in STANDS])[0],
            "washed": rng.choices([w for w, _ in WASHED], [n for _, n in WASHED])[0],
            "around": [word for word, share in AROUND if rng.random() < share],
            "distance": rng.choices([w for w, _ in DISTANCE], [n for _, n in DISTANCE])[0],
            "kept_here": KEPT_HERE[habit.name],
        }

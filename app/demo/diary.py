"""The made-up shop's diary: who asks when, what for, and on which days it is done."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from heapq import heappop, heappush

from app.calculations.plan.expected_hours import (
    Sold,
    expected_hours,
    list_minutes,
    main_service,
)
from app.demo.catalog import ServiceItem, Wish
from app.demo.scene import Part, Scene
from app.demo.town import Car, Person, Town
from app.records.models import Job

# What the owner promises of the time that a service usually takes: some things run over, some are
# done sooner. Other services are promised as they are.
PROMISED = {
    "Upkeep wash": 0.97,
    "Light interior": 0.45,
    "Hand wax": 0.7,
    "Sealant": 1.5,
    "Decontamination": 1.4,
    "Foam wash": 1.25,
    "Full interior": 0.72,
    "Two-step correction": 0.82,
    "One-step polish": 1.12,
}
AHEAD = 330  # minutes of work of a day to come, so that the plan of two weeks can be kept
A_DAY = 450  # minutes of one job that fit into a day
LATEST_COAT = 360  # a coating begins in the morning or the early afternoon
CONDITIONS = ("kept", "average", "neglected", "extreme")


@dataclass(frozen=True)
class Portion:
    """The part of a service that is done on one of the job's days: 0 to 1, and which steps."""

    service: ServiceItem
    day: date
    minutes: float
    share: float
    first_step: int
    last_step: int


@dataclass(kw_only=True)
class Plan:
    """A booked job."""

    id: int
    car: Car
    payer: Person
    title: str
    services: tuple[ServiceItem, ...]
    condition: str
    booked_on: date
    days: tuple[date, ...]
    portions: tuple[Portion, ...]
    by_list: float
    expected: int
    main: int
    usually: int  # what such jobs usually take, before the owner says a time of their own
    worked: int = 0
    worked_usually: int = 0
    steps_written: int = 0
    deposit: int = 0
    cancelled: bool = False

    @property
    def first(self) -> date:
        """The first day of the visit."""
        return self.days[0]

    @property
    def last(self) -> date:
        """The last day of the visit."""
        return self.days[-1]


class Diary(Part):
    """Takes bookings day by day and knows what is on each day."""

    def __init__(self, scene: Scene, town: Town) -> None:
        super().__init__(scene)
        self._town = town
        self._per_day = scene.jobs_per_week / 5.33  # a Saturday in three
        self._room = max(760.0, scene.jobs_per_week * 57 * 1.5)
        self._small = scene.jobs_per_week <= 15
        self._owed = 0.0
        self._waiting: list[tuple[date, int]] = []
        self._load: dict[date, float] = {}
        self.on: dict[date, list[Plan]] = {}
        self._ratios: dict[int, list[float]] = {}
        self.plans = 0

    def expects(self, car: Car, day: date) -> None:
        """This vehicle's people will ask again around that day."""
        heappush(self._waiting, (day, car.id))

    def learned(self, plan: Plan) -> None:
        """A job is done: what it took moves what the next of its kind is expected to take."""
        if plan.by_list > 0 and plan.worked_usually > 0:
            known = self._ratios.setdefault(plan.main, [])
            known.append(plan.worked_usually / plan.by_list)
            del known[:-25]

    def take_bookings(self, day: date) -> list[Plan]:
        """What is booked on this day, for days to come."""
        self._owed = min(self._owed + self._per_day * _season(day), 3 * self._per_day + 3)
        made: list[Plan] = []
        while self._owed >= 1:
            car = self._who(day)
            if car is None:
                continue
            plans = self._fleet(car, day) if car.owner.fleet else self._single(car, day)
            made += plans
            self._owed -= max(1, len(plans))
        return made

    def _who(self, day: date) -> Car | None:
        """The next to ask: someone whose time has come, or someone new; None to ask again."""
        rng = self._rng
        due = bool(self._waiting) and self._waiting[0][0] <= day
        if due and rng.random() > 0.15:
            number = heappop(self._waiting)[1]
            car = self._town.cars[number - 1]
            gone = (
                not car.held
                or car.owner.columns["deceased"]
                or car.leaves_by(day)
                or (car.owner.booked_until is not None and car.owner.booked_until > day)
                or any(p.car is car for d in (day,) for p in self.on.get(d, ()))
            )
            return None if gone and car.owner.fleet is None else car
        return self._town.newcomer(day)

    def _single(self, car: Car, day: date) -> list[Plan]:
        rng = self._rng
        wish = self._wish(car, day)
        services = list(wish.services)
        names = {one.name for one in services}
        for extra in self._catalog.extras:
            asked = names & extra.with_ and extra.service.name not in names
            if asked and rng.random() < extra.share:
                services.append(extra.service)
        lead = rng.randint(*wish.lead)
        plan = self.book(car, tuple(services), wish.title, day, day + timedelta(days=lead))
        return [plan]

    def _fleet(self, car: Car, day: date) -> list[Plan]:
        """The whole fleet in one go, less the vehicles that are out on the road."""
        wish = self._catalog.fleet_wish
        fleet = car.owner
        if fleet.vehicles[0] is not car:
            return []
        start = day + timedelta(days=self._rng.randint(3, 9))
        made = [
            self.book(one, wish.services, wish.title, day, start)
            for one in fleet.vehicles
            if self._rng.random() > 0.12
        ]
        self.expects(car, day + timedelta(days=car.habit.days[0]))
        return made

    def _wish(self, car: Car, day: date) -> Wish:
        """What this vehicle comes for: by habit, season, age, and what already protects it."""
        month = (day + timedelta(days=10)).month
        coated = any(
            self._catalog.supplies[layer.supply].protection.startswith("ceramic")
            and layer.ends > day
            for stack in car.layers.values()
            for layer in stack
        )
        weights = []
        for wish in self._catalog.wishes:
            weight = wish.weight * wish.months.get(month, 1.0)
            if car.habit.name not in wish.kinds:
                weight *= 0.08
            if wish.old != car.old:
                weight *= 0.0 if wish.old else 0.5
            if coated and any(s.coats or "polish" in s.name.lower() for s in wish.services):
                weight = 0.0
            if wish.old and car.visits:
                weight *= 0.05
            weights.append(weight)
        return self._rng.choices(self._catalog.wishes, weights)[0]

    def book(
        self,
        car: Car,
        services: tuple[ServiceItem, ...],
        title: str,
        booked_on: date,
        wanted: date,
        *,
        condition: str = "",
        fixed: bool = False,
    ) -> Plan:
        """Write a job into the diary, on the first day from `wanted` on that has room."""
        condition = condition or self._condition(car)
        outside, inside = car.sizes
        sold = [Sold(one.id, one.minutes, one.outside) for one in services]
        minutes = list_minutes(sold, outside, inside, condition, self._factors)
        by_list = sum(minutes.values())
        main = main_service(minutes) or services[0].id
        usually = expected_hours(by_list, self._ratios.get(main, ())).minutes
        shares = sum(minutes[one.id] * PROMISED.get(one.name, 1.0) for one in services)
        promised = max(5, round(usually * shares / by_list / 5) * 5) if by_list else usually
        place = self._calendar.at_or_after(max(wanted, booked_on))
        while True:
            portions = self._portions(services, minutes, place)
            days = tuple(sorted({one.day for one in portions}))
            if fixed or self._fits(portions, days) or place >= len(self._calendar.workdays) - 6:
                break
            place += 1
        plan = Plan(
            id=self._rows.number(Job),
            car=car,
            payer=car.owner,
            title=title,
            services=services,
            condition=condition,
            booked_on=booked_on,
            days=days,
            portions=portions,
            by_list=by_list,
            expected=promised,
            usually=usually,
            main=main,
        )
        self.plans += 1
        for day in days:
            self.on.setdefault(day, []).append(plan)
        for portion in portions:
            self._load[portion.day] = self._load.get(portion.day, 0.0) + portion.minutes
        car.owner.booked_until = plan.last
        return plan

    def _fits(self, portions: tuple[Portion, ...], days: tuple[date, ...]) -> bool:
        """Whether there is room, and the days that the demo needs stay as it needs them."""
        calendar = self._calendar
        if len(days) > 1 and days[0] <= calendar.left_open <= days[-1]:
            return False
        if self._small and calendar.today in days:
            return False
        if len(days) > 1 and days[0] <= calendar.today <= days[-1]:
            return False
        return all(
            self._load.get(one.day, 0.0) + one.minutes
            <= (self._room if one.day < calendar.today else min(self._room, AHEAD))
            for one in portions
        )

    def _portions(
        self, services: tuple[ServiceItem, ...], minutes: dict[int, float], place: int
    ) -> tuple[Portion, ...]:
        """Which part of which service is done on which day, from this place in the calendar on."""
        portions: list[Portion] = []
        clock = 0.0
        for service in services:
            left = whole = minutes[service.id]
            if service.coats and clock > LATEST_COAT:
                place, clock = place + 1, 0.0
            while left > 0:
                # A rest of half an hour is finished the same evening.
                here = left if left <= A_DAY + 40 - clock else max(0.0, A_DAY - clock)
                if here > 0:
                    before, after = 1 - left / whole, 1 - (left - here) / whole
                    count = len(service.steps)
                    portions.append(
                        Portion(
                            service,
                            self._calendar.workdays[min(place, len(self._calendar.workdays) - 1)],
                            here,
                            here / whole,
                            round(before * count),
                            round(after * count),
                        )
                    )
                left -= here
                clock += here
                if left > 0:
                    place, clock = place + 1, 0.0
        return tuple(portions)

    def _condition(self, car: Car) -> str:
        shares = {
            "regular": (70, 28, 2, 0),
            "seasonal": (6, 76, 16, 2),
            "yearly": (1, 64, 30, 5),
            "once": (0, 52, 38, 10),
            "fleet": (0, 86, 14, 0),
        }[car.habit.name]
        return self._rng.choices(CONDITIONS, shares)[0]


def _season(day: date) -> float:
    """Busier from April to July and before the winter, slack in January and February."""
    return {1: 0.75, 2: 0.78, 3: 0.98, 4: 1.15, 5: 1.2, 6: 1.12, 7: 1.05, 8: 0.98, 9: 0.98,
            10: 1.1, 11: 1.05, 12: 0.82}[day.month]  # fmt: skip

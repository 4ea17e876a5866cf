"""The made-up shop's story, told day by day into a new book."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from random import Random

from app.actions.desk.settings import HOURS_CONDITION, HOURS_INSIDE, HOURS_OUTSIDE
from app.actions.jobs.enquiries import CALLED_OFF
from app.calculations.numbers.durations import shown_duration
from app.calculations.numbers.instants import day_of
from app.calculations.numbers.money import shown_money
from app.calculations.numbers.wording import count_of
from app.calculations.plan.expected_hours import HourFactors
from app.calculations.plan.expected_use import recipe_amount
from app.demo.bench import Bench, Worked
from app.demo.billing import Billing
from app.demo.calendar import calendar
from app.demo.costs import Costs
from app.demo.diary import Diary, Plan
from app.demo.last_days import AGREED, LastDays
from app.demo.laundry import Laundry
from app.demo.letters import Letters
from app.demo.lists import read_catalog
from app.demo.purchasing import Purchasing
from app.demo.quoting import Quotes
from app.demo.rows import Clock, Rows
from app.demo.scene import Part, Scene
from app.demo.shelf import Shelf
from app.demo.till import Line, Till
from app.demo.town import Car, Town
from app.demo.writing_lists import write_lists
from app.errors import Mendable
from app.records.book import Book
from app.records.models import DaySheet, Job, JobService

LONGEST_YEARS = 40.0
LONG = 240  # minutes; a longer job is promised for the noon after it
FLEET_WAY = 20  # minutes to a yard and back, for each vehicle of the fleet
STATIONS = ("jobs", "supplies", "money", "orders", "reminders")
Progress = Callable[[int, int], None]


@dataclass(frozen=True)
class Built:
    """What was made."""

    path: Path
    today: date
    days: int
    customers: int
    jobs: int
    rows: int


def build_demo(
    path: Path,
    years: float = 2,
    jobs_per_week: float = 8,
    seed: int = 1,
    today: date | None = None,
    progress: Progress | None = None,
) -> Built:
    """Write a made-up shop into a new book; the same seed and day make the same shop.

    Parameters
    ----------
    path
        Where the book is to stand; `Mendable` where a file stands already.
    years, jobs_per_week
        How long and how busy the shop has been.
    today
        The day that stands open; the date in the shop's own zone by default.
    progress
        Called with (days told, days in all) as the story goes on; what it raises stops the story
        and leaves no book behind.
    """
    if not 0 < years <= LONGEST_YEARS:
        raise Mendable(f"The made-up shop can be up to {LONGEST_YEARS:g} years old; say fewer.")
    if not 0 < jobs_per_week <= 500:
        raise Mendable("The made-up shop does up to 500 jobs a week; say a number from 1 to 500.")
    catalog = read_catalog()
    if today is None:
        today = day_of(datetime.now(UTC), catalog.settings["zone"])
    path = Path(path)
    book = Book.create(path)
    try:
        with book, book.load() as session:
            rows, rng = Rows(session), Random(seed)
            scene = Scene(
                catalog=catalog,
                calendar=calendar(today, years, rng),
                rows=rows,
                clock=Clock(catalog.settings["zone"]),
                rng=rng,
                factors=HourFactors(HOURS_OUTSIDE, HOURS_INSIDE, HOURS_CONDITION),
                jobs_per_week=jobs_per_week,
            )
            story = _Story(scene)
            story.tell(progress)
            rows.finish()
    except BaseException:
        for name in (path, path.with_name(path.name + "-wal"), path.with_name(path.name + "-shm")):
            name.unlink(missing_ok=True)
        raise
    return Built(
        path, today, len(story.calendar.past), len(story.town.people), story.diary.plans,
        rows.written,
    )  # fmt: skip


class _Story(Part):
    def __init__(self, scene: Scene) -> None:
        super().__init__(scene)
        self._jobs_per_week = scene.jobs_per_week
        self.calendar = scene.calendar
        self.town = Town(scene)
        self.diary = Diary(scene, self.town)
        self._shelf = Shelf(scene, Laundry(scene))
        self._purchasing = Purchasing(scene, self._shelf)
        self._quotes, self._billing = Quotes(scene), Billing(scene)
        self._last_days = LastDays(scene, self.town, self.diary, self._quotes.asked)
        self._till = Till(scene)
        self._costs = Costs(scene, self._till)
        self._agreed: dict[int, tuple[list[Line], int]] = {}  # of a job: its charges, their sum
        self._bench = Bench(
            scene, self._shelf, lambda car, layer, gone: self._letters.layer(car, layer, gone)
        )
        self._letters = Letters(scene, self.town, self._bench.middle_life, self.diary.expects)
        self._plans: list[Plan] = []

    def tell(self, progress: Progress | None) -> None:
        """From the first day to today."""
        past = self.calendar.past
        priced_on = past[max(0, len(past) - 60)]
        write_lists(self._rows, self._catalog, past[0], priced_on)
        self._found(past[0])
        self._costs.found(past[0])
        for number, day in enumerate(past, start=1):
            self._day(day, number)
            if progress is not None:
                progress(number, len(past))
        self._end()

    # Beginning

    def _found(self, day: date) -> None:
        """The customers who came before the book began, the fleets, and the shelf as counted."""
        rng = self._rng
        fleets = self._catalog.fleets[: max(1, min(10, round(self._jobs_per_week / 6)))]
        for item in fleets:
            firm = self.town.fleet(item, day - timedelta(days=rng.randint(30, 400)))
            self.diary.expects(firm.vehicles[0], day + timedelta(days=rng.randint(0, 20)))
        for _ in range(round(self._jobs_per_week * 6)):
            since = day - timedelta(days=rng.randint(20, 700))
            car = self.town.newcomer(day, since=since)
            car.held_since = since
            for one in car.owner.vehicles:
                self.diary.expects(one, day + timedelta(days=rng.randint(0, 200)))
        self._shelf.found(day, self._usual_use(), self._purchasing.price)

    def _usual_use(self) -> dict[int, float]:
        """What a workday takes of each supply, by what people wish for."""
        total = sum(wish.weight for wish in self._catalog.wishes)
        per_day: dict[int, float] = {}
        for wish in self._catalog.wishes:
            jobs = self._jobs_per_week / 5.33 * wish.weight / total
            for service in wish.services:
                for line in service.lines:
                    amount = recipe_amount(line.amount, line.scaling, "M", "average")
                    per_day[line.supply] = per_day.get(line.supply, 0.0) + jobs * amount
        return per_day

    # A day

    def _day(self, day: date, page: int) -> None:
        calendar, shelf = self.calendar, self._shelf
        open_day = day in (calendar.today, calendar.left_open)
        worked, taken = Worked(), 0
        numbers: dict[str, int | None] = {"cash_counted": None, "driven": 0}
        if day != calendar.today:
            self._purchasing.morning(day)
        if not open_day:
            shelf.throw_out_expired(day)
            self._letters.morning(day)
            worked = self._bench.work(self.diary.on.get(day, []), day)
            for plan in self.diary.on.get(day, []):
                if plan.first == day:
                    self._quotes.begun(plan, day)
                if plan.last == day:
                    self._finish(plan, day)
            for plan, owed in self._billing.evening(day):
                if plan.payer.fleet is not None:
                    self._till.owes(plan, owed)
        self._bookings(day)
        if not open_day:
            taken = self._till.take(day)
            self._evening(day)
            before = calendar.workdays[max(0, calendar.place[day] - 1)]
            numbers = self._costs.evening(day, before.month != day.month)
        self._sheet(day, page, worked, taken, open_day, numbers)

    def _finish(self, plan: Plan, day: date) -> None:
        """The job is done and paid or not; its people will come again, or not."""
        car, rng = plan.car, self._rng
        self.diary.learned(plan)
        charges, gross = self._agreed.pop(plan.id)
        self._billing.done(plan, charges, gross)
        self._till.done(plan, day)
        self._row(plan, "done", day)
        car.visits += 1
        plan.payer.last_visit = day
        plan.payer.unanswered = 0
        if plan.payer.fleet is not None:
            return
        self._next_visit(car, day)
        if rng.random() < 0.006 and car.held and car in plan.payer.vehicles:
            self.town.sell(car, day + timedelta(days=1))

    def _next_visit(self, car: Car, day: date) -> None:
        if self._rng.random() >= car.habit.gone:
            low, high = car.habit.days
            self.diary.expects(car, day + timedelta(days=self._rng.randint(low, high) - 8))

    def _bookings(self, day: date) -> None:
        calendar = self.calendar
        if day == calendar.workdays[max(0, calendar.place[calendar.today] - 14)]:
            for plan in self._last_days.bookings(day):
                tomorrow = plan.first > calendar.today
                self._booked(plan, agreed=tomorrow)
                if tomorrow:
                    self._last_days.agreed(plan)
        if day == calendar.today:
            return
        for plan in self.diary.take_bookings(day):
            self._booked(plan)
            if plan.payer.fleet is None and self._rng.random() < 0.03 and plan.first > day:
                self._cancel(plan)

    def _booked(self, plan: Plan, agreed: bool = False) -> None:
        self._rows.add(
            Job,
            id=plan.id,
            number=plan.id,
            vehicle_id=plan.car.id,
            customer_id=plan.payer.id,
            title=plan.title,
            state="booked",
            condition=plan.condition,
            booked_on=plan.booked_on,
            first_day=plan.first,
            last_day=plan.last,
            promised_at=self._promised(plan),
            begins_at=self._clock.at(plan.first, AGREED) if agreed else None,
            place="" if plan.payer.fleet is None else "yard",
            travel_minutes=0 if plan.payer.fleet is None else FLEET_WAY,
            expected_minutes=plan.expected,
        )
        for service in plan.services:
            self._rows.add(JobService, job_id=plan.id, service_id=service.id)
        charges, gross = self._agreed[plan.id] = self._till.charge(plan)
        self._quotes.booked(plan, charges, gross)
        self._need(plan, 1)
        self._plans.append(plan)

    def _promised(self, plan: Plan) -> datetime:
        """The evening of its last day; of a long job, and where something then cures, at noon of
        the workday after it."""
        last = plan.services[-1].steps[-1]
        if plan.expected > LONG or last.hold_minutes or any(one.coats for one in plan.services):
            return self._clock.at(self.calendar.after(plan.last), 720)
        return self._clock.at(plan.last, 1020)

    def _need(self, plan: Plan, sign: int) -> None:
        for service in plan.services:
            for line in service.lines:
                supply = self._catalog.supplies[line.supply]
                if supply.by_lot:
                    self._purchasing.booked(line.supply, sign * line.amount)

    def _cancel(self, plan: Plan) -> None:
        plan.cancelled = True
        for day in plan.days:
            self.diary.on[day].remove(plan)
        self._till.forget(plan)
        self._need(plan, -1)
        self._row(plan, "cancelled", None)
        self._next_visit(plan.car, plan.first)

    def _evening(self, day: date) -> None:
        shelf, rng = self._shelf, self._rng
        if rng.random() < 0.02:
            shelf.spill(day)
        following = self.calendar.after(day)
        if following.month != day.month:
            shelf.count_some(day, 0.55)
        elif day.day in (14, 15, 16) and day.weekday() == 3:
            shelf.count_some(day, 0.2)
        shelf.evening(day)
        self._purchasing.evening(day)
        self._letters.write_some(day)
        shelf.snapshot(day)
        if rng.random() < 0.0016 * self._jobs_per_week / 8:
            rng.choice(self.town.people).columns["deceased"] = True

    def _sheet(
        self,
        day: date,
        page: int,
        worked: Worked,
        taken: int,
        open_day: bool,
        numbers: dict[str, int | None],
    ) -> None:
        rng = self._rng
        right = [
            name
            for name in STATIONS
            if (worked.confirmed if name == "supplies" else rng.random() < 0.8)
        ]
        currency = self._catalog.settings["currency"]
        summary = (
            f"{count_of(worked.jobs, 'job')}, {shown_duration(worked.minutes)}, "
            f"supplies {shown_money(worked.cost, currency)}, taken {shown_money(taken, currency)}"
        )
        columns = dict(
            day=day,
            page=page,
            state="open" if open_day else "closed",
            stations=[] if open_day else right,
            opened_at=self._clock.at(day, 505),
            closed_at=None if open_day else self._clock.at(day, rng.randint(1070, 1150)),
            seconds=0 if open_day else rng.randint(75, 215),
            times_closed=0 if open_day else 1,
            summary="" if open_day else summary,
            **numbers,
        )
        self._rows.put(DaySheet, columns)  # a day is its own key

    # End

    def _row(self, plan: Plan, state: str, done_on: date | None) -> None:
        self._rows.change(
            Job,
            plan.id,
            state=state,
            done_on=done_on,
            drift_reason=self._bench.drift_reason(plan) if state == "done" else "",
            ended_because=CALLED_OFF[plan.id % 3] if state == "cancelled" else "",
        )
        if done_on is not None:
            self._need(plan, -1)

    def _end(self) -> None:
        """What is not done yet, and everything that could still change until now."""
        calendar = self.calendar
        for plan in self._plans:
            if plan.cancelled:
                continue
            done = plan.last < calendar.today and plan.last != calendar.left_open
            if done:
                continue
            self._bench.to_do(plan)
            if plan.steps_written:
                self._row(plan, "working", None)
        self._quotes.waiting()
        self._last_days.enquiries()
        self._last_days.waiting()
        self._last_days.reasons()
        self._letters.write()
        self._shelf.write()
        self._purchasing.write()
        self.town.write()

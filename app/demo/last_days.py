"""What the demo has to show when it opens, whatever the years before brought."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta

from app.demo.diary import Diary, Plan
from app.demo.scene import Part, Scene
from app.demo.town import Car, Town
from app.records.models import Job, JobMove, JobService

AGREED = 510  # minutes after midnight, of the job of tomorrow


class LastDays(Part):
    """Today's jobs, an enquiry or two, and someone of each kind who is not written to."""

    def __init__(
        self, scene: Scene, town: Town, diary: Diary, quoted: Callable[[int, date], None]
    ) -> None:
        super().__init__(scene)
        self._quoted = quoted
        self._town = town
        self._diary = diary

    def bookings(self, day: date) -> list[Plan]:
        """What the demo opens on: a coating on its second day, a wash and leather; and near it."""
        calendar, services = self._calendar, self._catalog.services
        wanted = (
            (("Upkeep wash", "Decontamination", "One-step polish", "Two-year coating"),
             "One-step polish, two-year coating", calendar.yesterday),
            (("Upkeep wash", "Spray sealant"), "Wash and spray sealant", calendar.left_open),
            (("Upkeep wash", "Light interior"), "Wash and light interior", calendar.today),
            (("Light interior", "Leather care"), "Leather care", calendar.today),
            (("Upkeep wash", "Decontamination", "Sealant"), "Decontamination and sealant",
             calendar.after(calendar.today)),
        )  # fmt: skip
        made = []
        for names, title, first in wanted:
            car = self._medium(day)
            plan = self._diary.book(
                car, tuple(services[name] for name in names), title, day, first,
                condition="average", fixed=True,
            )  # fmt: skip
            made.append(plan)
        return made

    def _medium(self, day: date) -> Car:
        """Someone of medium size who is not booked; a newcomer where there is none."""
        for car in self._town.cars:
            owner = car.owner
            free = owner.booked_until is None or owner.booked_until < day
            if (
                car.held
                and free
                and owner.fleet is None
                and owner.writable
                and car.visits
                and not car.old
                and car.sizes == ("M", "M")
                and not any(car.layers.values())
            ):
                return car
        while True:
            car = self._town.newcomer(day)
            if car.sizes == ("M", "M"):
                return car

    def enquiries(self) -> None:
        """Two people asked, and have no day yet; the first waits with an estimate."""
        asked, first = self._calendar.yesterday, self._rows.last(Job) + 1
        for days, wanted in ((9, "before winter"), (2, "a Saturday, if it goes")):
            car = self._town.newcomer(self._calendar.yesterday)
            number = self._rows.number(Job)
            self._rows.add(
                Job, id=number, number=number, vehicle_id=car.id, customer_id=car.owner.id,
                title="A coating", state="enquiry",
                asked_on=asked - timedelta(days=days), wanted=wanted,
                notes="Wants to come by for a look first.",
            )  # fmt: skip
            if number == first:
                self._quoted(number, asked - timedelta(days=days - 2))

    def agreed(self, plan: Plan) -> None:
        """The job of tomorrow was agreed to the minute, and moved there as its owner asked."""
        yesterday, begins = self._calendar.yesterday, self._clock.at(plan.first, AGREED)
        self._rows.add(
            JobMove, job_id=plan.id, day=yesterday, at=self._clock.at(yesterday, 990),
            kind="moved", asked_by="customer", before=begins - timedelta(days=1), after=begins,
            note="needs it a day longer",
        )  # fmt: skip

    def waiting(self) -> None:
        """Someone is booked and has no day yet."""
        yesterday = self._calendar.yesterday
        car = self._town.newcomer(yesterday)
        number, service = self._rows.number(Job), self._catalog.services["Upkeep wash"]
        self._rows.add(
            Job, id=number, number=number, vehicle_id=car.id, customer_id=car.owner.id,
            title="Wash, on any day that falls free", state="booked", booked_on=yesterday,
            expected_minutes=service.minutes,
        )  # fmt: skip
        self._rows.add(JobService, job_id=number, service_id=service.id)

    def reasons(self) -> None:
        """Someone has died, said stop, said later: to be seen in the youngest shop too."""
        today = self._calendar.today
        wanted: list[Callable[[dict[str, object]], None]] = [
            lambda columns: columns.update(deceased=True),
            lambda columns: columns.update(stopped_on=today - timedelta(days=40)),
            lambda columns: columns.update(later_until=today + timedelta(days=75)),
        ]
        for car in self._town.cars:
            if not wanted:
                return
            owner = car.owner
            worn = any(s and (today - s[0].applied).days > 250 for s in car.layers.values())
            busy = owner.booked_until is not None and owner.booked_until >= today
            if worn and car.held and not busy and owner.writable and owner.fleet is None:
                wanted.pop(0)(owner.columns)

"""The reminders that the made-up shop sent over the years, and what came back."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from heapq import heappop, heappush

from app.actions.letters.letter_wording import WorkDone, compose
from app.calculations.numbers.dates import near
from app.demo.scene import Part, Scene
from app.demo.town import Car, Person, StandingLayer, Town
from app.records.models import Reminder, ReminderEvent, ReminderItem

SLACK_DAYS = 9  # in the last days few were written, so that some are due when the demo opens
QUIET = ("trim coating", "glass coating")  # no reason to write of themselves
ANSWERS = (
    ("booked", 24), ("later", 7), ("fine", 5), ("no", 4), ("sold", 2.5), ("stop", 1.2),
    ("undeliverable", 1.6), ("moved", 1.2), ("", 53.5),
)  # fmt: skip


@dataclass
class Message:
    """A reminder on its way."""

    id: int
    person: Person
    car: Car
    day: date
    channel: str
    answer: str = ""
    answered_on: date | None = None


class Letters(Part):
    """Writes to a household when a layer is about to wear out, and takes the answers."""

    def __init__(
        self,
        scene: Scene,
        town: Town,
        middle_life: Callable[[Car, int], float],
        expects: Callable[[Car, date], None],
    ) -> None:
        super().__init__(scene)
        self._town = town
        self._middle_life = middle_life
        self._expects = expects
        self._due: list[tuple[date, int, int, str]] = []
        self._answers: dict[date, list[Message]] = {}
        self._messages: list[Message] = []

    def layer(self, car: Car, layer: StandingLayer, gone: date | None) -> None:
        """A layer was put on, or seen gone on a day: when it should be written about."""
        if car.owner.fleet is not None or self._catalog.supplies[layer.supply].protection in QUIET:
            return
        when = layer.applied + timedelta(days=round(0.8 * self._middle_life(car, layer.supply)))
        if gone is not None:
            when = gone + timedelta(days=31)
        heappush(self._due, (when, car.id, layer.event, layer.group))

    def morning(self, day: date) -> None:
        """Answers that came."""
        for message in self._answers.pop(day, ()):
            self._take(message, day)

    def write_some(self, day: date) -> int:
        """Tuesday to Thursday: write to those whose time has come; how many."""
        if day.weekday() not in (1, 2, 3):
            return 0
        written = 0
        slack = (self._calendar.today - day).days <= SLACK_DAYS
        while self._due and self._due[0][0] <= day:
            when, car_id, event, group = heappop(self._due)
            car = self._town.cars[car_id - 1]
            layer = self._standing(car, event, group)
            if layer is None or not car.held or car.leaves_by(day):
                continue
            wait = self._wait(car.owner, day)
            if wait is not None:
                if wait <= day + timedelta(days=500):
                    heappush(self._due, (wait, car_id, event, group))
                continue
            if slack and self._rng.random() > 0.3:
                heappush(self._due, (when + timedelta(days=SLACK_DAYS), car_id, event, group))
                continue
            self._write(car, layer, day)
            heappush(self._due, (day + timedelta(days=40), car_id, event, group))
            written += 1
        return written

    def write(self) -> None:
        """What became of the messages."""
        for one in self._messages:
            if one.answer:
                self._rows.change(
                    Reminder,
                    one.id,
                    state="answered",
                    answer=one.answer,
                    answered_on=one.answered_on,
                )

    def _standing(self, car: Car, event: int, group: str) -> StandingLayer | None:
        for layer in car.layers.get(group, ()):
            if layer.event == event:
                return layer
        return None

    def _wait(self, person: Person, day: date) -> date | None:
        """Until when this person is left in peace; None when they may be written to."""
        columns = person.columns
        reachable = bool(columns["email"] or columns["street"] or columns["phone"])
        if not person.writable or not reachable:
            return date.max
        later = columns["later_until"]
        if later is not None and later > day:
            found: date = later
            return found
        if person.booked_until is not None and person.booked_until >= day:
            return person.booked_until + timedelta(days=40)
        if person.last_visit is not None and (day - person.last_visit).days < 31:
            return person.last_visit + timedelta(days=31)
        if person.letters:
            since = (day - person.letters[-1]).days
            if person.unanswered >= 2 and since < 366:
                return person.letters[-1] + timedelta(days=366)
            if since < 38:
                return person.letters[-1] + timedelta(days=38)
            if len(person.letters) > 3 and (day - person.letters[-4]).days < 366:
                return person.letters[-4] + timedelta(days=366)
        return None

    def _write(self, car: Car, layer: StandingLayer, day: date) -> None:
        rng = self._rng
        person = car.owner
        supply = self._catalog.supplies[layer.supply].name
        middle = self._middle_life(car, layer.supply)
        first = layer.applied + timedelta(days=round(0.78 * middle))
        last = layer.applied + timedelta(days=round(middle))
        subject, text = compose(
            "", "", name=person.columns["name"],
            works=[WorkDone(car.columns["description"], supply, layer.applied)],
            due_from=first, due_to=last,
            shop=self._catalog.settings["shop_name"], today=day,
        )  # fmt: skip
        columns = person.columns
        ways = [
            word
            for word, there in (
                ("mail", columns["email"] and columns["email_bad_since"] is None),
                ("letter", columns["street"] and columns["address_bad_since"] is None),
                ("phone", columns["phone"]),
            )
            if there
        ] or ["phone"]
        asked = columns["asks_by"]
        number = self._rows.number(Reminder)
        channel = asked if asked in ways else ways[0]
        message = Message(number, person, car, day, channel)
        self._messages.append(message)
        reason = f"{supply} of {near(layer.applied, day)}, expected to fade about {near(last, day)}"
        self._rows.add(
            Reminder,
            id=number,
            customer_id=person.id,
            day=day,
            channel=channel,
            state="sent",
            subject=subject[:200],
            text=text,
            reason=reason[:300],
            sent_on=day,
            uid=f"reminder-{number}@rushhollow.example.com",
        )
        self._rows.add(
            ReminderItem, reminder_id=message.id, vehicle_id=car.id, layer_event_id=layer.event
        )
        self._event(message, day, "prepared", 1080)
        self._event(message, day, "sent", 1085)
        person.letters.append(day)
        person.unanswered += 1
        answer = rng.choices([word for word, _ in ANSWERS], [n for _, n in ANSWERS])[0]
        when = self._calendar.workdays[
            self._calendar.at_or_after(day + timedelta(days=rng.randint(1, 17)))
        ]
        if answer and when <= self._calendar.yesterday and when != self._calendar.left_open:
            message.answer = answer
            self._answers.setdefault(when, []).append(message)

    def _take(self, message: Message, day: date) -> None:
        rng = self._rng
        person, car = message.person, message.car
        answer = message.answer
        message.answered_on = day
        person.unanswered = 0
        self._event(message, day, "answered", 560, answer)
        if answer == "booked":
            self._expects(car, day)
        elif answer == "later":
            person.columns["later_until"] = day + timedelta(days=rng.randint(50, 160))
        elif answer == "stop":
            person.columns["stopped_on"] = day
        elif answer in ("undeliverable", "moved"):
            where = "email_bad_since" if message.channel == "mail" else "address_bad_since"
            person.columns[where] = day
        elif answer == "sold" and car.held and car in person.vehicles:
            self._town.sell(car, day)

    def _event(self, message: Message, day: date, kind: str, minutes: int, note: str = "") -> None:
        self._rows.add(
            ReminderEvent,
            reminder_id=message.id,
            day=day,
            at=self._clock.at(day, minutes),
            kind=kind,
            note=note,
        )

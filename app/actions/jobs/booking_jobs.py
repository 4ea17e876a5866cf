"""Booking a job: who, what vehicle, what is sold, when; and what is sold on it later."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, datetime, time

from app.actions.desk.desk import NOTHING, Changed, Desk, there
from app.actions.desk.open_day import LEARNT, numbered
from app.actions.desk.settings import CONDITIONS
from app.actions.desk.typed_days import still_promised
from app.actions.jobs.charge_tax import Exemption, exemption_of, new_rate, tax_day, who_pays
from app.actions.jobs.estimates import SoldLine, estimate
from app.actions.plan.job_hours import minutes_of_steps
from app.actions.plan.job_plan import days_off, working_weekdays
from app.actions.plan.load import asked_of
from app.actions.stock.neighbors import job_caution
from app.calculations.numbers.dates import near
from app.calculations.numbers.durations import DAY_MINUTES, shown_duration
from app.calculations.plan.visit_days import next_workday
from app.errors import Mendable
from app.records.asking import to_write
from app.records.models import Charge, Customer, Job, JobMove, JobService, JobStep, Service, Vehicle
from app.records.queries import jobs as queries
from app.records.queries import services as service_queries
from app.records.queries.jobs import Session

KINDS = frozenset({"jobs", "money", "days"})
LONGEST_VISIT = 60  # days


@dataclass(frozen=True, kw_only=True)
class NewJob:
    """A job as it is booked; nothing but the customer or the vehicle is needed.

    `services` are (service, layers); `first_day` none means no day yet; `minutes` and `price`
    replace what is expected of the services. `of_enquiry` is the enquiry that becomes the job.
    """

    customer_id: int | None = None
    vehicle_id: int | None = None
    services: tuple[tuple[int, int], ...] = ()
    first_day: date | None = None
    last_day: date | None = None
    condition: str = "average"
    promised_at: datetime | None = None
    begins_at: datetime | None = None  # agreed to the minute, on its first day
    place: str = ""  # bay, outside, yard; as its services say
    travel_minutes: int = 0  # there and back
    title: str = ""
    notes: str = ""
    minutes: int | None = None
    enquiry: bool = False
    of_enquiry: int | None = None


@contextmanager
def changing(
    desk: Desk, name: str, kinds: frozenset[str] = KINDS, day: date | None = None
) -> Iterator[Session]:
    """A change of jobs, which leaves standing what was learnt from closed ones."""
    with (
        desk.still_standing(LEARNT),
        desk.book.change(name, day=day or desk.today, kinds=kinds, at=desk.clock()) as session,
    ):
        yield session


@dataclass(frozen=True)
class Whose:
    """What a job's customer and vehicle mean for it; sizes are outside and inside."""

    customer: str
    exemption: Exemption
    vehicle: str
    sizes: tuple[str, str]


def whose_of(session: Session, customer_id: int | None, vehicle_id: int | None) -> Whose:
    """A customer and a vehicle, of which either may be missing; `Mendable` where one is gone."""
    customer = session.get(Customer, customer_id) if customer_id else None
    vehicle = session.get(Vehicle, vehicle_id) if vehicle_id else None
    if customer_id and customer is None:
        raise Mendable("This customer is not in the book any more; choose another.")
    if vehicle_id and vehicle is None:
        raise Mendable("This vehicle is not in the book any more; choose another.")
    return Whose(
        customer.name if customer else "",
        exemption_of(who_pays(session, customer)),
        vehicle.description if vehicle else "",
        (vehicle.size_outside, vehicle.size_inside) if vehicle else ("M", "M"),
    )


def ended_question(desk: Desk, job: Job, whose: Whose) -> str:
    """What is asked of a certificate that has ended by the job's day; empty where none has."""
    ended = whose.exemption.ended_words(whose.customer, tax_day(desk, job))
    return f"{ended}; until then the lines have tax." if ended else ""


def usual_last_day(desk: Desk, first: date, minutes: int) -> date:
    """The day on which work of so many minutes ends when it begins on `first`."""
    a_day = max(1, desk.settings.hours_a_day) * 60
    last = first
    weekdays, off = working_weekdays(desk), days_off(desk)
    for _ in range(min(LONGEST_VISIT, max(0, -(-minutes // a_day) - 1))):
        last = next_workday(last, weekdays, off)
    return last


def book_job(desk: Desk, new: NewJob) -> tuple[Changed, int]:
    """Book a job; its steps and charges are copied from its services.

    An enquiry keeps its number and its words. Raises `Mendable` without a customer or vehicle, for
    days in the wrong order, and for what is not in the book any more.
    """
    if new.customer_id is None and new.vehicle_id is None:
        raise Mendable("A job needs a customer or a vehicle; the rest can wait.")
    check_condition(new.condition)
    check_place(new.place, new.travel_minutes)
    with desk.book.reading() as session:
        whose = whose_of(session, new.customer_id, new.vehicle_id)
        asked = job_of(session, new.of_enquiry) if new.of_enquiry is not None else None
        if asked is not None and asked.state != "enquiry":
            raise Mendable(f"{numbered(asked.number)} is no enquiry any more; open it on Jobs.")
        number = asked.number if asked is not None else queries.next_number(session)
    guess = estimate(desk, new.services, *whose.sizes, new.condition)
    minutes = guess.minutes if new.minutes is None else new.minutes
    first, last = new.first_day, new.last_day
    if new.begins_at is not None:
        first = desk.day_of(new.begins_at)
    if first is not None and last is None:
        last = usual_last_day(desk, first, minutes)
    check_days(first, last)
    when = f" for {near(first, desk.today)}" if first else ""
    noted = "Enquiry" if new.enquiry else "Booked"
    name = f"{noted} {numbered(number)}, {whose.customer or whose.vehicle}{when}"
    with changing(desk, name) as session:
        if new.of_enquiry is None:
            job = Job(number=number, asked_on=desk.today if new.enquiry else None)
            session.add(job)
        else:
            job = session.get_one(Job, new.of_enquiry)
        job.customer_id, job.vehicle_id = new.customer_id, new.vehicle_id
        job.title = new.title.strip()[:200]
        job.state = "enquiry" if new.enquiry else "booked"
        job.condition = new.condition
        job.booked_on = None if new.enquiry else desk.today
        job.first_day, job.last_day, job.promised_at = first, last, new.promised_at
        job.begins_at, job.place = new.begins_at, new.place
        job.travel_minutes = new.travel_minutes
        job.expected_minutes, job.notes = minutes, new.notes.strip()
        session.flush()
        for line in guess.lines:
            copy_service(session, desk, job, line, whose.exemption)
        job_id = job.id
        asked_anew = ended_question(desk, job, whose)
    sentence = f"{name}: {shown_duration(minutes)} expected"
    caution = job_caution(desk, [line.service_id for line in guess.lines])
    caution = " ".join(filter(None, (caution, asked_anew)))
    return Changed(name, KINDS, sentence=sentence, question=caution), job_id


def copy_service(
    session: Session, desk: Desk, job: Job, line: SoldLine, exemption: Exemption
) -> None:
    """Put a service on a job: what was sold, its steps after those that stand, and its charge."""
    job_id = job.id
    session.add(JobService(job_id=job_id, service_id=line.service_id, layers=line.layers))
    steps = to_write(session, JobStep, job_id=job_id)
    position = max((step.position for step in steps), default=0)
    template = service_queries.steps_of_service(session, line.service_id)
    # A layer is put on as often as it was sold.
    often = [line.layers if step.effect == "applies" else 1 for step in template]
    each = iter(minutes_of_steps(template, often, line.minutes))
    for step, times in zip(template, often, strict=True):
        for coat in range(times):
            position += 1
            session.add(
                JobStep(
                    job_id=job_id,
                    position=position,
                    name=step.name if times == 1 else f"{step.name}, layer {coat + 1}",
                    minutes=next(each),
                    hold=step.hold,
                    hold_minutes=step.hold_minutes,
                    effect=step.effect,
                    supply_id=step.supply_id,
                    surface_groups=list(step.surface_groups),
                )
            )
    if line.price:
        text = line.name if line.layers <= 1 else f"{line.name}, {line.layers} layers"
        session.add(
            Charge(
                job_id=job_id,
                position=last_charge(session, job_id) + 1,
                text=text[:200],
                amount=line.price,
                tax_rate=new_rate(desk, job, line.tax_kind, exemption),
                tax_kind=line.tax_kind,
                service_id=line.service_id,
            )
        )
    session.flush()


def sell(desk: Desk, job_id: int, service_id: int, layers: int = 1) -> Changed:
    """Sell another service on a job: its steps, its charge and its hours come with it."""
    with desk.book.reading() as session:
        job = job_of(session, job_id)
        whose = whose_of(session, job.customer_id, job.vehicle_id)
        there(session.get(Service, service_id), "This service")
        number, condition = numbered(job.number), job.condition
    layers = max(1, min(layers, 9))
    line = estimate(desk, [(service_id, layers)], *whose.sizes, condition).lines[0]
    name = f"{line.name} on {number}"
    with changing(desk, name) as session:
        job = session.get_one(Job, job_id)
        copy_service(session, desk, job, line, whose.exemption)
        expect_again(session, desk, job_id, whose.sizes)
        sold = [one.service_id for one in to_write(session, JobService, job_id=job_id)]
        asked_anew = ended_question(desk, job, whose)
    question = " ".join(filter(None, (job_caution(desk, sold), asked_anew)))
    return Changed(name, KINDS, question=question)


def drop_service(desk: Desk, job_id: int, service_id: int) -> Changed:
    """Take a service off a job, with its charge and those of its steps that are still to do."""
    with desk.book.reading() as session:
        job = job_of(session, job_id)
        service = session.get(Service, service_id)
        sizes = whose_of(session, job.customer_id, job.vehicle_id).sizes
        number, state = numbered(job.number), job.state
        what = service.name if service else "service"
        steps = [step.name for step in service_queries.steps_of_service(session, service_id)]
    if state == "done":
        raise Mendable(f"Job {number} is done; what was sold on it stands.")
    name = f"{what} off {number}"
    with changing(desk, name) as session:
        for step in to_write(session, JobStep, job_id=job_id, state="to do"):
            if step.name.split(", layer ")[0] in steps:
                session.delete(step)
        for model in (JobService, Charge):
            for row in to_write(session, model, job_id=job_id, service_id=service_id):
                session.delete(row)
        session.flush()
        expect_again(session, desk, job_id, sizes)
    return Changed(name, KINDS)


def expect_again(session: Session, desk: Desk, job_id: int, sizes: tuple[str, str]) -> None:
    """Expect of a job that is not done what its services as they stand now will take."""
    job = session.get_one(Job, job_id)
    if job.state in ("done", "cancelled"):
        return
    rows = to_write(session, JobService, job_id=job_id)
    sold = [(one.service_id, one.layers) for one in rows]
    job.expected_minutes = estimate(desk, sold, *sizes, job.condition).minutes


def put_days(
    desk: Desk, job_id: int, first: date | None, last: date | None = None, asked_by: str = ""
) -> Changed:
    """Move a job that is not done to other days; no first day takes it off the calendar.

    Of a booking it is noted what moved, and by whose wish (customer, shop); who waits for a day is
    proposed for the one that falls free.
    """
    with desk.book.reading() as session:
        job = job_of(session, job_id)
        number, state = numbered(job.number), job.state
        before = (job.first_day, job.last_day)
        minutes, begins = job.expected_minutes, job.begins_at
        promised = job.promised_at
        worked = queries.has_work(session, job_id)
    if state in ("done", "cancelled"):
        raise Mendable(f"Job {number} is {state}; its days stand.")
    if first is None and worked:
        raise Mendable(f"Job {number} was worked on already; it keeps a day.")
    if first is not None and last is None:
        if before[0] is not None and before[1] is not None:
            last = first + (before[1] - before[0])
        else:
            last = usual_last_day(desk, first, minutes)
    check_days(first, last)
    if before == (first, last):
        return NOTHING
    where = f"to {near(first, desk.today)}" if first else "off the calendar"
    name = f"Moved {number} {where}"
    with changing(desk, name) as session:
        job = session.get_one(Job, job_id)
        job.first_day, job.last_day = first, last
        job.begins_at = _on_day(desk, begins, first)
        if before[0] not in (None, first) and state == "booked":
            was, now = _begin(desk, before[0], begins), _begin(desk, first, job.begins_at)
            session.add(JobMove(
                job_id=job_id, day=desk.today, at=desk.clock(), kind="moved", asked_by=asked_by,
                before=was, after=now, minutes=0, note="",
            ))  # fmt: skip
    over = asked_of(desk, job_id) if first is not None and state != "enquiry" else ""
    left = freed(desk, before[0], job_id) if before[0] is not None and before[0] != first else ""
    question = " ".join(filter(None, (over, left)))
    return Changed(name, KINDS, still_promised(desk, name, promised, last), question)


def freed(desk: Desk, day: date | None, job_id: int) -> str:
    """Who waits for a day and could come on one that fell free; empty where nobody does."""
    from app.actions.bay.waiting import who_could_come  # numpy, not before the first picture

    return who_could_come(desk, {day} if day is not None else (), without=job_id)


def _on_day(desk: Desk, begins: datetime | None, day: date | None) -> datetime | None:
    """The same time of another day."""
    if begins is None or day is None:
        return None
    hour, minute = map(int, desk.clock_of(begins).split(":"))
    return desk.instant(day, time(hour, minute))


def _begin(desk: Desk, day: date | None, begins: datetime | None) -> datetime | None:
    """When a job begins: as agreed, else when the shop opens on its day."""
    if begins is not None or day is None:
        return begins
    return desk.instant(day, time(*divmod(desk.settings.opens_at, 60)))


def check_place(place: str, travel_minutes: int) -> None:
    """`Mendable` for a place that is none, or a way that takes longer than a day."""
    if place not in ("", "bay", "outside", "yard"):
        raise Mendable("A job is done in the bay, outside, or in the customer’s yard.")
    if not 0 <= travel_minutes <= DAY_MINUTES:
        raise Mendable("The way there and back takes less than a day; type its minutes.")


def check_condition(condition: str) -> None:
    """`Mendable` for a condition that is none."""
    if condition not in CONDITIONS:
        raise Mendable(f"“{condition}” is no condition; say {', '.join(CONDITIONS)}.")


def check_days(first: date | None, last: date | None) -> None:
    """`Mendable` for days in the wrong order, or a visit of half a year."""
    if first is None:
        if last is not None:
            raise Mendable("A job with a last day needs a first one too.")
        return
    if last is not None and last < first:
        raise Mendable("The last day lies before the first; put them in order.")
    if last is not None and (last - first).days > LONGEST_VISIT:
        raise Mendable(f"A visit lasts {LONGEST_VISIT} days at most; book a second job.")


def last_charge(session: Session, job_id: int) -> int:
    """The position of a job's last charge, 0 where it has none."""
    return max((one.position for one in queries.charges_of(session, job_id)), default=0)


def job_of(session: Session, job_id: int) -> Job:
    """The job; `Mendable` where it is gone."""
    return there(session.get(Job, job_id), "This job")


def vehicles_of(desk: Desk, customer_id: int) -> Sequence[tuple[int, str]]:
    """(vehicle, words) of what a customer holds now, for choosing one."""
    from app.records.queries import people

    with desk.book.reading() as session:
        links = people.links_of(session, customer_id=customer_id)
    return [
        (link.vehicle_id, f"{link.year or ''} {link.description} {link.plate}".strip())
        for link in links
        if link.to_day is None and link.archived_on is None
    ]

"""What the made-up shop's jobs cost their customers, and what was paid when and how."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta
from fractions import Fraction

from app.calculations.numbers import tax
from app.demo.diary import Plan
from app.demo.scene import Part, Scene
from app.records.models import Charge, Receipt

DEPOSIT_FROM = 40_000
METHODS = (("card", 62), ("check", 17), ("cash", 15), ("transfer", 6))


@dataclass(frozen=True)
class Payment:
    """Money that will come on a day."""

    plan: Plan
    amount: int
    method: str
    kind: str = "payment"


@dataclass(frozen=True)
class Line:
    """A charge as it stands on a job."""

    charge: int
    text: str
    amount: int
    rate: int
    service: int | None


class Till(Part):
    """Writes charges when a job is booked and receipts when money comes."""

    def __init__(self, scene: Scene) -> None:
        super().__init__(scene)
        self._rate = next(one["rate"] for one in scene.catalog.rates if one["kind"] == "work")
        self._gross: dict[int, int] = {}
        self._taxes: dict[int, int] = {}
        self._coming: dict[date, list[Payment]] = {}
        self.tax_due = 0  # on work done, until it is paid over
        self._cash = self._tips = 0

    def charge(self, plan: Plan) -> tuple[list[Line], int]:
        """The lines of a job, as agreed when it is booked, and its deposit; what they come to."""
        outside, inside = plan.car.sizes
        rate = 0 if plan.payer.columns["tax_exempt_no"] else self._rate
        lines: list[tuple[str, int, int | None]] = []
        for service in plan.services:
            by = self._factors.outside if service.outside else self._factors.inside
            factor = by[outside if service.outside else inside]
            amount = service.price
            if service.name != "Old paint revival":
                amount = _to_five_dollars(service.price * factor)
            lines.append((service.name, amount, service.id))
        net = sum(amount for _, amount, _ in lines)
        if plan.condition in ("neglected", "extreme") and plan.payer.fleet is None:
            share = 0.2 if plan.condition == "neglected" else 0.5
            lines.append(("Extra time for its condition", _to_five_dollars(net * share), None))
        if plan.condition == "kept" and self._rng.random() < 0.5:
            lines.append(("Comes often: a twentieth less", -_to_half_dollar(net * 0.05), None))
        written = []
        for position, (text, amount, service_id) in enumerate(lines):
            charge = self._rows.add(
                Charge,
                job_id=plan.id,
                position=position,
                text=text,
                amount=amount,
                tax_rate=rate,
                tax_kind="work",
                service_id=service_id,
            )
            written.append(Line(charge, text, amount, rate, service_id))
        sums = tax.totals([tax.TaxedLine(amount, Fraction(rate, 1000)) for _, amount, _ in lines])
        gross = self._gross[plan.id] = sums.gross
        self._taxes[plan.id] = sums.tax
        if gross >= DEPOSIT_FROM and plan.payer.fleet is None and self._rng.random() < 0.85:
            plan.deposit = round(gross * 0.25 / 1000) * 1000
            self._later(plan.booked_on, Payment(plan, plan.deposit, self._method(), "deposit"))
        return written, gross

    def done(self, plan: Plan, day: date) -> None:
        """The job is done: most pay at once, some later, a few not yet."""
        rng = self._rng
        self.tax_due += self._taxes.pop(plan.id, 0)
        due = self._gross.pop(plan.id, 0) - plan.deposit
        if due <= 0:
            return
        if plan.payer.fleet is not None:
            self._later(day + timedelta(days=rng.randint(12, 35)), Payment(plan, due, "transfer"))
            return
        chance = rng.random()
        if chance < 0.012:
            return
        wait = 0 if chance > 0.075 else rng.randint(3, 28)
        part = due if rng.random() > 0.01 else due // 2
        self._later(day + timedelta(days=wait), Payment(plan, part, self._method()))
        if part < due:
            self._later(
                day + timedelta(days=wait + rng.randint(9, 40)),
                Payment(plan, due - part, self._method()),
            )
        if wait == 0 and rng.random() < 0.04:
            tip = rng.choice((500, 1000, 1500, 2000, 4000))
            self._later(day, Payment(plan, tip, "cash", "tip"))

    def owes(self, plan: Plan, owed: int) -> None:
        """What a job of a fleet owes by its invoice, and will pay."""
        for waiting in self._coming.values():
            waiting[:] = [
                replace(one, amount=owed) if one.plan is plan and owed else one
                for one in waiting
                if one.plan is not plan or owed
            ]

    def take(self, day: date) -> int:
        """What comes on this day; the sum without tips."""
        taken = 0
        for one in self._coming.pop(day, ()):
            self._rows.add(
                Receipt,
                job_id=one.plan.id,
                customer_id=one.plan.payer.id,
                day=day,
                at=self._clock.at(day, 1010),
                amount=one.amount,
                method=one.method,
                kind=one.kind,
            )
            if one.method == "cash":
                self._cash += one.amount
            if one.kind != "tip":
                taken += one.amount
            else:
                self._tips += one.amount
        return taken

    def taken_in_cash(self) -> tuple[int, int]:
        """(cash, tips of whatever kind) that came since this was asked last."""
        found = self._cash, self._tips
        self._cash = self._tips = 0
        return found

    def forget(self, plan: Plan) -> None:
        """The job will not be: nothing is due, and its deposit never came."""
        self._gross.pop(plan.id, None)
        for waiting in self._coming.values():
            waiting[:] = [one for one in waiting if one.plan is not plan]

    def _later(self, day: date, payment: Payment) -> None:
        calendar = self._calendar
        place = calendar.at_or_after(day)
        if calendar.workdays[place] == calendar.left_open:
            place += 1
        self._coming.setdefault(calendar.workdays[place], []).append(payment)

    def _method(self) -> str:
        return self._rng.choices([m for m, _ in METHODS], [n for _, n in METHODS])[0]


def _to_five_dollars(amount: float) -> int:
    return int(amount / 500 + 0.5) * 500


def _to_half_dollar(amount: float) -> int:
    return int(amount / 50 + 0.5) * 50

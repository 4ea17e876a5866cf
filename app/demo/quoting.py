"""The made-up shop's estimates of its larger jobs, and what people answered at hold points."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from random import Random
from typing import Any

from app.actions.jobs.estimate_versions import FIRST_POINT, STANDS
from app.actions.plan.job_hours import GUESS_HIGH, GUESS_LOW
from app.calculations.numbers.invoicing import reckoned
from app.calculations.numbers.tax import Rounding
from app.demo.diary import Plan
from app.demo.scene import Part, Scene
from app.demo.till import DEPOSIT_FROM, Line
from app.records.models import Estimate, EstimateLine, HoldPoint
from app.records.models.words import CHANNELS

TEST_SPOTS = "After the test spots: how far the paint allows to go."
ANSWERS = (
    "Gently; better a few marks left than thin paint.",
    "The second stage on the upper surfaces only.",
    "Go on as planned.",
    "Leave the roof as it is.",
)
TEXTS = {
    "reason": "How soft the paint is shows only on the test spots.",
    "assumptions": "The vehicle is here with its keys on the first day.",
    "not_included": "Dents, rust and paint that is missing.",
}


class Quotes(Part):
    """Writes what was agreed before the work.

    It draws from a chance of its own: the rest of the story is the same with and without it.
    """

    def __init__(self, scene: Scene) -> None:
        super().__init__(scene)
        self._rng = Random(41)
        self._hour = int(scene.catalog.settings["hourly_rate"])
        self._asked: dict[int, tuple[int, str]] = {}  # by job: its estimate, and by what way

    def booked(self, plan: Plan, charges: Sequence[Line], gross: int) -> None:
        """A job of some size has an estimate, given and said yes to when it was booked."""
        if plan.payer.fleet is not None or gross < DEPOSIT_FROM:
            return
        how, name = self._rng.choice(CHANNELS), plan.payer.columns["name"]
        lines = list(self._lines(plan, charges))
        said_yes = {
            "state": "approved", "deposit": plan.deposit, "approved_on": plan.booked_on,
            "approved_at": self._clock.at(plan.booked_on, 900), "approved_by": name,
            "approved_how": how,
        }  # fmt: skip
        estimate = self._write(plan.id, plan.booked_on, lines, said_yes)
        if any("polish" in one.text or "correction" in one.text for one in charges):
            self._asked[plan.id] = estimate, how

    def asked(self, job: int, day: date) -> None:
        """An enquiry has an estimate that nobody answered yet."""
        spans = (("Wash and decontamination", 150, 15_000, 16_500, 19_000),
                 ("Two-year coating with its polish", 540, 78_000, 92_000, 118_000))  # fmt: skip
        rate = next(one["rate"] for one in self._catalog.rates if one["kind"] == "work")
        lines = [
            {"text": text, **_hours(minutes), "low": low, "likely": likely, "high": high,
             "tax_rate": rate}
            for text, minutes, low, likely, high in spans
        ]  # fmt: skip
        self._write(job, day, lines, {"state": "given"})

    def begun(self, plan: Plan, day: date) -> None:
        """The test spots are done, and the customer says how to go on."""
        if plan.id not in self._asked:
            return
        estimate, how = self._asked.pop(plan.id)
        self._rows.add(
            HoldPoint, estimate_id=estimate, position=2, text=TEST_SPOTS,
            answer=self._rng.choice(ANSWERS), answered_on=day,
            answered_at=self._clock.at(day, 690), channel=how if how != "signed" else "phone",
        )  # fmt: skip

    def waiting(self) -> None:
        """Test spots that are not done yet have no answer."""
        for estimate, _how in self._asked.values():
            self._rows.add(HoldPoint, estimate_id=estimate, position=2, text=TEST_SPOTS)

    def _write(self, job: int, day: date, lines: list[dict[str, Any]], more: dict[str, Any]) -> int:
        """A version given on a day; its id."""
        sums = {
            name: reckoned([(one[name], one["tax_rate"]) for one in lines], Rounding.ON_TOTAL).gross
            for name in ("low", "likely", "high")
        }
        for name in ("low_minutes", "minutes", "high_minutes"):
            sums[name] = sum(one[name] for one in lines)
        columns = {**TEXTS, **sums, **more}
        columns["ceiling"] = sums["high"] if more["state"] == "approved" else None
        estimate = self._rows.add(
            Estimate, job_id=job, version=1, made_on=day, at=self._clock.at(day, 700),
            given_on=day, valid_until=day + timedelta(days=STANDS), **columns,
        )  # fmt: skip
        for position, line in enumerate(lines, 1):
            self._rows.add(EstimateLine, estimate_id=estimate, position=position, **line)
        self._rows.add(HoldPoint, estimate_id=estimate, position=1, text=FIRST_POINT)
        return estimate

    def _lines(self, plan: Plan, charges: Sequence[Line]) -> Iterator[dict[str, Any]]:
        """What stands on the job, each with its hours and its span."""
        by_service: dict[int, float] = {}
        for one in plan.portions:
            taken = one.minutes * plan.expected / plan.by_list
            by_service[one.service.id] = by_service.get(one.service.id, 0.0) + taken
        for charge in charges:
            minutes = by_service.pop(charge.service or 0, 0.0)
            span = _hours(minutes)
            less = (span["minutes"] - span["low_minutes"]) * self._hour // 60
            more = (span["high_minutes"] - span["minutes"]) * self._hour // 60
            yield {
                "text": charge.text, "tax_rate": charge.rate, "service_id": charge.service, **span,
                "low": max(charge.amount - less, min(0, charge.amount)),
                "likely": charge.amount, "high": charge.amount + more,
            }  # fmt: skip


def _hours(minutes: float) -> dict[str, int]:
    low, likely, high = (5 * round(minutes * by / 5) for by in (GUESS_LOW, 1, GUESS_HIGH))
    return {"low_minutes": low, "minutes": likely, "high_minutes": high}

"""A cure over a night that was noted as colder than its label allows: a question, no more."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta

from app.actions.bay.standing import Ahead, Standing
from app.actions.desk.amounts import all_supplies
from app.actions.desk.desk import Desk
from app.actions.desk.open_day import numbered
from app.calculations.bay.planning import Plan
from app.calculations.bay.runs import Kind
from app.calculations.numbers.temperatures import shown_temperature

EVENING, MORNING = 18 * 60, 9 * 60  # minutes of a day, between which its night lies


def cold_nights(
    desk: Desk, days: Ahead, jobs: Mapping[int, Standing], found: Plan
) -> tuple[str, ...]:
    """A question for each night and job whose cure it is too cold for, in order."""
    supplies = all_supplies(desk)
    system = desk.settings.system
    asked = []
    for day, noted in sorted(days.weather.items()):
        if noted.low is None:
            continue
        start = days.hours.midnight(day) + EVENING
        end = days.hours.midnight(day + timedelta(days=1)) + MORNING
        for job, run in found.runs.items():
            if not any(
                bar.kind is Kind.CURES and bar.start < end and start < bar.end for bar in run.bars
            ):
                continue
            plan = jobs[job].job  # type: ignore[index]
            wanted = [
                (supply.least_temperature, supply.name.lower())
                for step in plan.steps
                if (supply := supplies.get(step.supply_id or 0)) is not None
                and supply.least_temperature is not None
                and step.effect == "applies"
                and step.state != "not done"
            ]
            least, name = max(wanted, default=(None, ""))
            if least is not None and noted.low < least:
                asked.append(
                    f"{day:%A} night is noted at {shown_temperature(noted.low, system)}, and "
                    f"{name} on {numbered(plan.job.number)} cures then; its label asks for "
                    f"{shown_temperature(least, system)} or more. Is it warm enough where it "
                    "stands?"
                )
    return tuple(asked)

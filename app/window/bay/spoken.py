"""The plan in words, for who cannot see it."""

from __future__ import annotations

from collections.abc import Callable

from app.actions.bay.plan_of_shop import PlannedJob, ShopPlan, Unplaced
from app.calculations.bay.runs import Kind
from app.calculations.numbers.dates import weekday_day
from app.calculations.numbers.durations import shown_duration
from app.calculations.numbers.wording import listed


def spoken_days(plan: ShopPlan) -> str:
    """The head: what each day holds."""
    said = []
    for day in plan.days:
        if day.window:
            held = f"{shown_duration(day.booked)} of {shown_duration(day.open_minutes)} booked"
            noted = f", {day.weather}" if day.weather else ""
            said.append(f"{weekday_day(day.day)}: {held}{noted}")
        else:
            said.append(f"{weekday_day(day.day)}: closed")
    return "; ".join(said)


def spoken_row(
    row: PlannedJob | Unplaced, group: str, plan: ShopPlan, say: Callable[[int], str]
) -> str:
    """A job with all that its bar, its flag and its marks say; `say` says a minute."""
    said = [f"{row.number} {row.customer}".strip(), group, row.work]
    if isinstance(row, Unplaced):
        return ", ".join(one for one in (*said, shown_duration(row.minutes)) if one)
    said.append(f"begins {say(row.begin)}")
    for kind in Kind:
        minutes = sum(bar.end - bar.start for bar in row.bars if bar.kind is kind)
        said.append(f"{kind.value} {shown_duration(minutes)}" if minutes else "")
    said.append(f"ready {say(row.ready)}")
    if row.low is not None and row.high is not None:
        said.append(f"four times in five between {say(row.low)} and {say(row.high)}")
    if row.promised is not None:
        said.append(f"promised {say(row.promised)}")
    if row.chance is not None and row.verdict != "no":
        said.append(f"kept with {round(100 * row.chance)} %")
    elif row.verdict == "no":
        said.append(f"cannot be kept, {row.said}")
    if row.few:
        said.append("from few jobs like it")
    if row.clashes:
        said.append(f"clashes in the bay with {listed(row.clashes)}")
    if plan.effect is not None and plan.effect.move.job_id == row.job_id:
        said.append("moved, not kept yet")
    return ", ".join(one for one in said if one)

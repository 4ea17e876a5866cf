"""The work itself: hours, uses, steps, layers and judgements of the made-up shop's days."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction
from functools import lru_cache
from math import exp, log
from typing import Any

from app.actions.day.jobs_worked import DRIFT_REASONS
from app.calculations.layers.exposure import MIDDLE_OF_RANGE
from app.calculations.layers.layers import EFFECTS
from app.calculations.numbers.dilution import product_in_finished
from app.calculations.numbers.units import US_GALLON
from app.calculations.plan.expected_use import recipe_amount
from app.calculations.stock.pools import PIECE, whole_pieces
from app.demo.catalog import LineItem, ServiceItem, StepItem, SupplyItem
from app.demo.diary import Plan, Portion
from app.demo.scene import Part, Scene
from app.demo.shelf import Shelf
from app.demo.town import Car, StandingLayer
from app.records.models import Hours, JobStep, Judgement, LayerEvent, Use

CONFIRMED_DAYS = 0.62  # of the days, the supplies were gone through one by one
NOT_DONE = (
    "fetched early", "left alone: thin edge", "rain", "not needed", "customer said no",
)  # fmt: skip
# How long a layer lasts on a surface group against the middle of its class.
GROUP_LIFE = {"upper horizontals": 0.92, "lowers": 0.84, "upper sides": 1.12, "front glass": 0.7}
WEIBULL_SHAPE = 3.6
LONGEST_DAY = 600  # minutes on one job; then it is night


@dataclass
class Worked:
    """What a day came to."""

    jobs: int = 0
    minutes: int = 0
    cost: int = 0  # of the supplies used, minor units
    confirmed: bool = False


class Bench(Part):
    """Does the day's part of each job."""

    def __init__(
        self, scene: Scene, shelf: Shelf, remind: Callable[[Car, StandingLayer, date | None], None]
    ) -> None:
        super().__init__(scene)
        self._shelf = shelf
        self._remind = remind
        # What the recipes have learnt: sum of log ratios and their number, by supply.
        self._taught: dict[int, tuple[float, int]] = {}
        services, supplies = self._catalog.services.values(), self._catalog.supplies.values()
        self._pace = {one.id: self._rng.gauss(0.05, 0.09) for one in services}
        self._lasting = {one.id: self._rng.uniform(0.85, 1.1) for one in supplies}

    def work(self, plans: list[Plan], day: date) -> Worked:
        """All jobs of a day, and the shop's own hours."""
        day_sum = Worked(confirmed=self._rng.random() < CONFIRMED_DAYS)
        for plan in plans:
            portions = [one for one in plan.portions if one.day == day]
            if day == plan.first:
                self._judge(plan, day)
            day_sum.jobs += 1
            day_sum.minutes += self._hours(plan, portions, day)
            day_sum.cost += self._uses(plan, portions, day, day_sum.confirmed)
            self._steps(plan, portions, day)
        shop = 15 * self._rng.randint(3, 8)
        self._rows.add(
            Hours, day=day, job_id=None, minutes=shop, expected=shop,
            typed=_clock_text(shop), what="laundry, buying, calls",
        )  # fmt: skip
        day_sum.minutes += shop
        return day_sum

    def to_do(self, plan: Plan) -> None:
        """The steps of a job that are not done yet."""
        position = 0
        for service in plan.services:
            for step in service.steps:
                if position >= plan.steps_written:
                    self._step_row(plan, position, step, None, "to do", "")
                position += 1

    def _hours(self, plan: Plan, portions: list[Portion], day: date) -> int:
        rng = self._rng
        listed = sum(one.minutes for one in portions)
        expected = _to_five(plan.expected * listed / plan.by_list)
        pace = self._pace[plan.main] + rng.gauss(0, 0.15) + (rng.random() < 0.05) * 0.3
        minutes = min(LONGEST_DAY, max(10, _to_five(listed * exp(pace))))
        usual, typed = minutes, rng.random() < 0.75
        if not typed:  # it stands as filled in
            minutes, usual = expected, _to_five(plan.usually * listed / plan.by_list)
        plan.worked += minutes
        plan.worked_usually += usual
        self._rows.add(
            Hours,
            day=day,
            job_id=plan.id,
            minutes=minutes,
            expected=expected,
            state="confirmed" if typed else "expected",
            typed=_clock_text(minutes) if typed else "",
        )
        return minutes

    def drift_reason(self, plan: Plan) -> str:
        """Why a job took more than 15 % longer than expected, where it did and was asked."""
        if plan.worked_usually <= plan.usually * 1.15 or self._rng.random() < 0.3:
            return ""
        reason = self._rng.choice(DRIFT_REASONS[:5])  # as many as ever: the same books come of it
        return reason if plan.worked > plan.expected * 1.15 else ""

    # Supplies

    def _uses(self, plan: Plan, portions: list[Portion], day: date, confirmed: bool) -> int:
        recipe: dict[int, int] = {}
        for portion in portions:
            size = plan.car.sizes[0 if portion.service.outside else 1]
            for line, amount in _recipe(portion.service, size, plan.condition):
                part = amount
                if portion.share < 1:
                    part = _part(self._catalog.supplies[line.supply], amount, portion)
                if part:
                    recipe[line.supply] = recipe.get(line.supply, 0) + part
        for supply_id, amount in list(recipe.items()):
            if self._catalog.supplies[supply_id].pool:
                recipe[supply_id] = max(PIECE, whole_pieces(amount, washed=True))
        return sum(
            self._use(plan, self._catalog.supplies[supply_id], day, amount, confirmed)
            for supply_id, amount in recipe.items()
        )

    def _use(self, plan: Plan, supply: SupplyItem, day: date, recipe: int, confirmed: bool) -> int:
        rng = self._rng
        expected = self._expected(supply, recipe)
        state, typed = "recipe", ""
        used = expected
        true = expected
        if supply.by_lot or supply.spread == 0:
            drawn = recipe
            if not supply.whole and supply.spread:
                drawn = round(recipe * supply.habit * exp(rng.gauss(0, supply.spread)))
            used, typed = drawn, ""
            if supply.by_lot and not supply.whole:
                used, typed = _read_off(supply, drawn)
            state = "confirmed"
            true = used
        else:
            true = round(recipe * supply.habit * exp(rng.gauss(0, supply.spread)))
            if confirmed:
                state = "confirmed"
                if rng.random() < 0.015:
                    used, typed, true = 0, "0", 0
                elif supply.dilution and supply.dilution >= 200 and rng.random() < 0.4:
                    used, typed = _mixed(supply, true)
                else:
                    used, typed = _read_off(supply, true)
                self._teach(supply, recipe, used)
        if plan.last == self._calendar.today and not supply.by_lot and used < 1.3 * expected:
            # The demo opens on this job's second day; nothing of the first should be left over.
            state = "confirmed"
            used, typed = _read_off(supply, round(1.3 * expected))
            true = used
        use_id = self._rows.number(Use)
        cost = self._shelf.take(supply.id, day, used, true, plan.id, use_id)
        self._rows.add(
            Use,
            id=use_id,
            day=day,
            job_id=plan.id,
            supply_id=supply.id,
            quantity=used,
            expected=expected,
            recipe=recipe,
            state=state,
            typed=typed,
            booked=True,
            cost=cost,
        )
        return cost

    def _expected(self, supply: SupplyItem, recipe: int) -> int:
        if supply.by_lot or supply.spread == 0:
            return recipe
        total, count = self._taught.get(supply.id, (0.0, 0))
        expected = round(recipe * exp(total / (count + 5)))
        return whole_pieces(expected, washed=True) if supply.pool else expected

    def _teach(self, supply: SupplyItem, recipe: int, used: int) -> None:
        if used > 0 and recipe > 0:
            total, count = self._taught.get(supply.id, (0.0, 0))
            kept = min(count, 60)
            mean = total / count if count else 0.0
            self._taught[supply.id] = (mean * kept + log(used / recipe), kept + 1)

    # Steps and layers

    def _steps(self, plan: Plan, portions: list[Portion], day: date) -> None:
        minutes = 530
        for portion in portions:
            steps = portion.service.steps[portion.first_step : portion.last_step]
            each = portion.minutes / max(1, len(steps))
            for step in steps:
                minutes += round(each)
                skipped = self._rng.random() < 0.012 and step.effect != "applies"
                state, why = "done", ""
                if skipped:
                    state, why = "not done", self._rng.choice(NOT_DONE)
                number = self._step_row(plan, plan.steps_written, step, day, state, why)
                plan.steps_written += 1
                if step.effect and not skipped:
                    self._layer(plan, number, step, day, min(minutes, 1140))

    def _step_row(
        self, plan: Plan, position: int, step: StepItem, day: date | None, state: str, why: str
    ) -> int:
        return self._rows.add(
            JobStep,
            job_id=plan.id,
            position=position,
            name=step.name,
            state=state,
            because=why,
            day=day,
            minutes=step.minutes,
            hold=step.hold,
            hold_minutes=step.hold_minutes,
            effect=step.effect,
            supply_id=step.supply,
            surface_groups=list(step.groups),
        )

    def _layer(self, plan: Plan, number: int, step: Any, day: date, minutes: int) -> None:
        car = plan.car
        kind = EFFECTS[step.effect].value
        for group in step.groups:
            event = self._rows.add(
                LayerEvent,
                vehicle_id=car.id,
                job_id=plan.id,
                step_id=number,
                day=day,
                at=self._clock.at(day, minutes),
                kind=kind,
                surface_group=group,
                supply_id=step.supply,
                note=step.name,
            )
            stack = car.layers.setdefault(group, [])
            if kind == "abraded":
                stack.clear()
            elif kind == "stripped":
                stack[:] = [one for one in stack if self._is_ceramic(one.supply)]
            else:
                layer = StandingLayer(
                    event, step.supply, group, day, self._ends(car, step.supply, group, day)
                )
                bare = all(one.event in car.gone for one in stack)
                stack.append(layer)
                if bare and group == step.groups[0]:
                    self._remind(car, layer, None)

    def _is_ceramic(self, supply: int) -> bool:
        return self._catalog.supplies[supply].protection.startswith("ceramic")

    def middle_life(self, car: Car, supply_id: int) -> float:
        """The age in days by which half of such layers are worn out on such a vehicle."""
        life = self._catalog.supplies[supply_id].life or (90, 180)
        middle = (life[0] + life[1]) / 2 / MIDDLE_OF_RANGE
        return middle * self._lasting[supply_id] * car.exposure

    def _ends(self, car: Car, supply: int, group: str, day: date) -> date:
        scale = self.middle_life(car, supply) / log(2) ** (1 / WEIBULL_SHAPE)
        age = self._rng.weibullvariate(scale * GROUP_LIFE.get(group, 1.0), WEIBULL_SHAPE)
        return day + timedelta(days=max(3, round(age)))

    def _judge(self, plan: Plan, day: date) -> None:
        """What is seen of the layers when the vehicle is back."""
        rng = self._rng
        car = plan.car
        washes = any("wash" in one.name.lower() for one in plan.services)
        if not washes or rng.random() < 0.12:
            return
        for group in sorted(car.layers):
            layer = next((one for one in car.layers[group] if one.event not in car.gone), None)
            if layer is None or (day - layer.applied).days < 20:
                continue
            age, life = (day - layer.applied).days, (layer.ends - layer.applied).days
            after = "gone" if age >= life else "fading" if age >= 0.74 * life else "holding"
            before = after
            if after != "gone" and rng.random() < 0.35:
                before = "fading" if after == "holding" else "gone"
            self._rows.add(
                Judgement,
                vehicle_id=car.id,
                layer_event_id=layer.event,
                job_id=plan.id,
                day=day,
                surface_group=group,
                before=before,
                after=after,
            )
            if after == "gone":
                car.gone.add(layer.event)
                self._remind(car, layer, day)


@lru_cache(maxsize=4096)
def _recipe(service: ServiceItem, size: str, condition: str) -> tuple[tuple[LineItem, int], ...]:
    return tuple(
        (line, recipe_amount(line.amount, line.scaling, size, condition)) for line in service.lines
    )


def _part(supply: SupplyItem, amount: int, portion: Portion) -> int:
    """A day's part of an amount; what cannot be split is taken on the first day."""
    if supply.whole or supply.spread == 0:
        return amount if portion.first_step == 0 else 0
    return round(amount * portion.share)


def _read_off(supply: SupplyItem, amount: int) -> tuple[int, str]:
    """An amount as it is read off and typed, and what that comes to."""
    step = supply.step
    count = max(1, int(amount / step + Fraction(1, 2)))
    number = count * supply.step_number
    text = f"{float(number):g}"
    unit = {"fl oz": "oz", "pc": "", "gal": " gal"}.get(supply.step_unit, supply.step_unit)
    return int(count * step + Fraction(1, 2)), f"{text}{unit}"


def _mixed(supply: SupplyItem, amount: int) -> tuple[int, str]:
    """A weak mix is said in gallons of it: "2.5 gal mixed"."""
    parts = supply.dilution or 1
    halves = max(1, round(amount * (parts + 1) / float(US_GALLON) * 2))
    return product_in_finished(int(US_GALLON * halves / 2), parts), f"{halves / 2:g} gal mixed"


def _to_five(minutes: float) -> int:
    return int(minutes / 5 + 0.5) * 5


def _clock_text(minutes: int) -> str:
    return f"{minutes // 60}:{minutes % 60:02d}"

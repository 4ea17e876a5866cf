"""Selling services on jobs that come in: links, steps, and what the steps did to the layers."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from app.actions.exchange.alike import plain_name
from app.actions.exchange.drafts import Draft, Drafts, row_of, standing_lines
from app.actions.exchange.gathering_shelf import ShelfGathering
from app.calculations.layers.layers import EFFECTS
from app.calculations.layers.protection import PAINT
from app.documents.reading.title_reading import lasting, words_of_groups

# A minute before what is put on that day, so that what is polished first is not taken off.
_BEFORE = timedelta(minutes=1)


@dataclass(slots=True)
class Layer:
    """A layer to be put on: its class, the supply that is known to be it, its groups, and how
    long it lasts, where a title said so."""

    protection: str
    supply: Draft | None
    groups: tuple[str, ...]
    months: int | None = None

    def words(self) -> str:
        name = lasting(self.protection, self.months)
        if self.supply is not None:
            name = str(self.supply.get("name"))
        return f"{name.lower()} on {words_of_groups(self.groups)}"


@dataclass(slots=True)
class Sold:
    """A service as a title is taken for: one of the book, or what is to be made."""

    name: str
    stands: Draft | None = None
    indoors: bool = False
    abrades: bool = False
    layer: Layer | None = None


class Selling:
    """The services of the book and those that are made; what was sold on which job."""

    def __init__(
        self, drafts: Drafts, shelf: ShelfGathering, moment: Callable[[date], datetime]
    ) -> None:
        """Comes after all layers that lists tell of themselves; `moment` stands for a day."""
        self._drafts, self._shelf, self._moment = drafts, shelf, moment
        self.services = {plain_name(str(d.get("name"))): d for d in drafts.all("services")}
        self._steps = _by(drafts.all("service_steps"), "service_id")
        self._job_steps = _by(drafts.all("job_steps"), "job_id")
        self.sold: dict[Any, set[Any]] = defaultdict(set)
        for link in drafts.all("job_services"):
            self.sold[row_of(link.points_to("job_id"))].add(row_of(link.points_to("service_id")))
        self._put_on: dict[tuple[Any, str], list[date]] = defaultdict(list)
        for event in standing_lines(drafts.all("layer_events")):
            if event.get("kind") == "applied":
                place = row_of(event.points_to("vehicle_id")), str(event.get("surface_group"))
                self._put_on[place].append(event.get("day"))

    def leaves(self, sold: Sold) -> Iterator[Layer]:
        """The layers that a service leaves."""
        if sold.stands is None:
            if sold.layer is not None:
                yield sold.layer
            return
        for step in self._steps[row_of(sold.stands)]:
            supply = self._supply_of(step)
            if step.get("effect") == "applies" and supply is not None:
                groups = tuple(step.get("surface_groups") or ())
                yield Layer(str(supply.get("protection") or ""), supply, groups)

    def _supply_of(self, step: Draft) -> Draft | None:
        found = step.points_to("supply_id")
        return self._drafts.standing("supplies", found) if isinstance(found, int) else found

    def service(self, sold: Sold, origin: str) -> Draft:
        """The service, made with its steps where the book has none such."""
        if sold.stands is not None:
            return sold.stands
        service = self._drafts.new(
            "services", origin, name=sold.name[:120], outside=not sold.indoors
        )
        self.services[plain_name(sold.name)] = service
        sold.stands = service
        steps = self._steps[row_of(service)]
        if sold.abrades:
            steps.append(self._step(service, 1, sold.name, "abrades", sorted(PAINT), None))
        if sold.layer is not None:
            layer = sold.layer
            layer.supply = layer.supply or self._shelf.supply_leaving(
                layer.protection, layer.months, origin
            )
            name = f"Put on {str(layer.supply.get('name')).lower()}"
            steps.append(
                self._step(service, len(steps) + 1, name, "applies", layer.groups, layer.supply)
            )
        return service

    def _step(
        self, service: Draft, position: int, name: str, effect: str, groups: Iterable[str],
        supply: Draft | None,
    ) -> Draft:  # fmt: skip
        return self._drafts.new(
            "service_steps", service.origin, service_id=service, position=position,
            name=name[:120], effect=effect, supply_id=supply,
            surface_groups=[str(group) for group in groups],
        )  # fmt: skip

    def sell(self, job: Draft, services: Iterable[Draft], origin: str) -> int:
        """Note what was sold on a job, with its steps; of a done one also what they left.

        Returns how many layers were put on.
        """
        sold, fresh = self.sold[row_of(job)], []
        for service in services:
            if row_of(service) not in sold:
                sold.add(row_of(service))
                fresh.append(service)
                self._drafts.new("job_services", origin, job_id=job, service_id=service)
        steps = [step for service in fresh for step in self._steps[row_of(service)]]
        steps.sort(key=lambda step: step.get("effect") == "applies")
        count = 0
        for step in steps if job.get("state") != "cancelled" else ():
            stood = self._job_steps[row_of(job)]
            done = job.get("state") == "done"
            on = step.get("effect") == "applies"
            day = (job.get("done_on") or job.get("last_day")) if on else job.get("first_day")
            made = self._drafts.new(
                "job_steps", origin, job_id=job, position=len(stood) + 1, name=step.get("name"),
                state="done" if done else "to do", day=day if done else None,
                effect=step.get("effect"), supply_id=step.points_to("supply_id"),
                surface_groups=list(step.get("surface_groups") or ()),
            )  # fmt: skip
            stood.append(made)
            if done and day is not None and job.get("vehicle_id") is not None:
                count += self._happened(job, made, day, len(stood), origin)
        return count

    def _happened(self, job: Draft, step: Draft, day: date, place: int, origin: str) -> int:
        """What a step did to the layers; a layer that a list tells of itself is left to that."""
        kind = EFFECTS.get(str(step.get("effect")))
        if kind is None:
            return 0
        on = step.get("effect") == "applies"
        at = self._moment(day) + timedelta(seconds=place) - (timedelta() if on else _BEFORE)
        first, count = job.get("first_day") or day, 0
        for group in step.get("surface_groups"):
            told = self._put_on.get((row_of(job.points_to("vehicle_id")), group), ())
            if on and any(first <= one <= day for one in told):
                continue
            self._drafts.new(
                "layer_events", origin, vehicle_id=job.points_to("vehicle_id"), job_id=job,
                step_id=step, day=day, at=at, kind=kind.value, surface_group=group,
                supply_id=step.points_to("supply_id") if on else None, note=step.get("name"),
            )  # fmt: skip
            count += on
        return min(count, 1)


def _by(drafts: Iterable[Draft], name: str) -> dict[Any, list[Draft]]:
    """Drafts by the row that a column of theirs points to, in their order."""
    found: dict[Any, list[Draft]] = defaultdict(list)
    for draft in sorted(drafts, key=lambda draft: draft.get("position")):
        found[row_of(draft.points_to(name))].append(draft)
    return found

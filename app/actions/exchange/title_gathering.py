"""From the titles of jobs to drafts: the services sold, their steps, and the layers they left.

A title that the book knows (a service is called so, or earlier jobs with that title have services)
is taken as it was; any other waits for a person's word and does nothing until then.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from typing import Any

from app.actions.exchange.alike import plain_name
from app.actions.exchange.drafts import Draft, Drafts, row_of, standing_lines
from app.actions.exchange.gathering_shelf import ShelfGathering
from app.actions.exchange.outcomes import LineOutcome
from app.actions.exchange.title_proposals import Answer, ChosenLayer, Proposal
from app.calculations.layers.layers import EFFECTS
from app.calculations.layers.protection import CERAMICS, CLASSES, PAINT, ProtectionClass
from app.documents.reading.lines import JobLine
from app.documents.reading.title_reading import (
    ReadLayer,
    ReadTitle,
    read_note,
    read_title,
    usual_groups,
    words_of_groups,
)

# A minute before what is put on that day, so that what is polished first is not taken off.
_BEFORE = timedelta(minutes=1)


@dataclass(slots=True)
class _Layer:
    """A layer to be put on: its class, the supply that is known to be it, its groups."""

    protection: str
    supply: Draft | None
    groups: tuple[str, ...]

    def words(self) -> str:
        name = str(self.supply.get("name")) if self.supply is not None else self.protection
        return f"{name.lower()} on {words_of_groups(self.groups)}"


@dataclass(slots=True)
class _Sold:
    """A service as a title is taken for: one of the book, or what is to be made."""

    name: str
    stands: Draft | None = None
    indoors: bool = False
    abrades: bool = False
    layer: _Layer | None = None


@dataclass(slots=True)
class _Told:
    """A title with what its notes add, and the lines that have it."""

    title: str
    read: ReadTitle
    noted: tuple[ReadLayer, ...]
    lines: list[LineOutcome] = field(default_factory=list)

    @property
    def what(self) -> str:
        notes = ", ".join(layer.service.lower() for layer in self.noted)
        return f"{self.title or 'no title'}; notes: {notes}" if notes else self.title


class TitleGathering:
    """Takes every title for services and layers, and drafts what is known or was confirmed."""

    def __init__(
        self,
        drafts: Drafts,
        shelf: ShelfGathering,
        moment: Callable[[date], datetime],
        answers: Mapping[str, Answer],
        *,
        accepts: bool,
    ) -> None:
        """`moment` stands for a day; `accepts` takes all that is proposed without a question."""
        self._drafts, self._shelf, self._moment = drafts, shelf, moment
        self._answers, self._accepts = answers, accepts
        self._services = {plain_name(str(d.get("name"))): d for d in drafts.all("services")}
        self._stood = dict(self._services)  # what is confirmed now makes no other title known
        self._steps = _by(drafts.all("service_steps"), "service_id")
        self._job_steps = _by(drafts.all("job_steps"), "job_id")
        self._sold: dict[Any, set[Any]] = defaultdict(set)
        for link in drafts.all("job_services"):
            self._sold[link.get("job_id")].add(link.get("service_id"))
        self._by_title = self._sold_as()
        self._put_on: dict[tuple[Any, str], list[date]] = defaultdict(list)
        self._chosen: dict[str, tuple[ChosenLayer, str]] = {}

    def _sold_as(self) -> dict[str, tuple[Draft, ...]]:
        """The services of the latest job of each title that the book has."""
        found: dict[str, tuple[Draft, ...]] = {}
        for job in sorted(
            self._drafts.all("jobs"), key=lambda job: str(job.get("first_day") or "")
        ):
            links = self._sold.get(job.row_id) if not job.is_new else None
            services = [self._drafts.standing("services", one) for one in links or ()]
            if services and job.get("title"):
                key = _key(str(job.get("title")), read_note(str(job.get("notes") or "")))
                found[key] = tuple(one for one in services if one)
        return found

    def settle(self, outcomes: Iterable[LineOutcome]) -> tuple[Proposal, ...]:
        """Draft what the titles of these jobs lead to; what is proposed for each of them."""
        for event in standing_lines(self._drafts.all("layer_events")):
            if event.get("kind") == "applied":
                place = row_of(event.points_to("vehicle_id")), str(event.get("surface_group"))
                self._put_on[place].append(event.get("day"))
        told = self._gathered(outcomes)
        for key, one in told.items():
            self._learn_choice(one, self._answers.get(key))
        proposals = [self._settled(key, one) for key, one in told.items()]
        order = {"asks": 0, "proposed": 1, "unread": 2}
        shown = [one for one in proposals if one is not None]
        return tuple(sorted(shown, key=lambda one: (order.get(one.state, 3), -one.jobs)))

    def _gathered(self, outcomes: Iterable[LineOutcome]) -> dict[str, _Told]:
        told: dict[str, _Told] = {}
        for outcome in outcomes:
            line = outcome.line
            if not isinstance(line, JobLine) or outcome.draft is None:
                continue
            noted = read_note(line.notes)
            if not line.services and not noted:
                continue
            one = _Told(line.services, read_title(line.services), noted)
            told.setdefault(_key(one.title, noted), one).lines.append(outcome)
        return told

    def _learn_choice(self, told: _Told, answer: Answer | None) -> None:
        """A layer that was chosen for one title is proposed for those that lack the same."""
        if answer is not None and answer.layer is not None and answer.layer.protection:
            for layer in _layers(told):
                self._chosen.setdefault(_lacks(layer), (answer.layer, told.title))
                return

    def _settled(self, key: str, told: _Told) -> Proposal | None:
        jobs = [(outcome, job) for outcome in told.lines if (job := outcome.draft) is not None]
        new = [(outcome, job) for outcome, job in jobs if job.is_new]
        bare = [(o, job) for o, job in jobs if not job.is_new and not self._sold[job.row_id]]
        if not bare and not new:
            return None
        known = self._by_title.get(key, ()) if told.noted else self._known(told.title)
        sold = [_Sold(str(one.get("name")), one) for one in known]
        state, why, lacks, count = "known", "", False, 0
        if known:
            count = self._sell_all(new, sold)
        if not known or bare:
            answer = self._answers.get(key)
            if not known:
                sold, why, lacks = self._taken_for(told, answer)
            state = _state(sold, answer, lacks=lacks, accepts=self._accepts)
            if state == "accepted":
                count += self._sell_all(bare if known else [*new, *bare], sold)
            elif not known:
                self._sell_parts(told, new)
        return Proposal(
            key=key, kind="title", what=told.what, jobs=len(jobs), state=state, told=count, why=why,
            services=tuple(one.name for one in sold),
            layers=tuple(layer.words() for one in sold for layer in self._leaves(one)),
        )  # fmt: skip

    # What a title is taken for

    def _known(self, title: str) -> tuple[Draft, ...]:
        """The services that the book knows a title for: by their names, or by earlier jobs."""
        whole = self._stood.get(plain_name(title))
        if whole is not None:
            return (whole,)
        parts = [self._stood.get(plain_name(part)) for part in _parts(title)]
        if parts and all(parts):
            return tuple(dict.fromkeys(part for part in parts if part is not None))
        return self._by_title.get(plain_name(title), ())

    def _taken_for(self, told: _Told, answer: Answer | None) -> tuple[list[_Sold], str, bool]:
        """The services that a title is taken for; what is to know, and whether that is missing."""
        chosen, lacks = answer.layer if answer is not None else None, False
        why = "" if told.noted else told.read.doubt
        sold = [
            _Sold(one.service, indoors=one.indoors, abrades=one.abrades) for one in told.read.works
        ]
        layers = _layers(told)
        if answer is not None and answer.service:
            sold, why = [_Sold(answer.service)], ""
            layers = layers[:1] if chosen is not None else ()
        for at, layer in enumerate(layers):
            pick = chosen if at == 0 else None
            if pick is None and answer is None and (said := self._chosen.get(_lacks(layer))):
                pick, title = said
                why = why or f"the layer as chosen for “{title}”"
            put, asks = self._layer_of(layer, pick)
            why, lacks = asks or why, lacks or bool(asks)
            if answer is not None and answer.service:
                sold[0].layer = put
            else:
                sold.append(_Sold(layer.service, layer=put))
        if chosen is not None and chosen.protection and not layers:
            if not sold:
                sold, why = [_Sold(told.title[:120] or chosen.protection.capitalize())], ""
            groups = tuple(usual_groups(chosen.protection))
            sold[-1].layer = _Layer(chosen.protection, self._shelf.find(chosen.supply), groups)
        return [self._as_it_stands(one) for one in sold], why, lacks

    def _layer_of(self, layer: ReadLayer, chosen: ChosenLayer | None) -> tuple[_Layer | None, str]:
        """The layer with its supply, or what must be said first."""
        if chosen is not None:
            if not chosen.protection:
                return None, ""
            fits = {one.value for one in CLASSES[ProtectionClass(chosen.protection)].groups}
            groups = layer.groups if fits.issuperset(layer.groups) else None
            supply = self._shelf.find(chosen.supply) if chosen.supply else None
            put = groups or tuple(usual_groups(chosen.protection))
            return _Layer(chosen.protection, supply, put), ""
        if layer.asks:
            return None, layer.asks
        supplies = self._shelf.leaving(layer.protection)
        if len(supplies) > 1:
            names = " or ".join(str(one.get("name")) for one in supplies[:3])
            return None, f"it is not said which {layer.protection}: {names}"
        return _Layer(layer.protection, supplies[0] if supplies else None, layer.groups), ""

    def _as_it_stands(self, sold: _Sold) -> _Sold:
        """The service of that name where the book has it and it leaves this layer."""
        name, at = sold.name, 1
        while (stands := self._services.get(plain_name(sold.name))) is not None:
            leaves = {layer.protection for layer in self._leaves(_Sold("", stands))}
            if sold.layer is None or sold.layer.protection in leaves:
                return replace(sold, name=str(stands.get("name")), stands=stands)
            at += 1
            more = f"{sold.layer.protection}{f' {at}' if at > 2 else ''}"
            sold = replace(sold, name=f"{name[:80]} ({more})")
        return sold

    def _leaves(self, sold: _Sold) -> Iterator[_Layer]:
        """The layers that a service leaves."""
        if sold.stands is None:
            if sold.layer is not None:
                yield sold.layer
            return
        for step in self._steps[row_of(sold.stands)]:
            supply = self._supply_of(step)
            if step.get("effect") == "applies" and supply is not None:
                groups = tuple(step.get("surface_groups") or ())
                yield _Layer(str(supply.get("protection") or ""), supply, groups)

    def _supply_of(self, step: Draft) -> Draft | None:
        found = step.points_to("supply_id")
        return self._drafts.standing("supplies", found) if isinstance(found, int) else found

    # What is drafted of it

    def _sell_all(self, jobs: Iterable[tuple[LineOutcome, Draft]], sold: list[_Sold]) -> int:
        """Sell the services on the jobs; how many layers were put on."""
        count = 0
        for outcome, job in jobs:
            origin = outcome.line.source.whole()
            services = [self._service(one, origin) for one in sold]
            layers = self._sell(job, services, origin)
            count += layers
            said = [f"sold as {', '.join(str(one.get('name')) for one in services)}"]
            if layers:
                said += [f"leaves {one.words()}" for each in sold for one in self._leaves(each)]
            elif job.get("vehicle_id") is None and any(True for s in sold for _ in self._leaves(s)):
                said.append("no layer, for its vehicle is not known")
            (outcome.remarks if outcome.made else outcome.changes).extend(said)
        return count

    def _sell_parts(self, told: _Told, jobs: Iterable[tuple[LineOutcome, Draft]]) -> None:
        """Sell what the book knows by name of a title that it does not know as a whole."""
        parts = [self._stood.get(plain_name(part)) for part in _parts(told.title)]
        services = list(dict.fromkeys(part for part in parts if part is not None))
        for outcome, job in jobs if services else ():
            self._sell(job, services, outcome.line.source.whole())

    def _service(self, sold: _Sold, origin: str) -> Draft:
        """The service, made with its steps where the book has none such."""
        if sold.stands is not None:
            return sold.stands
        service = self._drafts.new(
            "services", origin, name=sold.name[:120], outside=not sold.indoors
        )
        self._services[plain_name(sold.name)] = service
        sold.stands = service
        steps = self._steps[row_of(service)]
        if sold.abrades:
            steps.append(self._step(service, 1, sold.name, "abrades", sorted(PAINT), None))
        if sold.layer is not None:
            layer = sold.layer
            layer.supply = layer.supply or self._shelf.supply_leaving(layer.protection, origin)
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

    def _sell(self, job: Draft, services: Iterable[Draft], origin: str) -> int:
        """Note what was sold on a job, with its steps; of a done one also what they left.

        Returns how many layers were put on.
        """
        sold, fresh = self._sold[row_of(job)], []
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


def _state(sold: list[_Sold], answer: Answer | None, *, lacks: bool, accepts: bool) -> str:
    """What stands of a title that the book does not know as a whole."""
    if answer is not None and not answer.takes:
        return "none"
    if not sold:
        return "unread"
    if lacks:
        return "asks"
    return "accepted" if answer is not None or accepts else "proposed"


def _key(title: str, noted: Iterable[ReadLayer]) -> str:
    """What an answer is kept under: the title as compared, with the layers that notes add."""
    return "; ".join([plain_name(title), *(layer.service for layer in noted)])


def _lacks(layer: ReadLayer) -> str:
    return layer.protection or layer.asks


def _layers(told: _Told) -> tuple[ReadLayer, ...]:
    """The layers of a title and its notes; notes say which where the title leaves it open."""
    ceramics = {one.value for one in CERAMICS}
    found = list(told.read.layers)
    for noted in told.noted:
        open_at = next((at for at, one in enumerate(found) if one.asks), None)
        if open_at is not None and noted.protection in ceramics:
            found[open_at] = noted
        elif noted.protection not in {one.protection for one in found}:
            found.append(noted)
    return tuple(found)


def _by(drafts: Iterable[Draft], name: str) -> dict[Any, list[Draft]]:
    """Drafts by the row that a column of theirs points to, in their order."""
    found: dict[Any, list[Draft]] = defaultdict(list)
    for draft in sorted(drafts, key=lambda draft: draft.get("position")):
        found[draft.get(name)].append(draft)
    return found


def _parts(title: str) -> list[str]:
    for mark in ("\n", ";", "+", ",", " & ", " and "):
        title = title.replace(mark, "|")
    return [part.strip() for part in title.split("|") if part.strip()]

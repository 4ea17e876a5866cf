"""From the titles of jobs to drafts: the services sold, their steps, and the layers they left.

A title that the book knows (a service is called so, or earlier jobs with that title have services)
is taken as it was; any other waits for a person's word and does nothing until then.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from datetime import date, datetime

from app.actions.exchange.alike import plain_name
from app.actions.exchange.drafts import Draft, Drafts
from app.actions.exchange.gathering_shelf import ShelfGathering
from app.actions.exchange.outcomes import LineOutcome
from app.actions.exchange.title_proposals import Answer, ChosenLayer, Proposal
from app.actions.exchange.title_selling import Layer, Selling, Sold
from app.calculations.layers.protection import CERAMICS, CLASSES, ProtectionClass
from app.documents.reading.lines import JobLine
from app.documents.reading.title_reading import (
    ReadLayer,
    lasting,
    read_note,
    read_title,
    usual_groups,
)


class _Told:
    """A title with what its notes add, and the lines that have it."""

    def __init__(self, title: str, notes: str) -> None:
        self.title = title
        self.read, self.noted = read_title(title), read_note(notes)
        self.lines: list[LineOutcome] = []

    @property
    def key(self) -> str:
        """What an answer is kept under: the title as compared, whether it is read, its layers."""
        plain = plain_name(self.title)
        doubt = "?" if plain and self.read.doubt else ""
        layers = (one.service for one in (*self.read.layers, *self.noted))
        return "; ".join(part for part in (plain + doubt, *layers) if part)

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
        self._drafts, self._shelf = drafts, shelf
        self._answers, self._accepts = answers, accepts
        self._selling = Selling(drafts, shelf, moment)
        # What is confirmed now makes no other title known, nor any job one that was sold before.
        self._stood = dict(self._selling.services)
        self._linked = {job for job, services in self._selling.sold.items() if services}
        self._by_title = self._sold_as()
        self._chosen: dict[str, tuple[ChosenLayer, str]] = {}

    def _sold_as(self) -> dict[str, tuple[Draft, ...]]:
        """The services of the latest job of each title that the book has."""
        found: dict[str, tuple[Draft, ...]] = {}
        stand = [job for job in self._drafts.all("jobs") if job.row_id in self._linked]
        for job in sorted(stand, key=lambda job: job.get("first_day") or date.min):
            links = self._selling.sold[job.row_id]
            services = [self._drafts.standing("services", one) for one in links]
            told = _Told(str(job.get("title") or ""), str(job.get("notes") or ""))
            if told.key:
                found[told.key] = tuple(one for one in services if one is not None)
        return found

    def settle(self, outcomes: Iterable[LineOutcome]) -> tuple[Proposal, ...]:
        """Draft what the titles of these jobs lead to; what is proposed for each of them."""
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
            one = _Told(line.services, line.notes)
            if one.key:
                told.setdefault(one.key, one).lines.append(outcome)
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
        stand = [(outcome, job) for outcome, job in jobs if not job.is_new]
        bare = [(outcome, job) for outcome, job in stand if job.row_id not in self._linked]
        if not bare and not new:
            return None
        known, answer = self._known(key, told), self._answers.get(key)
        sold = [Sold(str(one.get("name")), one) for one in known]
        state, why, lacks, count = "known", "", False, 0
        if known:
            count = self._sell_all(new, sold)
        if not known or bare:
            if not known:
                sold, why, lacks = self._taken_for(told, answer)
            state = _state(sold, answer, lacks=lacks, accepts=self._accepts)
            if state == "accepted":
                count += self._sell_all(bare if known else [*new, *bare], sold)
        return Proposal(
            key=key, kind="title", what=told.what, jobs=len(jobs), state=state, told=count, why=why,
            answer=answer,
            services=tuple(one.name for one in sold),
            layers=tuple(layer.words() for one in sold for layer in self._selling.leaves(one)),
        )  # fmt: skip

    # What a title is taken for

    def _known(self, key: str, told: _Told) -> tuple[Draft, ...]:
        """The services that the book knows a title for: by their names, or by earlier jobs."""
        if not told.noted and "?" not in told.title:
            whole = self._stood.get(plain_name(told.title))
            if whole is not None:
                return (whole,)
            parts = [self._stood.get(plain_name(part)) for part in _parts(told.title)]
            if parts and all(parts):
                return tuple(dict.fromkeys(part for part in parts if part is not None))
        return self._by_title.get(key, ())

    def _taken_for(self, told: _Told, answer: Answer | None) -> tuple[list[Sold], str, bool]:
        """The services that a title is taken for; what is to know, and whether that is missing."""
        chosen, lacks = answer.layer if answer is not None else None, False
        why = "" if told.noted else told.read.doubt
        sold = [
            Sold(one.service, indoors=one.indoors, abrades=one.abrades) for one in told.read.works
        ]
        layers = _layers(told)
        if answer is not None and answer.service:
            sold, why = [Sold(answer.service)], ""
            layers = layers[:1] if chosen is not None else ()
        for at, layer in enumerate(layers):
            pick = chosen if at == 0 else None
            if pick is None and (said := self._chosen.get(_lacks(layer))):
                pick, title = said
                why = why or f"the layer as chosen for “{title}”"
            put, asks = self._layer_of(layer, pick)
            why, lacks = asks or why, lacks or bool(asks)
            if answer is not None and answer.service:
                sold[0].layer = put
            else:
                sold.append(Sold(layer.service, layer=put))
        if chosen is not None and chosen.protection and not layers:
            if not sold:
                sold, why = [Sold(told.title[:120] or chosen.protection.capitalize())], ""
            groups = tuple(usual_groups(chosen.protection))
            sold[-1].layer = Layer(chosen.protection, self._shelf.find(chosen.supply), groups)
        sold = [self._as_it_stands(one) for one in sold]
        for one in sold if answer is None else ():
            if one.layer is None and any(True for _ in self._selling.leaves(one)):
                why = f"{one.name} of the book leaves a layer, of which this title says nothing"
                lacks = True
        return sold, why, lacks

    def _layer_of(self, layer: ReadLayer, chosen: ChosenLayer | None) -> tuple[Layer | None, str]:
        """The layer with its supply, or what must be said first."""
        if chosen is not None:
            if not chosen.protection:
                return None, ""
            fits = {one.value for one in CLASSES[ProtectionClass(chosen.protection)].groups}
            groups = layer.groups if fits.issuperset(layer.groups) else None
            supply = self._shelf.find(chosen.supply) if chosen.supply else None
            put = groups or tuple(usual_groups(chosen.protection))
            return Layer(chosen.protection, supply, put), ""
        if layer.asks:
            return None, layer.asks
        supplies, months = self._shelf.leaving(layer.protection, layer.months), layer.months
        if len(supplies) == 1 and months is not None and supplies[0].get("life_high_days") is None:
            name = supplies[0].get("name")
            return None, f"it is not known whether {name} lasts for {lasting('', months).strip()}"
        if len(supplies) > 1:
            names = " or ".join(str(one.get("name")) for one in supplies[:3])
            return None, f"it is not said which {layer.protection}: {names}"
        return Layer(layer.protection, supplies[0] if supplies else None, layer.groups, months), ""

    def _as_it_stands(self, sold: Sold) -> Sold:
        """The service of that name where the book has it and it leaves this layer."""
        name, at = sold.name, 1
        while (stands := self._selling.services.get(plain_name(sold.name))) is not None:
            leaves = {layer.protection for layer in self._selling.leaves(Sold("", stands))}
            if sold.layer is None or {sold.layer.protection} == leaves:
                return replace(sold, name=str(stands.get("name")), stands=stands)
            at += 1
            more = f"{sold.layer.protection}{f' {at}' if at > 2 else ''}"
            sold = replace(sold, name=f"{name[:80]} ({more})")
        return sold

    # What is drafted of it

    def _sell_all(self, jobs: Iterable[tuple[LineOutcome, Draft]], sold: list[Sold]) -> int:
        """Sell the services on the jobs; how many layers were put on."""
        count = 0
        for outcome, job in jobs:
            origin = outcome.line.source.whole()
            services = [self._selling.service(one, origin) for one in sold]
            layers = self._selling.sell(job, services, origin)
            count += layers
            said = [f"sold as {', '.join(str(one.get('name')) for one in services)}"]
            leaves = [one for each in sold for one in self._selling.leaves(each)]
            if layers:
                said += [f"leaves {one.words()}" for one in leaves]
            elif leaves and job.get("vehicle_id") is None:
                said.append("no layer, for its vehicle is not known")
            (outcome.remarks if outcome.made else outcome.changes).extend(said)
        return count


def _state(sold: list[Sold], answer: Answer | None, *, lacks: bool, accepts: bool) -> str:
    """What stands of a title that the book does not know as a whole."""
    if answer is not None and not answer.takes:
        return "none"
    if not sold:
        return "unread"
    if lacks:
        return "asks"
    return "accepted" if answer is not None or accepts else "proposed"


def _lacks(layer: ReadLayer) -> str:
    """What a choice for one title answers for the others."""
    return lasting(layer.protection, layer.months) if layer.protection else layer.asks


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


def _parts(title: str) -> list[str]:
    for mark in ("\n", ";", "+", ",", " & ", " and "):
        title = title.replace(mark, "|")
    return [part.strip() for part in title.split("|") if part.strip()]

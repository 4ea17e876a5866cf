"""From the titles of jobs to drafts: the services sold, their steps, and the layers they left.

A title that the book knows (a service is called so, or earlier jobs with that title have services)
is taken as it was; any other waits for a person's word and does nothing until then.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
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
    ReadTitle,
    read_note,
    read_title,
    usual_groups,
)

REFUSED = "titles_of_no_service"  # the setting in which they are kept


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
        refused: Iterable[str],
        *,
        accepts: bool,
    ) -> None:
        """`moment` stands for a day; `refused` are titles that were said earlier to be none;
        `accepts` takes all that is proposed without a question."""
        self._drafts, self._shelf = drafts, shelf
        self._refused = dict.fromkeys(refused)
        before = dict.fromkeys(self._refused, Answer(takes=False))
        self._answers, self._accepts = before | dict(answers), accepts
        self._selling = Selling(drafts, shelf, moment)
        self._stood = dict(
            self._selling.services
        )  # what is confirmed now makes no other title known
        self._by_title = self._sold_as()
        self._chosen: dict[str, tuple[ChosenLayer, str]] = {}

    def _sold_as(self) -> dict[str, tuple[Draft, ...]]:
        """The services of the latest job of each title that the book has."""
        found: dict[str, tuple[Draft, ...]] = {}
        for job in sorted(
            self._drafts.all("jobs"), key=lambda job: str(job.get("first_day") or "")
        ):
            links = self._selling.sold.get(job.row_id) if not job.is_new else None
            services = [self._drafts.standing("services", one) for one in links or ()]
            if services and job.get("title"):
                key = _key(str(job.get("title")), read_note(str(job.get("notes") or "")))
                found[key] = tuple(one for one in services if one)
        return found

    def settle(self, outcomes: Iterable[LineOutcome]) -> tuple[Proposal, ...]:
        """Draft what the titles of these jobs lead to; what is proposed for each of them."""
        told = self._gathered(outcomes)
        for key, one in told.items():
            self._learn_choice(one, self._answers.get(key))
        proposals = [self._settled(key, one) for key, one in told.items()]
        self._remember_refused(told)
        order = {"asks": 0, "proposed": 1, "unread": 2}
        shown = [one for one in proposals if one is not None]
        return tuple(sorted(shown, key=lambda one: (order.get(one.state, 3), -one.jobs)))

    def _remember_refused(self, told: Iterable[str]) -> None:
        """Titles that were said to be none are not asked about again."""
        refused = dict(self._refused)
        for key in told:
            answer = self._answers.get(key)
            if answer is not None and not answer.takes:
                refused[key] = None
            elif answer is not None:
                refused.pop(key, None)
        if refused == self._refused:
            return
        stands = self._drafts.standing("settings", REFUSED)
        if stands is not None:
            stands.values["value"] = list(refused)
        else:
            self._drafts.new("settings", "", name=REFUSED, value=list(refused))

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
        bare = [
            (o, job) for o, job in jobs if not job.is_new and not self._selling.sold[job.row_id]
        ]
        if not bare and not new:
            return None
        known = self._by_title.get(key, ()) if told.noted else self._known(told.title)
        sold = [Sold(str(one.get("name")), one) for one in known]
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
            layers=tuple(layer.words() for one in sold for layer in self._selling.leaves(one)),
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
            if pick is None and answer is None and (said := self._chosen.get(_lacks(layer))):
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
        return [self._as_it_stands(one) for one in sold], why, lacks

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
        supplies = self._shelf.leaving(layer.protection)
        if len(supplies) > 1:
            names = " or ".join(str(one.get("name")) for one in supplies[:3])
            return None, f"it is not said which {layer.protection}: {names}"
        return Layer(layer.protection, supplies[0] if supplies else None, layer.groups), ""

    def _as_it_stands(self, sold: Sold) -> Sold:
        """The service of that name where the book has it and it leaves this layer."""
        name, at = sold.name, 1
        while (stands := self._selling.services.get(plain_name(sold.name))) is not None:
            leaves = {layer.protection for layer in self._selling.leaves(Sold("", stands))}
            if sold.layer is None or sold.layer.protection in leaves:
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
            if layers:
                said += [
                    f"leaves {one.words()}" for each in sold for one in self._selling.leaves(each)
                ]
            elif job.get("vehicle_id") is None and any(
                True for s in sold for _ in self._selling.leaves(s)
            ):
                said.append("no layer, for its vehicle is not known")
            (outcome.remarks if outcome.made else outcome.changes).extend(said)
        return count

    def _sell_parts(self, told: _Told, jobs: Iterable[tuple[LineOutcome, Draft]]) -> None:
        """Sell what the book knows by name of a title that it does not know as a whole."""
        parts = [self._stood.get(plain_name(part)) for part in _parts(told.title)]
        services = list(dict.fromkeys(part for part in parts if part is not None))
        for outcome, job in jobs if services else ():
            self._selling.sell(job, services, outcome.line.source.whole())


def _state(sold: list[Sold], answer: Answer | None, *, lacks: bool, accepts: bool) -> str:
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


def _parts(title: str) -> list[str]:
    for mark in ("\n", ";", "+", ",", " & ", " and "):
        title = title.replace(mark, "|")
    return [part.strip() for part in title.split("|") if part.strip()]

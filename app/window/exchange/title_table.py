"""What titles of jobs are taken for: each confirmed, changed or refused once, by a key."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import partial

from app.actions.exchange.preview_lines import Preview
from app.actions.exchange.title_choices import all_proposed, layers_to_choose, services_to_choose
from app.actions.exchange.title_proposals import STATES, Answer, ChosenLayer, Proposal
from app.window.house.place import Place
from app.window.paper.cells import Cell, Column, EmptyText, State, TableRow, quiet, row_of
from app.window.paper.entrytable import EntryTable
from app.window.paper.finder import FoundLine
from app.window.paper.notes import Alert, Block, Facts, Keys, Offer, Rule, Voice, known

TITLE_KEYS: Keys = (
    ("F6", "it is so"),
    ("F7", "it is none of it"),
    ("↵", "another service"),
    ("F4", "which layer"),
    ("F9", "all that are proposed"),
    ("F8", "next one that asks"),
    ("Ctrl ↵", "bring it in"),
)
_COLUMNS = (
    Column("title", "Title", width=0, least=115),
    Column("jobs", "Jobs", width=52, least=40, right=True, dense=True),
    Column("services", "Sold as", width=190, least=90),
    Column("layers", "Leaves", width=190, least=90),
    Column("state", "", width=128, least=96),
)
_MARKS = {"accepted": "done", "known": "done"}


class TitleTable(EntryTable):
    """The proposals of a preview; `say` is given the answers that a person gives."""

    def __init__(self, place: Place, say: Callable[[Mapping[str, Answer]], object]) -> None:
        empty = EmptyText(
            "No title to confirm",
            "What past jobs were called leads to services and layers, once you say so. "
            "The files hold no past jobs, or the book knows all their titles.",
        )
        super().__init__(place.theme, _COLUMNS, rows_from=24, rows_to=30, empty=empty)
        self._place, self._say = place, say
        self._plan: Preview | None = None
        self._order: dict[str, int] = {}
        self.row_opened.connect(lambda _key: self.choose_service())

    def show_plan(self, plan: Preview | None) -> None:
        """Show what a preview proposes; what stood there keeps its place."""
        self._plan = plan
        proposals = plan.proposals if plan is not None else ()
        if not proposals:
            self._order = {}
        for one in proposals:
            self._order.setdefault(one.key, len(self._order))
        rows = sorted(proposals, key=lambda one: self._order[one.key])
        self.show_rows([_row(one) for one in rows])

    def sum(self) -> tuple[str, bool]:
        """What there is in a few words, and whether any of it waits for a person."""
        proposals = self._plan.proposals if self._plan is not None else ()
        waiting = sum(one.waits for one in proposals)
        parts = [f"{waiting:,} to confirm"] if waiting else []
        for state in ("accepted", "known", "none", "unread"):
            count = sum(one.state == state for one in proposals)
            parts += [f"{count:,} {STATES[state]}"] if count else []
        return ", ".join(parts), waiting > 0

    def proposal(self) -> Proposal | None:
        """The proposal with the focus."""
        at, plan = self.current_key(), self._plan
        found = (one for one in plan.proposals if one.key == at) if plan is not None else iter(())
        return next(found, None)

    def answer(self, takes: bool) -> None:
        """It is so, or none of it."""
        one = self.proposal()
        if one is None or one.state == "known":
            return
        if takes and one.state == "asks" and one.kind == "title":
            self._place.office.say_trouble(
                f"“{one.what}”: {one.why}. F4 says which layer it was, Enter which service."
            )
        elif takes and one.state == "unread":
            self._place.office.say_trouble(
                "Nothing is proposed for this title. Enter chooses a service, F4 a layer."
            )
        else:
            self._say({one.key: Answer(takes)})

    def take_all(self) -> None:
        """Everything that is proposed and asks nothing."""
        if self._plan is not None and (answers := all_proposed(self._plan)):
            self._say(answers)

    def choose_service(self) -> None:
        """Let the person say which service a title is."""
        one, plan = self.proposal(), self._plan
        if one is None or plan is None or one.kind != "title" or one.state == "known":
            return

        said = replace(one.answer or Answer(), takes=True)

        def say(service: str) -> None:
            self._say({one.key: replace(said, service=service)})

        def look_up(text: str) -> list[FoundLine]:
            low = text.casefold()
            return [
                FoundLine("Sold as", name, more, partial(say, name))
                for name, more in services_to_choose(plan, one)
                if low in name.casefold()
            ]

        self._place.pick("which service it was", look_up)

    def choose_layer(self) -> None:
        """Let the person say which layer a title left, and of which supply."""
        one, plan = self.proposal(), self._plan
        if one is None or plan is None or one.kind != "title" or one.state == "known":
            return

        said = replace(one.answer or Answer(), takes=True)

        def say(layer: ChosenLayer) -> None:
            self._say({one.key: replace(said, layer=layer)})

        def look_up(text: str) -> list[FoundLine]:
            low = text.casefold()
            return [
                FoundLine("It left", name, more, partial(say, layer))
                for layer, name, more in layers_to_choose(plan)
                if low in name.casefold() or low in more
            ]

        self._place.pick("which layer it left", look_up)

    def explain(self, blocks: list[Block]) -> str:
        """What there is to know of the proposal with the focus; its title."""
        one = self.proposal()
        if one is None:
            return ""
        if one.state in ("asks", "unread"):
            blocks.append(Alert(f"{one.why[:1].upper()}{one.why[1:]}.", "look"))
        elif one.why:
            blocks.append(Voice(f"{one.why[:1].upper()}{one.why[1:]}."))
        blocks.append(
            known(("Sold as", ", ".join(one.services)), ("Leaves", ", ".join(one.layers)))
            if one.kind == "title"
            else Facts((("Becomes", "a pool"),))
        )
        if one.layers and one.state in ("accepted", "known"):
            blocks.append(Facts((("Vehicles", f"{one.told:,} get the layer"),)))
        if one.state == "known":
            return one.what
        blocks.append(Rule())
        if one.kind == "pool" or one.state not in ("asks", "unread"):
            blocks.append(Offer("F6", "It is so", partial(self.answer, True)))
        blocks.append(Offer("F7", "None of it", partial(self.answer, False)))
        if one.kind == "title":
            blocks += [
                Offer("↵", "Another service", self.choose_service),
                Offer("F4", "Which layer it left", self.choose_layer),
            ]
        return one.what


def _row(one: Proposal) -> TableRow:
    words = one.word
    state = Cell(words, State.QUIET, mark=_MARKS.get(one.state, ""))
    if one.state == "proposed":
        state = Cell(words, State.PLAIN, mark="add")
    elif one.waits:
        state = Cell(words, State.LOOK, mark="look")
    services, layers = ", ".join(one.services), ", ".join(one.layers)
    return row_of(
        one.key,
        Cell(one.what, tip=one.what),
        f"{one.jobs:,}" if one.jobs else "",
        quiet(services, tip=services),
        quiet(layers or one.why, tip=layers or one.why),
        state,
    )

"""Services and recipes: what is sold, its steps, and what it is expected to use."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QWidget

from app.actions.desk.amounts import all_supplies, amount_text, money
from app.actions.desk.desk import Desk
from app.actions.jobs import services
from app.actions.jobs.services import ServicePage
from app.calculations.layers.protection import SurfaceGroup
from app.calculations.numbers.durations import shown_duration
from app.window.house.office import Office
from app.window.house.place import Place
from app.window.paper.action import ActionRow
from app.window.paper.cells import Cell, Column, EmptyText, Outcome, State, TableRow
from app.window.paper.entrytable import EntryTable
from app.window.paper.finder import FoundLine
from app.window.paper.notes import Block, Facts, Note, Rule, Voice
from app.window.paper.partsbody import PartsBody
from app.window.paper.strip import Entry, Strip

if TYPE_CHECKING:
    from app.records.queries.services import ServiceStepRow

KEYS = {
    "list": (
        ("0–9", "write over time or price"),
        ("Ins", "a further service"),
        ("Space", "sold, or not any more"),
        ("Alt 3", "its recipe"),
    ),
    "steps": (
        ("Ins", "a further step"),
        ("F4", "a step that puts a layer on"),
        ("Ctrl Del", "take the step out"),
        ("Alt 1", "the services"),
    ),
    "recipe": (
        ("0–9", "write over the amount"),
        ("Space", "how it grows"),
        ("Ins", "a further supply"),
        ("Ctrl Del", "take the line out"),
    ),
}
_ENTRIES = {
    "list": ("What is sold", "Times and prices for a medium vehicle in average condition."),
    "steps": ("Its steps", "They are copied to each job that is booked from now on."),
    "recipe": ("Its recipe", "Typed as you say it: 2 oz, 1/4 bottle, 4 gal mixed."),
}
_SCALINGS = tuple(services.SCALINGS)


class ServicesPage(Place):
    """Three entries: the services, then steps and recipe of the one with the focus."""

    shows = frozenset({"services", "supplies", "settings"})
    keys = (
        *((_ENTRIES[key][0], keys) for key, keys in KEYS.items()),
        ("Everywhere on this page", (("Esc", "back to the place you came from"),)),
    )

    def __init__(self, office: Office) -> None:
        super().__init__(office)
        self.service: int | None = None
        self._page: ServicePage | None = None
        self.list = self._table(
            (
                Column("name", "Service", width=0, least=180),
                Column("side", "Size that counts", width=130, least=80, dense=True),
                Column("minutes", "Takes", width=110, least=80, right=True),
                Column("price", "Price", "before tax", width=110, least=80, right=True),
                Column("state", "", width=110, least=80, dense=True, pad=16),
            )
        )
        self.steps = self._table(
            (
                Column("name", "Step", width=300, least=170),
                Column("effect", "On the vehicle", width=0, least=170, dense=True),
            )
        )
        self.recipe = self._table(
            (
                Column("supply", "Supply", width=0, least=180),
                Column("amount", "Amount", width=150, least=100, right=True),
                Column("scaling", "Goes", width=210, least=120, dense=True, pad=16),
            )
        )
        self.list.on_commit = self._typed_service
        self.steps.on_commit = self._typed_step
        self.recipe.on_commit = self._typed_line
        self.list.row_entered.connect(lambda key, _column: self._chosen(key))
        self.list.cell_clicked.connect(self._clicked)
        for table in (self.steps, self.recipe):
            table.row_entered.connect(lambda _key, _column: self._explain())
        for table in (self.list, self.steps, self.recipe):
            table.add_asked.connect(self._add)
        self.recipe.teach_when_empty(
            EmptyText(
                "No recipe yet",
                "Say what a medium vehicle in average condition takes. Size, condition and your "
                "own confirmed uses move it from there.",
                "Ins",
                "Choose a supply",
                self._add,
            )
        )
        self._rows: dict[str, ActionRow] = {}
        self.strip = Strip(office.theme, self._make)
        self.strip.opened.connect(lambda _key: self._explain())
        self.set_head("Services and recipes", "what is sold, and what it is expected to use")
        self.set_body(self.strip, bleeds=True)
        self.strip.open("list", still=True)
        self.on_key("Ins", self._add)
        self.on_key("Esc", self.office.go_back)
        self.on_key("Space", self._turn, letter=True)
        self.on_key("Ctrl+Del", self._remove)
        self.on_key("F4", self._add_layer)

    def _table(self, columns: Sequence[Column]) -> EntryTable:
        return EntryTable(self.office.theme, columns, rows_from=24, rows_to=30)

    def _make(self, key: str) -> QWidget:
        table, label = {
            "list": (self.list, "A further service"),
            "steps": (self.steps, "A further step"),
            "recipe": (self.recipe, "A further supply"),
        }[key]
        row = ActionRow(self.office.theme, label, "Ins")
        row.button.clicked.connect(self._add)
        self._rows[key] = row
        return PartsBody(self.office.theme, table, row, gap=2)

    # reading -------------------------------------------------------------------------------
    def refresh(self, kinds: frozenset[str]) -> None:
        """Read the services, and the one with the focus."""
        lines = self.office.read(lambda: services.list_services(self.office.desk))
        if lines is None:
            return
        rows = [
            TableRow(
                line.service_id,
                (
                    Cell(line.name, State.CLOSED if line.stopped else State.PLAIN, editable=True,
                         bold=not line.stopped),
                    Cell("outside" if line.outside else "inside", State.QUIET),
                    Cell(shown_duration(line.minutes), editable=True),
                    Cell(money(self.office.desk, line.price), editable=True),
                    Cell("not sold any more" if line.stopped else "", State.QUIET),
                ),
            )
            for line in lines
        ]  # fmt: skip
        blank = Cell("", detail="a further service", editable=True)
        rows.append(TableRow("new", (blank, *(Cell() for _ in range(4)))))
        ids = [line.service_id for line in lines]
        if self.service not in ids:
            self.service = ids[0] if ids else None
        self.list.show_rows(rows)
        self._read_one()

    def _read_one(self) -> None:
        number = self.service
        self._page = (
            self.office.read(lambda: services.service_page(self.office.desk, number))
            if number is not None
            else None
        )
        page = self._page
        self.steps.show_rows(
            [
                TableRow(
                    step.step_id,
                    (
                        Cell(step.name, tip=step.name),
                        _effect_cell(self.office.desk, step),
                    ),
                )
                for step in (page.steps if page else ())
            ]
            + [TableRow("new", (Cell("", detail="a further step", editable=True), Cell()))]
        )  # fmt: skip
        self.recipe.show_rows(
            [
                TableRow(
                    line.supply_id,
                    (
                        Cell(supply.name),
                        Cell(amount_text(self.office.desk, supply, line.amount), editable=True),
                        Cell(services.SCALINGS.get(line.scaling, line.scaling), State.QUIET),
                    ),
                )
                for line in (page.recipe if page else ())
                for supply in (all_supplies(self.office.desk)[line.supply_id],)
            ]
        )
        self._name_entries()
        self._explain()

    def _name_entries(self) -> None:
        page = self._page
        count = sum(isinstance(row.key, int) for row in self.list.rows)
        counts = {"list": count, "steps": 0, "recipe": 0}
        results = {"list": f"{count} services", "steps": "", "recipe": ""}
        titles = {key: _ENTRIES[key][0] for key in _ENTRIES}
        if page is not None:
            counts["steps"], counts["recipe"] = len(page.steps), len(page.recipe)
            results["steps"] = f"{len(page.steps)} steps"
            results["recipe"] = f"{len(page.recipe)} supplies"
            titles["steps"] = f"{page.service.name}: steps"
            titles["recipe"] = f"{page.service.name}: recipe"
        self.strip.set_entries(
            [
                Entry(key, titles[key], _ENTRIES[key][1], results[key], "",
                      "done" if counts[key] else "to come")
                for key in _ENTRIES
            ]
        )  # fmt: skip
        self.strip.relay()

    def _chosen(self, key: Hashable) -> None:
        if isinstance(key, int) and key != self.service:
            self.service = key
            self._read_one()

    def _explain(self) -> None:
        key, page = self.strip.open_key or "list", self._page
        blocks: list[Block] = []
        if page is None:
            blocks.append(Voice("Write the first service: its name is enough to begin with."))
            self.margin.say(Note("Services", tuple(blocks), KEYS[key]))
            return
        desk = self.office.desk
        cost = self.office.read(lambda: services.recipe_cost(desk, page.service.service_id)) or 0
        facts = [
            ("Takes", shown_duration(page.service.minutes)),
            ("Price before tax", money(desk, page.service.price)),
        ]
        facts.append(("Supplies at cost", money(desk, cost)))
        hours = page.service.minutes / 60
        if hours and page.service.price:
            facts.append(
                ("Left for an hour", money(desk, round((page.service.price - cost) / hours)))
            )
        facts.append(("Taxed", "yes" if page.service.taxed else "no"))
        blocks += [
            Facts(tuple(facts)),
            Rule(),
            Voice(
                "For a medium vehicle in average condition. Jobs that are booked already keep "
                "their steps, charges and hours."
            ),
        ]
        if page.service.notes:
            blocks.append(Voice(page.service.notes))
        self.margin.say(Note(page.service.name, tuple(blocks), KEYS[key]))

    def entered(self) -> None:
        """Set the focus into the open entry's table."""
        body = self.strip.made(self.strip.open_key)
        if isinstance(body, PartsBody):
            body.entered()

    # writing -------------------------------------------------------------------------------
    def _typed_service(self, key: Hashable, column: str, text: str) -> Outcome:
        desk = self.office.desk
        if key == "new":
            if not text:
                return Outcome()
            return self.office.typed(partial(services.add_service, desk, text), text)
        if not isinstance(key, int):
            return Outcome()
        return self.office.typed(partial(services.edit_service, desk, key, **{column: text}), text)

    def _typed_step(self, key: Hashable, _column: str, text: str) -> Outcome:
        if key != "new" or not text or self.service is None:
            return Outcome()
        return self.office.typed(
            partial(services.add_service_step, self.office.desk, self.service, text), text
        )

    def _typed_line(self, key: Hashable, _column: str, text: str) -> Outcome:
        if not isinstance(key, int) or self.service is None:
            return Outcome()
        desk = self.office.desk
        if text in ("", "0", "-"):
            return self.office.typed(
                partial(services.remove_recipe_line, desk, self.service, key), text
            )
        return self.office.typed(
            partial(services.set_recipe_line, desk, self.service, key, text), text
        )

    def _clicked(self, key: object, column: str) -> None:
        if isinstance(key, int) and column == "side":
            outside = self._page is not None and self._page.service.outside
            self.office.typed(
                partial(services.edit_service, self.office.desk, key, outside=not outside), ""
            )

    # keys ----------------------------------------------------------------------------------
    def _turn(self) -> None:
        page, desk = self._page, self.office.desk
        if page is None:
            return
        if self.strip.open_key == "list":
            change = partial(
                services.edit_service,
                desk,
                page.service.service_id,
                stopped=not page.service.stopped,
            )
            self.office.act(change)
        elif self.strip.open_key == "recipe":
            supply = self.recipe.current_key()
            line = next((one for one in page.recipe if one.supply_id == supply), None)
            if line is not None:
                at = (_SCALINGS.index(line.scaling) + 1) % len(_SCALINGS)
                self.office.act(
                    partial(
                        services.set_scaling,
                        desk,
                        page.service.service_id,
                        line.supply_id,
                        _SCALINGS[at],
                    )
                )

    def _add(self) -> None:
        key = self.strip.open_key
        if key == "recipe":
            self._add_supply()
            return
        table = self.list if key == "list" else self.steps
        table.setFocus()
        if table.go("new", "name"):
            table.edit(table.currentIndex())

    def _add_supply(self) -> None:
        service, desk = self.service, self.office.desk
        if service is None:
            return
        on = {line.supply_id for line in self._page.recipe} if self._page else set()

        def put(supply: int) -> None:
            usual = "1" if all_supplies(desk)[supply].kind == "piece" else "10"
            self.office.act(partial(services.set_recipe_line, desk, service, supply, usual))
            self.recipe.setFocus()
            if self.recipe.go(supply, "amount"):
                self.recipe.edit(self.recipe.currentIndex())

        self.pick("a supply", self._supplies(put, on))

    def _supplies(
        self, put: Callable[[int], object], without: set[int]
    ) -> Callable[[str], list[FoundLine]]:
        desk = self.office.desk

        def look_up(text: str) -> list[FoundLine]:
            low = text.lower()
            return [
                FoundLine("Supplies", one.name, "", partial(put, one.supply_id))
                for one in all_supplies(desk).values()
                if one.supply_id not in without and low in one.name.lower() and not one.stopped
            ]

        return look_up

    def _add_layer(self) -> None:
        """A step that puts a layer on: choose the supply, then where it goes."""
        service, desk = self.service, self.office.desk
        if service is None or self.strip.open_key != "steps":
            return
        kept = {one.supply_id for one in all_supplies(desk).values() if not one.protection}

        def put(supply: int) -> None:
            name = all_supplies(desk)[supply].name
            groups = _paint()
            self.office.act(
                partial(services.add_service_step, desk, service, f"Put on {name.lower()}",
                        "applies", supply, groups)
            )  # fmt: skip

        self.pick("what is put on", self._supplies(put, kept))

    def _remove(self) -> None:
        service, desk = self.service, self.office.desk
        if service is None:
            return
        if self.strip.open_key == "steps":
            step = self.steps.current_key()
            if isinstance(step, int):
                self.office.act(partial(services.remove_service_step, desk, service, step))
        elif self.strip.open_key == "recipe":
            supply = self.recipe.current_key()
            if isinstance(supply, int):
                self.office.act(partial(services.remove_recipe_line, desk, service, supply))

    def primary(self) -> None:
        """Add a line to the open entry."""
        self._add()


def _effect_cell(desk: Desk, step: ServiceStepRow) -> Cell:
    text = services.effect_text(desk, step.effect, step.supply_id, step.surface_groups)
    return Cell(text, State.QUIET, mark="layer" if text else "", tip=text)


def _paint() -> tuple[str, ...]:
    """Where a layer usually goes: the painted panels."""
    painted = (SurfaceGroup.UPPER_HORIZONTALS, SurfaceGroup.UPPER_SIDES, SurfaceGroup.LOWERS)
    return tuple(group.value for group in painted)

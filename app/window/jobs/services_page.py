"""Services and recipes: what is sold, its steps, and what it is expected to use."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QWidget

from app.actions.desk.amounts import all_supplies, amount_text, money
from app.actions.desk.desk import Desk
from app.actions.jobs import services, step_times
from app.actions.jobs.services import ServicePage
from app.actions.shop import tax_rates
from app.calculations.layers.protection import SurfaceGroup
from app.calculations.numbers.durations import shown_duration
from app.calculations.numbers.wording import count_of
from app.window.house.acting import on_book
from app.window.house.entriespage import EntriesPage
from app.window.house.office import Office
from app.window.paper.action import ActionRow
from app.window.paper.cells import (
    Cell,
    Column,
    EmptyText,
    Outcome,
    State,
    entry,
    new_row,
    quiet,
    row_of,
)
from app.window.paper.entrytable import EntryTable
from app.window.paper.finder import FoundLine
from app.window.paper.notes import Note, Rule, Voice, known
from app.window.paper.partsbody import PartsBody

if TYPE_CHECKING:
    from app.records.queries.services import ServiceStepRow

KEYS = {
    "list": (
        ("0–9", "write over time or price"),
        ("Ins", "another service"),
        ("Space", "offered or not, size, where"),
        ("Alt 3", "its recipe"),
    ),
    "steps": (
        ("Ins", "another step"),
        ("F4", "a step that puts a layer on"),
        ("A–Z", "say it in other words"),
        ("0–9", "how long it takes, or stands"),
        ("Ctrl ↑↓", "move the step"),
        ("Ctrl Del", "take the step out"),
    ),
    "recipe": (
        ("0–9", "write over the amount"),
        ("Space", "how it grows"),
        ("Ins", "another supply"),
        ("Ctrl Del", "take the line out"),
    ),
}
_SCALINGS = tuple(services.SCALINGS)
_PAINT = tuple(  # where a layer usually goes: the painted panels
    group.value
    for group in (SurfaceGroup.UPPER_HORIZONTALS, SurfaceGroup.UPPER_SIDES, SurfaceGroup.LOWERS)
)


class ServicesPage(EntriesPage):
    """Three entries: the services, then steps and recipe of the one with the focus."""

    entries: ClassVar = {
        "list": ("Services", "Times and prices for a medium vehicle in average condition."),
        "steps": ("Its steps", "They are copied to each job that is booked from now on."),
        "recipe": ("Its recipe", "Typed as you say it: 2 oz, 1/4 bottle, 4 gal mixed."),
    }
    shows_money = True
    shows = frozenset({"services", "supplies", "settings"})
    keys = (
        *zip((title for title, _ in entries.values()), KEYS.values(), strict=True),
        ("Everywhere on this page", (("Esc", "back to the place you came from"),)),
    )

    def __init__(self, office: Office) -> None:
        super().__init__(office)
        self.service: int | None = None
        self._page: ServicePage | None = None
        self.list = self._table(
            (
                Column("name", "Service", width=0, least=100),
                Column("outside", "Size that counts", width=130, least=64, dense=True),
                Column("in_bay", "Done", width=96, least=76, dense=True),
                Column("tax_kind", "Tax", width=96, least=70, dense=True),
                Column("minutes", "Takes", width=110, least=80, right=True),
                Column("price", "Price", subhead="before tax", width=110, least=80, right=True),
                Column("state", "", width=110, least=80, dense=True, pad=16, aside=1),
            )
        )
        self.steps = self._table(
            (
                Column("name", "Step", width=250, least=150),
                Column("minutes", "Takes", width=90, least=70, right=True),
                Column("hold", "Then it stands", width=170, least=110, pad=16),
                Column("effect", "On the vehicle", width=0, least=120, dense=True),
            ),
            EmptyText(
                "No service yet",
                "What the work goes through stands here, step by step. Name the service first.",
                "Alt 1",
                "Name a service",
                lambda: self.strip.open("list"),
            ),
        )
        self.recipe = self._table(
            (
                Column("supply", "Supply", width=0, least=180),
                Column("amount", "Amount", width=150, least=100, right=True),
                Column("scaling", "Goes", width=210, least=120, dense=True, pad=16),
            ),
            EmptyText(
                "No recipe yet",
                "Say what a medium vehicle in average condition takes. Size, condition and your "
                "own confirmed uses move it from there.",
                "Ins",
                "Choose a supply",
                self._add,
            ),
        )
        self.steps.sorts = False  # one follows the other
        self.list.on_commit = self._typed_service
        self.steps.on_commit = self._typed_step
        self.recipe.on_commit = self._typed_line
        self.list.row_entered.connect(lambda key, _column: self._chosen(key))
        for table in (self.steps, self.recipe):
            table.row_entered.connect(lambda _key, _column: self.explain())
        for table in (self.list, self.steps, self.recipe):
            table.add_asked.connect(self._add)
        self.set_head("Services and recipes", "times, prices, steps and what each uses")
        self.begin("list", self.office.go_back)
        self.on_key("Ins", self._add)
        self.on_key("Space", self._turn)
        self.on_key("Ctrl+Del", self._remove)
        self.on_key("Ctrl+Up", partial(self._move, -1))
        self.on_key("Ctrl+Down", partial(self._move, 1))
        self.on_key("F4", self._add_layer)

    def _table(self, columns: Sequence[Column], empty: EmptyText | None = None) -> EntryTable:
        return EntryTable(self.office.theme, columns, rows_from=24, rows_to=30, empty=empty)

    def make_body(self, key: str) -> QWidget:
        table, label = {
            "list": (self.list, "Another service"),
            "steps": (self.steps, "Another step"),
            "recipe": (self.recipe, "Another supply"),
        }[key]
        row = ActionRow(self.office.theme, label, "Ins")
        row.button.clicked.connect(self._add)
        return PartsBody(self.office.theme, table, row, gap=2)

    def open_item(self, item: object) -> None:
        """Go to a service in the list."""
        if isinstance(item, int):
            self.strip.open("list", still=True)
            self.list.go(item)

    # reading -------------------------------------------------------------------------------
    def refresh(self, kinds: frozenset[str]) -> None:
        """Read the services, and the one with the focus."""
        lines = self.office.read(partial(services.list_services, self.office.desk))
        if lines is None:
            return
        rows = [
            row_of(
                line.service_id,
                entry(line.name, State.CLOSED if line.stopped else State.PLAIN,
                      bold=not line.stopped),
                entry("outside" if line.outside else "inside", State.QUIET),
                entry("in the bay" if line.in_bay else "outside", State.QUIET),
                entry(line.tax_kind or "no tax", State.QUIET),
                entry(shown_duration(line.minutes)),
                entry(money(self.office.desk, line.price)),
                quiet("not offered any more" if line.stopped else ""),
            )
            for line in lines
        ]  # fmt: skip
        ids = [line.service_id for line in lines]
        if self.service not in ids:
            self.service = ids[0] if ids else None
        words = "another service" if rows else "your first service, such as Upkeep wash"
        self.list.show_rows([*rows, new_row(words, 7)])
        self._read_one()

    def _read_one(self) -> None:
        desk, number = self.office.desk, self.service
        self._page = page = (
            self.office.read(partial(services.service_page, self.office.desk, number))
            if number
            else None
        )
        all_steps = page.steps if page else ()
        steps = [
            row_of(
                step.step_id,
                entry(step.name, tip=step.name),
                entry(shown_duration(step.minutes) if step.minutes else ""),
                _hold_cell(desk, step, all_steps[at + 1 :]),
                _effect_cell(desk, step),
            )
            for at, step in enumerate(all_steps)
        ]
        # Without a service there is nothing that a step could be of.
        self.steps.show_rows([*steps, new_row("another step", 4)] if page else [])
        self.recipe.show_rows(
            [
                row_of(
                    line.supply_id,
                    supply.name,
                    entry(amount_text(desk, supply, line.amount)),
                    quiet(services.SCALINGS.get(line.scaling, line.scaling)),
                )
                for line in (page.recipe if page else ())
                for supply in (all_supplies(self.office.desk)[line.supply_id],)
            ]
        )
        count = sum(isinstance(row.key, int) for row in self.list.rows)
        results, done = {"list": count_of(count, "service")}, {"list": count}
        if page is not None:
            done |= {"steps": len(page.steps), "recipe": len(page.recipe)}
            results["steps"] = count_of(len(page.steps), "step")
            results["recipe"] = count_of(len(page.recipe), "supply")
        self.show_entries(results, done.get, owner=page.service.name if page else "")
        self.explain()

    def _chosen(self, key: Hashable) -> None:
        if isinstance(key, int) and key != self.service:
            self.service = key
            self._read_one()

    def explain(self) -> None:
        keys, page, desk = KEYS[self.strip.open_key or "list"], self._page, self.office.desk
        if page is None:
            first = Voice("Write the first service: its name is enough to begin with.")
            self.margin.say(Note("Services", (first,), keys))
            return
        service = page.service
        cost = (
            self.office.read(partial(services.recipe_cost, self.office.desk, service.service_id))
            or 0
        )
        hours, left = service.minutes / 60, ""
        if hours and service.price:
            left = money(desk, round((service.price - cost) / hours))
        facts = known(
            ("Takes", shown_duration(service.minutes)),
            ("Price before tax", money(desk, service.price)),
            ("Supplies at cost", money(desk, cost)),
            ("Left for an hour", left),
            ("Tax", f"as {service.tax_kind}" if service.tax_kind else "none"),
        )
        voice = Voice(
            "For a medium vehicle in average condition. Jobs that are booked already keep "
            "their steps, charges and hours."
        )
        notes = (Voice(service.notes),) if service.notes else ()
        self.margin.say(Note(service.name, (facts, Rule(), voice, *notes), keys))

    # writing -------------------------------------------------------------------------------
    def _typed_service(self, key: Hashable, column: str, text: str) -> Outcome:
        desk = self.office.desk
        if isinstance(key, int):
            edit = partial(services.edit_service, desk, key, **{column: text})
            return self.office.typed(edit, text)
        if not text:
            return Outcome()
        outcome = self.office.typed(partial(services.add_service, desk, text), text)
        if outcome.ok:  # its steps and its recipe come next, not those of the last in the list
            listed = self.office.read(partial(services.list_services, desk)) or ()
            self.service = max((line.service_id for line in listed), default=None)
            self._read_one()
            # What is typed next is its time; in the blank row it would found another service.
            QTimer.singleShot(0, self, partial(self.list.go, self.service, "minutes"))
        return outcome

    def _typed_step(self, key: Hashable, column: str, text: str) -> Outcome:
        if self.service is None:
            return Outcome()
        if isinstance(key, int) and column in ("minutes", "hold"):
            change = partial(step_times.set_step_time, self.office.desk, self.service, key)
            return self.office.typed(partial(change, **{column: text}), text)
        if not text:
            return Outcome()
        if isinstance(key, int):
            rename = partial(
                services.rename_service_step, self.office.desk, self.service, key, text
            )
            return self.office.typed(rename, text)
        add = partial(services.add_service_step, self.office.desk, self.service, text)
        return self.office.typed(add, text)

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

    # keys ----------------------------------------------------------------------------------
    def _turn(self) -> None:
        page, office = self._page, self.office
        if page is None:
            return
        if self.strip.open_key == "list":
            column = self.list.current_column()
            turned = column if column in ("outside", "in_bay") else "stopped"
            change: dict[str, object] = {turned: not getattr(page.service, turned)}
            if column == "tax_kind":
                kinds = [*tax_rates.kinds(office.desk), ""]
                at = kinds.index(page.service.tax_kind) if page.service.tax_kind in kinds else -1
                change = {"tax_kind": kinds[(at + 1) % len(kinds)]}
            on_book(office, services.edit_service, page.service.service_id, **change)
        elif self.strip.open_key == "recipe":
            supply = self.recipe.current_key()
            line = next((one for one in page.recipe if one.supply_id == supply), None)
            if line is not None:
                next_one = _SCALINGS[(_SCALINGS.index(line.scaling) + 1) % len(_SCALINGS)]
                number = page.service.service_id
                on_book(office, services.set_scaling, number, line.supply_id, next_one)

    def _add(self) -> None:
        if self.strip.open_key == "recipe":
            self._add_supply()
        else:
            table = self.list if self.strip.open_key == "list" else self.steps
            table.write_in("new", "name")

    def _add_supply(self) -> None:
        service, office = self.service, self.office
        if service is None:
            return
        on = {line.supply_id for line in self._page.recipe} if self._page else set()

        def put(supply: int) -> None:
            usual = "1" if all_supplies(office.desk)[supply].kind == "piece" else "10"
            on_book(office, services.set_recipe_line, service, supply, usual)
            self.recipe.write_in(supply, "amount")

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
                if one.supply_id not in without and low in one.name.lower()
                if not one.stopped and one.archived_on is None
            ]

        return look_up

    def _add_layer(self) -> None:
        """A step that puts a layer on: choose the supply, then where it goes."""
        service, office = self.service, self.office
        if service is None or self.strip.open_key != "steps":
            return
        supplies = all_supplies(office.desk)
        kept = {one.supply_id for one in supplies.values() if not one.protection}

        def put(supply: int) -> None:
            name = f"Put on {supplies[supply].name.lower()}"
            on_book(office, services.add_service_step, service, name, "applies", supply, _PAINT)

        self.pick("what is put on", self._supplies(put, kept))

    def _move(self, by: int) -> None:
        """Move the step with the focus up or down by one."""
        key = self.steps.current_key()
        if self.service is None or self.strip.open_key != "steps" or not self.steps.finish():
            return
        if isinstance(key, int):
            on_book(self.office, services.move_service_step, self.service, key, by)

    def _remove(self) -> None:
        ways = {
            "steps": (self.steps, services.remove_service_step),
            "recipe": (self.recipe, services.remove_recipe_line),
        }
        if self.service is not None and self.strip.open_key in ways:
            table, remove = ways[self.strip.open_key]
            key = table.current_key()
            if isinstance(key, int):
                on_book(self.office, remove, self.service, key)

    def primary(self) -> None:
        """Add a line to the open entry."""
        self._add()


def _hold_cell(desk: Desk, step: ServiceStepRow, later: tuple[ServiceStepRow, ...]) -> Cell:
    """How the vehicle stands after a step; quiet where that is only as its supply asks."""
    said = step_times.hold_text(step.hold, step.hold_minutes)
    usual = "" if said else step_times.usual_hold(desk, step, later)
    return entry(said or ("" if usual == "none" else usual), State.PLAIN if said else State.QUIET)


def _effect_cell(desk: Desk, step: ServiceStepRow) -> Cell:
    text = services.effect_text(desk, step.effect, step.supply_id, step.surface_groups)
    return quiet(text, mark="layer" if text else "", tip=text)

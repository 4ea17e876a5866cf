"""A pool on a supply's card: its steps, what was washed, what goes down a step or out."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from app.actions.desk.desk import Changed
from app.actions.shelf import pool_view, pools
from app.actions.shelf.pool_view import PoolView
from app.actions.stock import pool_lines, supply_facts
from app.calculations.stock.pools import RUNGS
from app.window.house.doingform import DoingForm
from app.window.house.office import Office
from app.window.house.savedform import SavedForm, Write
from app.window.paper.entrytable import EntryTable
from app.window.paper.fields import LineField
from app.window.paper.partsbody import PartsBody
from app.window.shelf.pool_rows import STEP_COLUMNS, step_rows

POOL_ROLES: list[tuple[str, object]] = [
    ("used up", ""),
    *((f"washed; begins on {rung}", rung) for rung in RUNGS),
]


class PoolForm(PartsBody):
    """Facts of the pool, its steps, and a line for each thing to do, as in `StockForm`."""

    def __init__(self, office: Office) -> None:
        self._office = office
        self.supply_id = 0  # none is shown yet
        self.facts = SavedForm(office, self._save, columns=3)
        self.facts.choice("pool", "These pieces are", POOL_ROLES)
        self.facts.line("pool_load", "Pieces in a load", str(pool_lines.USUAL_LOAD))
        self.facts.line("pool_uses", "Uses in a life", "75 to 150 for a paint towel")
        self.steps = EntryTable(office.theme, STEP_COLUMNS, rows_from=24, rows_to=28)
        self.steps.sorts = False  # one follows the other
        self.form = DoingForm(office, 4)
        super().__init__(office.theme, self.facts, self.steps, self.form, focus=self._first)
        self.washed = self._of_step("Washed", "2 loads", pools.wash)
        self.demoted = self._of_step("Down a step", "6, 3 interior", pools.demote)
        self.retired = self._of_step("Thrown out", "4, 2 wheels", pools.retire)
        self.lost = self._of_step("Lost", "2", pools.lose)
        counted = "Counted, clean and in use"
        self.counted = self._of_step(counted, "54, 12 interior", pools.count_pool)
        self.put_in = self.form.does("New pieces", "40", self._put_in)
        self.set_out = self._of_step("In use besides the jobs", "12, 5 interior", pools.set_out)

    def _first(self) -> Any:
        return self.facts.first_field() if self.form.isHidden() else self.washed

    def _of_step(self, label: str, hint: str, do: Callable[..., Changed]) -> LineField:
        """A line that does it to pieces of the step whose name is typed last, else of the first."""

        def typed(text: str) -> Write:
            head, _, last = text.rpartition(" ")
            rung = last.casefold() if last.casefold() in RUNGS else ""
            office, supply = self._office, self.supply_id
            return lambda: do(office.desk, office.day, supply, head if rung else text, rung)

        return self.form.does(label, hint, typed)

    def _put_in(self, text: str) -> Write:
        office, supply = self._office, self.supply_id
        return lambda: pools.put_in(office.desk, office.day, supply, text)

    def _save(self, key: str, value: Any) -> Callable[[], Changed]:
        if key != "pool":
            value = value or None
        return partial(supply_facts.edit_supply, self._office.desk, self.supply_id, **{key: value})

    def show_supply(self, supply: Any) -> PoolView | None:
        """Show a supply of pieces; its pool, where it is one."""
        if supply.supply_id != self.supply_id:
            self.facts.forget()
            self.form.drop()
        self.supply_id = supply.supply_id
        self.facts.show_values(vars(supply))
        read = partial(pool_view.pool_view, self._office.desk, supply.supply_id)
        view = self._office.read(read) if supply.pool else None
        self.steps.setVisible(view is not None)
        self.form.setVisible(view is not None)
        if view is not None:
            self.steps.show_rows(step_rows(view))
        self.lay()
        return view

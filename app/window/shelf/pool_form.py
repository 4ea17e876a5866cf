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
from app.errors import Mendable
from app.window.house.office import Office
from app.window.house.savedform import SavedForm
from app.window.paper.entrytable import EntryTable
from app.window.paper.fields import Form, LineField
from app.window.paper.partsbody import PartsBody
from app.window.shelf.pool_rows import STEP_COLUMNS, step_rows

Do = Callable[..., Changed]
ROLES: list[tuple[str, object]] = [
    ("used up", ""),
    *((f"washed; begins on {rung}", rung) for rung in RUNGS),
]


class PoolForm(PartsBody):
    """Facts of the pool, its steps, and a line for each thing to do, as in `StockForm`."""

    def __init__(self, office: Office) -> None:
        self._office = office
        self.supply_id: int | None = None
        self._fields: list[LineField] = []
        self.facts = SavedForm(office, self._save, columns=3)
        self.facts.choice("pool", "These pieces are", ROLES)
        self.facts.line("pool_load", "Pieces in a load", str(pool_lines.USUAL_LOAD))
        self.facts.line("pool_uses", "Uses in a life", "75 to 150 for a paint towel")
        self.steps = EntryTable(office.theme, STEP_COLUMNS, rows_from=21, rows_to=28)
        self.form = Form(office.theme, 4)
        super().__init__(office.theme, self.facts, self.steps, self.form, focus=self._first, gap=6)
        self.washed = self._line("Washed", "2 loads", pools.wash)
        self.demoted = self._line("Down a step", "6, 3 interior", pools.demote)
        self.retired = self._line("Thrown out", "4, 2 wheels", pools.retire)
        self.lost = self._line("Lost", "2", pools.lose)
        self.counted = self._line("Counted, clean and in use", "54, 12 interior", pools.count_pool)
        self.put_in = self._line("New pieces", "40", pools.put_in)
        self.set_out = self._line("In use besides the jobs", "12, 5 interior", pools.set_out)

    def _first(self) -> Any:
        return self.facts.first_field() if self.form.isHidden() else self.washed

    def _line(self, label: str, hint: str, do: Do) -> LineField:
        field = LineField(self._office.theme, "", hint)
        field.returnPressed.connect(partial(self._done, field, do))
        self.form.add(label, field)
        self._fields.append(field)
        return field

    def _done(self, field: LineField, do: Do) -> None:
        """Do what was typed; what cannot be read stays, with its reason."""
        text, supply = field.text().strip(), self.supply_id
        if supply is None or not text:
            return
        head, _, last = text.rpartition(" ")
        rung = last.casefold() if last.casefold() in RUNGS else ""
        office = self._office
        try:
            if do is pools.put_in:
                changed = pools.put_in(office.desk, office.day, supply, text)
            else:
                changed = do(office.desk, office.day, supply, head if rung else text, rung)
        except Mendable as trouble:
            field.set_trouble(trouble.sentence)
            office.say_trouble(trouble.sentence)
            return
        field.clear()
        field.set_trouble("")
        office.note(changed)

    def _save(self, key: str, value: Any) -> Callable[[], Changed]:
        assert self.supply_id is not None
        if key != "pool":
            value = value or None
        return partial(supply_facts.edit_supply, self._office.desk, self.supply_id, **{key: value})

    def show_supply(self, supply: Any) -> PoolView | None:
        """Show a supply of pieces; its pool, where it is one."""
        if supply.supply_id != self.supply_id:
            self.facts.forget()
            for field in self._fields:
                field.clear()
                field.set_trouble("")
        self.supply_id = supply.supply_id
        self.facts.show_values(
            {key: getattr(supply, key) for key in ("pool", "pool_load", "pool_uses")}
        )
        desk = self._office.desk
        view = None
        if supply.pool:
            view = self._office.read(lambda: pool_view.pool_view(desk, supply.supply_id))
        self.steps.setVisible(view is not None)
        self.form.setVisible(view is not None)
        if view is not None:
            self.steps.show_rows(step_rows(view))
        self.lay()
        return view

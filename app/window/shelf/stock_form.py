"""What is done with a supply by hand: thrown away, given back, brought along, filled into a bottle.

Each line is a thing to do: type how much, press Enter, and it is done, noted and undoable.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

from app.actions.desk.desk import Changed
from app.actions.desk.papers import file_name, papers_folder
from app.actions.shelf.supplies import SupplyPage
from app.actions.stock import stock
from app.documents.papers.label import BottleLabel, label_pdf
from app.errors import Mendable
from app.window.house.office import Office
from app.window.house.outside import open_outside
from app.window.paper.action import ActionRow
from app.window.paper.fields import Form, LineField
from app.window.paper.partsbody import PartsBody
from app.window.paper.runs import Run

Do = Callable[[str], Changed]


class StockForm(PartsBody):
    """The form with the row to open a container and to print the last label."""

    def __init__(self, office: Office) -> None:
        self._office = office
        self.supply_id: int | None = None
        self.label: BottleLabel | None = None
        self.form = Form(office.theme, 3)
        self.row = ActionRow(office.theme, "A container was opened", "F6")
        super().__init__(office.theme, self.form, self.row, focus=self.form.first_field)
        self.waste = self._line("Thrown away or spilled", "1/4 bottle, 200 ml", self._waste)
        self.back = self._line("Went back to its supplier", "1 gal", self._give_back)
        self.brought = self._line("Brought along, no order", "32 oz for 18.50", self._bring)
        self.bottle = self._line("A bottle was filled", "32 oz at 1 to 10", self._fill)
        self.row.button.clicked.connect(self.open_container)
        self.row.set_second("Print a label", "F7").clicked.connect(self.print_label)

    def _line(self, label: str, hint: str, do: Do) -> LineField:
        field = LineField(self._office.theme, "", hint)
        field.returnPressed.connect(partial(self._done, field, do))
        self.form.add(label, field)
        return field

    def _done(self, field: LineField, do: Do) -> None:
        """Do what was typed; what cannot be read stays, with its reason."""
        if self.supply_id is None or not field.text().strip():
            return
        try:
            changed = do(field.text().strip())
        except Mendable as trouble:
            field.set_trouble(trouble.sentence)
            self._office.say_trouble(trouble.sentence)
            return
        field.clear()
        field.set_trouble("")
        self._office.note(changed)

    def show_supply(self, page: SupplyPage) -> None:
        """Another supply: nothing typed for the last one stays."""
        supply = page.supply
        known = supply.supply_id == self.supply_id
        self.supply_id = supply.supply_id
        liquid = supply.kind == "liquid"
        self.bottle.setEnabled(liquid)
        self.bottle.setPlaceholderText("32 oz at 1 to 10" if liquid else "only liquids are filled")
        if not known:
            self.label = None
        why = ""
        if not liquid:
            why = "Labels are for liquids."
        elif self.label is None and not supply.bottle:
            why = "Fill a bottle, or enter its size under the facts; then its label prints."
        if self.row.second is not None:
            self.row.second.set_ready(not why)
        if known and self.label is not None:
            return
        self.row.show_hints([Run(why, "aside")] if why else [])
        if known:
            return
        for field in (self.waste, self.back, self.brought, self.bottle):
            field.clear()
            field.set_trouble("")

    def _at(self) -> tuple[int, Office]:
        assert self.supply_id is not None
        return self.supply_id, self._office

    def _waste(self, text: str) -> Changed:
        supply, office = self._at()
        return stock.waste(office.desk, office.day, supply, text)

    def _give_back(self, text: str) -> Changed:
        supply, office = self._at()
        return stock.give_back(office.desk, office.day, supply, text)

    def _bring(self, text: str) -> Changed:
        supply, office = self._at()
        amount, _, cost = text.partition(" for ")
        return stock.receive_goods_without_order(office.desk, office.day, supply, amount, cost)

    def _fill(self, text: str) -> Changed:
        supply, office = self._at()
        size, _, ratio = text.partition(" at ")
        changed, label = stock.fill_bottle(office.desk, office.day, supply, size, ratio)
        self.label = label
        self.row.show_hints([Run(label.mix, "unit")])
        if self.row.second is not None:
            self.row.second.set_ready(True)
        return changed

    def open_container(self) -> None:
        """Note that a container was opened today."""
        if self.supply_id is not None:
            supply, office = self._at()
            office.act(lambda: stock.open_container(office.desk, office.day, supply))

    def print_label(self) -> None:
        """Write the label of the bottle filled last, else of the usual one, and open it."""
        if self.supply_id is None:
            return
        supply, office = self._at()
        if self.label is None:
            self.label = office.act_now(lambda: stock.usual_label(office.desk, supply, office.day))
        label = self.label
        if label is None:
            return

        def do() -> None:
            folder = papers_folder(office.desk, "labels")
            path = folder / f"label {file_name(label.supply)} {office.day.isoformat()}.pdf"
            if self.write_label(path):
                open_outside(path)

        office.act(do)

    def write_label(self, path: Path) -> bool:
        """The label as a PDF of 3 by 2 inches; whether it was written."""
        label = self.label
        if label is None:
            return False
        written = self._office.act_now(lambda: label_pdf(label, path))
        if written is not None:
            self._office.say(f"Label written to {path}")
        return written is not None

"""What is done with a supply by hand: thrown away, given back, brought along, filled into a bottle.

Each line is a thing to do: type how much, press Enter, and it is done, noted and undoable.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

from PySide6.QtWidgets import QFileDialog

from app.actions import stock
from app.actions.desk import Changed
from app.documents.paper import BottleLabel, label_pdf
from app.errors import Mendable
from app.window.action import ActionRow
from app.window.fields import Form, LineField
from app.window.office import Office
from app.window.partsbody import PartsBody
from app.window.runs import Run

Do = Callable[[str], Changed]


class StockForm(PartsBody):
    """The form with the row to open a container and to print the last label."""

    def __init__(self, office: Office) -> None:
        self._office = office
        self.supply_id: int | None = None
        self.label: stock.BottleLabel | None = None
        self.form = Form(office.theme, 3)
        self.row = ActionRow(office.theme, "A container was opened", "F6")
        super().__init__(office.theme, self.form, self.row, focus=self.form.first_field)
        self.waste = self._line("Thrown away or spilled", "1/4 bottle, 200 ml", self._waste)
        self.back = self._line("Went back to its supplier", "1 gal", self._give_back)
        self.brought = self._line("Brought along, no order", "32 oz for 18.50", self._bring)
        self.bottle = self._line("A bottle was filled", "32 oz at 1 to 10", self._fill)
        self.row.button.clicked.connect(self.open_container)
        second = self.row.set_second("Print its label", "F7")
        second.set_ready(False)
        second.clicked.connect(self.print_label)

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

    def show_supply(self, supply_id: int) -> None:
        """Another supply: nothing typed for the last one stays."""
        if supply_id == self.supply_id:
            return
        self.supply_id = supply_id
        self.label = None
        for field in (self.waste, self.back, self.brought, self.bottle):
            field.clear()
            field.set_trouble("")
        self.row.show_hints([])
        if self.row.second is not None:
            self.row.second.set_ready(False)

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
        """Write the label of the bottle filled last, where the person says."""
        if self.label is None:
            self._office.say_trouble("Fill a bottle first; its label can then be printed.")
            return
        name = f"label {self.label.supply}.pdf"
        chosen, _ = QFileDialog.getSaveFileName(
            self, "Where to write the label", name, "PDF (*.pdf)"
        )
        if chosen:
            self.write_label(Path(chosen))

    def write_label(self, path: Path) -> None:
        """The label as a PDF of 3 by 2 inches."""
        label = self.label
        if label is None:
            return
        written = self._office.act(lambda: label_pdf(_paper_label(label), path))
        if written is not None:
            self._office.say(f"Label written to {path.name}")


def _paper_label(label: stock.BottleLabel) -> BottleLabel:
    return BottleLabel(
        label.supply,
        label.mix,
        label.mixed_on,
        label.use_by,
        label.signal_word,
        label.hazards,
        label.pictograms,
        label.overrides,
    )

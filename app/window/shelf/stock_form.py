"""What is done with a supply by hand: thrown away, given back, brought along, filled into a bottle.

Each line is a thing to do: type how much, press Enter, and it is done, noted and undoable.
"""

from __future__ import annotations

from pathlib import Path

from app.actions.desk.desk import Changed
from app.actions.desk.papers import file_name, papers_folder
from app.actions.shelf.supplies import SupplyPage
from app.actions.stock import stock
from app.documents.papers.label import BottleLabel, label_pdf
from app.window.house.acting import on_day
from app.window.house.doingform import DoingForm
from app.window.house.office import Office
from app.window.house.outside import open_outside
from app.window.paper.action import ActionRow
from app.window.paper.partsbody import PartsBody
from app.window.paper.runs import Run


class StockForm(PartsBody):
    """The form with the row to open a container and to print the last label."""

    def __init__(self, office: Office) -> None:
        self._office = office
        self.supply_id = 0  # none is shown yet
        self.label: BottleLabel | None = None
        self.form = DoingForm(office, 3)
        self.row = ActionRow(office.theme, "A container was opened", "F6")
        super().__init__(office.theme, self.form, self.row, focus=self.form.first_field)
        does = self.form.does
        self.waste = does("Thrown away or spilled", "1/4 bottle, 200 ml", self._waste)
        self.back = does("Went back to its supplier", "1 gal", self._give_back)
        self.brought = does("Brought along, no order", "32 oz for 18.50", self._bring)
        self.bottle = does("A bottle was filled", "32 oz at 1 to 10", self._fill)
        self.row.button.clicked.connect(self.open_container)
        self.row.set_second("Print a label", "F7").clicked.connect(self.print_label)

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
        self.row.set_second_ready(not why)
        if known and self.label is not None:
            return
        self.row.show_hints([Run(why, "aside")] if why else [])
        if known:
            return
        self.form.drop()

    def _waste(self, text: str) -> Changed:
        office = self._office
        return stock.waste(office.desk, office.day, self.supply_id, text)

    def _give_back(self, text: str) -> Changed:
        office = self._office
        return stock.give_back(office.desk, office.day, self.supply_id, text)

    def _bring(self, text: str) -> Changed:
        office = self._office
        amount, _, cost = text.partition(" for ")
        return stock.receive_goods_without_order(
            office.desk, office.day, self.supply_id, amount, cost
        )

    def _fill(self, text: str) -> Changed:
        office = self._office
        size, _, ratio = text.partition(" at ")
        changed, label = stock.fill_bottle(office.desk, office.day, self.supply_id, size, ratio)
        self.label = label
        self.row.show_hints([Run(label.mix, "unit")])
        self.row.set_second_ready(True)
        return changed

    def open_container(self) -> None:
        """Note that a container was opened today."""
        on_day(self._office, stock.open_container, self.supply_id)

    def print_label(self) -> None:
        """Write the label of the bottle filled last, else of the usual one, and open it."""
        office, supply = self._office, self.supply_id
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

"""What is done with a supply by hand: thrown away, given back, brought along, filled into a bottle.

Each line is a thing to do: type how much, press Enter, and it is done, noted and undoable.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TypeVar

from app.actions.desk.desk import Changed
from app.actions.desk.papers import file_name, papers_folder
from app.actions.shelf.supplies import SupplyPage
from app.actions.stock import stock
from app.documents.papers.label import BottleLabel, label_pdf
from app.window.house.acting import on_day
from app.window.house.doingform import DoingForm
from app.window.house.office import Office
from app.window.house.outside import open_outside
from app.window.house.savedform import Write
from app.window.paper.action import ActionRow
from app.window.paper.partsbody import PartsBody
from app.window.paper.runs import Run

T = TypeVar("T")


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
        waste, give_back = partial(self._do, stock.waste), partial(self._do, stock.give_back)
        self.waste = does("Thrown away or spilled", "1/4 bottle, 200 ml", waste)
        self.back = does("Went back to its supplier", "1 gal", give_back)
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
            self.form.drop()
        why = ""
        if not liquid:
            why = "Labels are for liquids."
        elif self.label is None and not supply.bottle:
            why = "Fill a bottle, or enter its size under the facts; then its label prints."
        self.row.set_second_ready(not why)
        if self.label is None:
            self.row.show_hints([Run(why, "aside")] if why else [])

    def _do(self, do: Callable[..., T], *typed: str) -> Callable[[], T]:
        """What does it to the supply that is shown now, on the day that lies open then."""
        office, supply = self._office, self.supply_id
        return lambda: do(office.desk, office.day, supply, *typed)

    def _bring(self, text: str) -> Write:
        amount, _, cost = text.partition(" for ")
        return self._do(stock.receive_goods_without_order, amount, cost)

    def _fill(self, text: str) -> Write:
        size, _, ratio = text.partition(" at ")
        fill, supply = self._do(stock.fill_bottle, size, ratio), self.supply_id

        def do() -> Changed:
            changed, label = fill()
            if supply == self.supply_id:
                self.label = label
                self.row.show_hints([Run(label.mix, "unit")])
                self.row.set_second_ready(True)
            return changed

        return do

    def open_container(self) -> None:
        """Note that a container was opened today."""
        on_day(self._office, stock.open_container, self.supply_id)

    def print_label(self) -> None:
        """Write the label of the bottle filled last, else of the usual one, and open it."""
        office, supply = self._office, self.supply_id
        if self.label is None:
            self.label = office.act_now(lambda: stock.usual_label(office.desk, supply, office.day))
        if self.label is None:
            return
        name = f"label {file_name(self.label.supply)} {office.day.isoformat()}.pdf"

        def do() -> None:
            path = papers_folder(office.desk, "labels") / name
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

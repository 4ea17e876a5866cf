"""A supply's facts, and what its safety data sheet warns of: forms that save what is left."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path
from typing import Any

from app.actions.desk.desk import Changed
from app.actions.orders import suppliers
from app.actions.shelf.supplies import SupplyPage
from app.calculations.layers.protection import ProtectionClass
from app.calculations.numbers.dates import day_year
from app.calculations.numbers.units import Kind, shown_back
from app.errors import Mendable
from app.window.house.filechoice import FileChoice
from app.window.house.office import Office
from app.window.house.outside import open_outside
from app.window.house.savedform import SavedForm
from app.window.paper.action import ActionRow
from app.window.paper.fields import Choice, LineField
from app.window.paper.partsbody import PartsBody
from app.window.paper.runs import Run

KINDS = [("liquid", "liquid"), ("paste", "paste"), ("pieces", "piece")]
COSTINGS = [("moving average", "average"), ("by lot, oldest first", "lot")]
SIGNALS = [("none", ""), ("Warning", "Warning"), ("Danger", "Danger")]
Edit = Callable[[str, Any], Callable[[], Changed]]


def facts_form(office: Office, save: Edit) -> SavedForm:
    """What a supply is, how it is measured, kept and used."""
    form = SavedForm(office, save, columns=4)
    form.line("name", "Name", span=2)
    form.choice("kind", "Kind", KINDS)
    form.line("shelf_place", "Place on the shelf")
    form.line("show_unit", "Shown in", "as the setting says")
    form.line("density", "Density, mg in a mL")
    form.line("dilution", "Parts water to one", "used neat")
    form.line("bottle", "Bottle", "32 fl oz")
    form.line("tare", "Empty weight", "55 g")
    form.choice("supplier_id", "Supplier", [("none yet", None)])
    form.choice("costing", "Costing", COSTINGS)
    form.line("shelf_life_days", "Keeps, days")
    form.line("opened_life_days", "Opened, days")
    classes = [(one.value, one.value) for one in ProtectionClass]
    form.choice("protection", "Leaves a layer of", [("nothing", ""), *classes])
    form.line("life_low_days", "Label: lasts from, days")
    form.line("life_high_days", "to, days")
    form.line("wait_water_hours", "Label: first water, h")
    form.line("wait_next_hours", "next layer, h")
    form.tick("whole_container", "Used by", "the whole container")
    form.tick("no_frost", "On its way", "must not freeze")
    return form


def show_facts(form: SavedForm, office: Office, page: SupplyPage) -> None:
    known = [(one.name, one.supplier_id) for one in suppliers.list_suppliers(office.desk)]
    supplier = form.field("supplier_id")
    assert isinstance(supplier, Choice)
    supplier.set_options([("none yet", None), *known])
    form.show_values(values_of(page))


class HazardsBody(PartsBody):
    """What the owner entered from the data sheet, and the sheet itself."""

    def __init__(self, office: Office, save: Edit) -> None:
        self._office = office
        self._save = save
        self._file = ""
        form = SavedForm(office, save, columns=3)
        form.choice("signal_word", "Signal word", SIGNALS)
        form.line("pictograms", "Pictograms, by code", "GHS02; GHS07")
        form.tick("flammable", "Store", "flammable")
        form.line("hazard_statements", "Hazard statements", "H225; H319", span=3)
        form.line("ingredients", "Ingredients that matter", "hypochlorite; ammonia; acid", span=3)
        form.line("sds_file", "Safety data sheet, file", "none chosen yet", span=2)
        form.line("sds_date", "Its date", "June 2025 as 6/1/2025")
        self.form = form
        self.row = ActionRow(office.theme, "Choose the file", "F3")
        self.row.button.clicked.connect(self.choose)
        self.row.set_second("Open the sheet", "F2").clicked.connect(self.show_sheet)
        super().__init__(office.theme, form, self.row, focus=form.first_field)

    def show_page(self, page: SupplyPage) -> None:
        self.form.show_values(values_of(page))
        self._file = page.supply.sds_file
        self.row.set_second_ready(bool(self._file))
        first = Run("Choose the file first; then it opens from here.", "aside")
        self.row.show_hints([] if self._file else [first])

    def choose(self) -> None:
        choice = FileChoice(self._office.theme, self, "data sheets")
        files = "Documents (*.pdf *.txt *.html);;All (*)"
        chosen = choice.open("The safety data sheet", files)
        if chosen is not None:
            self.take(chosen)

    def take(self, path: Path) -> None:
        self._office.act(self._save("sds_file", str(path)))
        field = self.form.field("sds_date")
        if isinstance(field, LineField) and not field.text():
            field.setFocus()

    def show_sheet(self) -> None:
        """Open the data sheet with the system's viewer."""
        if not self._file:
            self._office.say_trouble("No data sheet is chosen yet: F3 chooses its file.")
            return
        self._office.act(lambda: open_outside(Path(self._file)))


def as_stored(key: str, value: Any) -> Any:
    """What was typed into a field as the supply keeps it; `Mendable` where it cannot be read."""
    if key == "dilution":
        return read_dilution(value)
    if key in ("bottle", "tare", "sds_date") and not str(value).strip():
        return None
    if key.endswith(("_days", "_hours")):
        return value or None
    return value


def read_dilution(text: str) -> int | None:
    """Parts water to one part product as typed, in thousandths; nothing for neat."""
    plain = str(text).strip()
    if not plain:
        return None
    try:
        parts = Fraction(plain.removeprefix("1:").removeprefix("1 to ").strip())
    except (ValueError, ZeroDivisionError):
        raise Mendable(
            f"“{plain[:20]}” is no number of parts water; type one like 256 for 1 to 256."
        ) from None
    if parts <= 0:
        raise Mendable("The parts of water must be more than zero; leave it empty for neat.")
    return round(parts * 1000)


def values_of(page: SupplyPage) -> dict[str, Any]:
    """A supply as its fields show it, by key."""
    supply = page.supply
    values = {
        **vars(supply),
        "dilution": "" if supply.dilution is None else f"{supply.dilution / 1000:g}",
        "bottle": "" if supply.bottle is None else shown_back(supply.bottle, Kind(supply.kind)),
        "tare": "" if supply.tare is None else shown_back(supply.tare, Kind.PASTE),
        "sds_date": "" if supply.sds_date is None else day_year(supply.sds_date),
    }
    for name in ("hazard_statements", "pictograms", "ingredients"):
        values[name] = "; ".join(values[name])
    return values

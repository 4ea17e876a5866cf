"""A supply's card: its ledger, lots and packs, its facts, and what its data sheet warns of."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.actions import supplies
from app.actions.desk import Changed
from app.actions.pools import PoolView
from app.actions.supplies import SupplyPage
from app.calculations.dates import day_year
from app.calculations.protection import ProtectionClass
from app.errors import Mendable
from app.window.cells import Cell, Column, EmptyText, State, TableRow
from app.window.entrytable import EntryTable
from app.window.fields import Choice
from app.window.life_body import LifeBody
from app.window.office import Office
from app.window.packs_body import PacksBody
from app.window.partsbody import PartsBody
from app.window.pool_form import PoolForm
from app.window.savedform import SavedForm
from app.window.stock_form import StockForm
from app.window.strip import Entry, Strip

KINDS: list[tuple[str, object]] = [("liquid", "liquid"), ("paste", "paste"), ("pieces", "piece")]
COSTINGS: list[tuple[str, object]] = [
    ("moving average", "average"),
    ("by lot, oldest first", "lot"),
]
SIGNALS: list[tuple[str, object]] = [("none", ""), ("Warning", "Warning"), ("Danger", "Danger")]


class SupplyCard(Strip):
    """The strip of one supply."""

    explained = Signal(object)  # a Note for the margin

    def __init__(self, office: Office) -> None:
        super().__init__(office.theme, self._make)
        self._office = office
        self._page: SupplyPage | None = None
        self.doing = StockForm(office)
        self._ledger = self._ledger_table()
        self.packs = PacksBody(office)
        self.pool = PoolForm(office)
        self.pool_view: PoolView | None = None
        self._lots = self._lot_table()
        self._facts = self._facts_form()
        self._hazards = self._hazard_form()
        self.life = LifeBody(office)
        self.opened.connect(lambda key: self._read_life() if key == "life" else None)

    # building ------------------------------------------------------------------------------
    def _make(self, key: str) -> QWidget:
        if key == "doing":
            return self.doing
        if key == "life":
            return self.life
        if key == "pool":
            return self.pool
        if key == "packs":
            return self.packs
        part = {
            "ledger": self._ledger,
            "lots": self._lots,
            "facts": self._facts,
            "hazards": self._hazards,
        }[key]
        first = part.first_field if isinstance(part, SavedForm) else None
        return PartsBody(self._office.theme, part, focus=first)

    def _ledger_table(self) -> EntryTable:
        table = EntryTable(
            self._office.theme,
            (
                Column("day", "Day", width=118, least=90, dense=True),
                Column("time", "Time", width=58, least=46, dense=True),
                Column("kind", "What", width=86, least=70),
                Column("quantity", "Amount", width=100, least=80, right=True),
                Column("value", "Worth", width=80, least=60, right=True),
                Column("job", "Job", width=60, least=46),
                Column("note", "Note", width=0, least=100, dense=True),
            ),
            rows_from=21,
            rows_to=28,
        )
        table.teach_when_empty(
            EmptyText(
                "Nothing moved yet",
                "Each delivery, use, count and waste becomes a line here. "
                "Count what stands there to begin.",
                "F4",
                "Count",
            )
        )
        return table

    def _lot_table(self) -> EntryTable:
        table = EntryTable(
            self._office.theme,
            (
                Column("code", "Lot", width=150, least=100),
                Column("left", "Left", width=110, least=80, right=True),
                Column("received", "Received", width=140, least=100, dense=True),
                Column("text", "", width=0, least=140, dense=True),
            ),
        )
        table.teach_when_empty(
            EmptyText(
                "No lots",
                "Only dated and whole-container goods are kept by lot, the oldest used first. "
                "Change “Costing” under the facts to keep this one so.",
            )
        )
        return table

    def _facts_form(self) -> SavedForm:
        form = SavedForm(self._office, self._save, columns=4)
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
        classes: list[tuple[str, object]] = [(one.value, one.value) for one in ProtectionClass]
        form.choice("protection", "Leaves a layer of", [("nothing", ""), *classes])
        form.line("life_low_days", "Label: lasts from, days")
        form.line("life_high_days", "to, days")
        form.line("wait_water_hours", "Label: first water, h")
        form.line("wait_next_hours", "next layer, h")
        form.tick("whole_container", "Used by", "the whole container")
        return form

    def _hazard_form(self) -> SavedForm:
        form = SavedForm(self._office, self._save, columns=2)
        form.choice("signal_word", "Signal word", SIGNALS)
        form.line("pictograms", "Pictograms, by code", "GHS02; GHS07")
        form.line("hazard_statements", "Hazard statements", "H225; H319", span=2)
        form.line("ingredients", "Ingredients that matter", "hypochlorite; ammonia; acid", span=2)
        form.line("sds_file", "Safety data sheet, file", span=2)
        form.tick("flammable", "Store", "flammable")
        return form

    # showing -------------------------------------------------------------------------------
    def show_page(self, page: SupplyPage) -> None:
        """Show a supply."""
        if self._page is None or self._page.supply.supply_id != page.supply.supply_id:
            self._facts.forget()
            self._hazards.forget()
        self._page = page
        self.doing.show_supply(page.supply.supply_id)
        known = [(one.name, one.supplier_id) for one in supplies.list_suppliers(self._office.desk)]
        supplier = self._facts.field("supplier_id")
        assert isinstance(supplier, Choice)
        supplier.set_options([("none yet", None), *known])
        self._ledger.show_rows([_ledger_row(at, line) for at, line in enumerate(page.ledger)])
        self.packs.show_page(page)
        self._lots.show_rows(
            [
                TableRow(
                    lot.lot_id,
                    (
                        Cell(lot.code or "no code", State.CLOSED if lot.finished else State.PLAIN),
                        Cell(lot.left_text),
                        Cell(day_year(lot.received_on)),
                        Cell(lot.text, State.QUIET),
                    ),
                )
                for lot in page.lots
            ]
        )
        self.pool_view = self.pool.show_supply(page.supply)
        values = _values(page)
        self._facts.show_values(values)
        self._hazards.show_values(values)
        if self.open_key == "life" and not page.supply.protection:
            self.open("ledger", still=True)
        self.set_entries(self._entries_of(page))
        if self.open_key == "life":
            self._read_life()

    def _read_life(self) -> None:
        """How long it lasts takes a fit over all that was seen: read when it is looked at."""
        if self._page is not None:
            self.life.read(self._page.supply.supply_id, self._life_read)

    def _life_read(self, _life: object) -> None:
        if self._page is not None and self.open_key == "life":
            self.set_entries(self._entries_of(self._page))
            self.relay()
            self.explained.emit(self.life.note())

    def _entries_of(self, page: SupplyPage) -> tuple[Entry, ...]:
        warned = bool(page.supply.signal_word or page.supply.hazard_statements)
        entries = (
            Entry("ledger", "Ledger", result=_lines(len(page.ledger)), state="done"),
            Entry(
                "doing",
                "Take off, bring, fill",
                "Type how much, press Enter.",
                result=_last_done(page),
                state="done",
            ),
            self.packs.entry(page),
            Entry(
                "lots",
                "Lots",
                result=f"{len(page.lots)} lots" if page.lots else "not kept by lot",
                state="done" if page.lots else "to come",
            ),
            Entry("facts", "Facts", result=page.supply.kind, state="done"),
            *self._life_entry(page),
            Entry(
                "hazards",
                "What its data sheet warns of",
                page.hazards[-1] if page.hazards else "",
                result=page.supply.signal_word or ("entered" if warned else "nothing entered yet"),
                alert="look" if page.supply.signal_word == "Danger" else "",
                state="done" if warned else "to come",
            ),
        )
        if page.supply.kind != "piece":
            return entries
        view = self.pool_view
        pool = Entry(
            "pool",
            "Pool",
            (view.rebuy_text or view.wear_text) if view else "Towels and pads that are washed.",
            result=view.text if view else "used up, not washed",
            alert="look" if view and view.rebuy else "",
            state="done" if view else "to come",
        )
        return (*entries, pool)

    def _life_entry(self, page: SupplyPage) -> tuple[Entry, ...]:
        """Only for a supply that leaves a layer."""
        if not page.supply.protection:
            return ()
        life = self.life.life
        known = life if life is not None and life.supply_id == page.supply.supply_id else None
        return (
            Entry(
                "life",
                "How long it lasts",
                "The label's range, and what was seen here.",
                result=known.result if known else page.supply.protection,
                alert="look" if known and known.differs else "",
                state="done",
            ),
        )

    def write_name(self) -> None:
        """Put the cursor into the name."""
        self.open("facts", still=True)
        self._facts.focus("name")
        field: Any = self._facts.field("name")
        field.selectAll()

    # changing ------------------------------------------------------------------------------
    def _save(self, key: str, value: Any) -> Changed:
        assert self._page is not None
        if key == "dilution":
            value = _dilution(value)
        elif key in ("bottle", "tare") and not str(value).strip():
            value = None
        elif key.endswith(("_days", "_hours")):
            value = value or None
        return supplies.edit_supply(self._office.desk, self._page.supply.supply_id, **{key: value})


def _dilution(text: str) -> int | None:
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


def _values(page: SupplyPage) -> dict[str, Any]:
    supply = page.supply
    values: dict[str, Any] = {name: getattr(supply, name, None) for name in _SHOWN}
    values["dilution"] = "" if supply.dilution is None else f"{supply.dilution / 1000:g}"
    values["bottle"] = "" if supply.bottle is None else f"{supply.bottle / 1000:g}" + _unit(supply)
    values["tare"] = "" if supply.tare is None else f"{supply.tare / 1000:g} g"
    for name in ("hazard_statements", "pictograms", "ingredients"):
        values[name] = "; ".join(getattr(supply, name))
    return values


_SHOWN = (
    "name", "kind", "shelf_place", "show_unit", "density", "costing", "shelf_life_days",
    "opened_life_days", "protection", "life_low_days", "life_high_days",
    "wait_water_hours", "wait_next_hours", "whole_container",
    "signal_word", "sds_file", "flammable", "supplier_id",
)  # fmt: skip


def _unit(supply: Any) -> str:
    return {"liquid": " mL", "paste": " g"}.get(supply.kind, "")


def _last_done(page: SupplyPage) -> str:
    """What was last done by hand."""
    kinds = ("wasted", "returned", "opened", "expired")
    last = next((line for line in page.ledger if line.kind in kinds), None)
    return f"{last.kind} {day_year(last.day)}" if last else "nothing yet"


def _lines(count: int) -> str:
    return "1 line" if count == 1 else f"{count} lines"


def _ledger_row(at: int, line: supplies.LedgerLine) -> TableRow:
    state = State.CLOSED if line.taken_back or line.kind == "reversed" else State.PLAIN
    return TableRow(
        at,
        (
            Cell(day_year(line.day), state),
            Cell(line.time_text, State.QUIET),
            Cell(line.kind, state),
            Cell(line.quantity_text, state),
            Cell(line.value_text, State.QUIET),
            Cell(line.job, State.QUIET),
            Cell(line.note, State.QUIET, tip=line.note),
        ),
    )

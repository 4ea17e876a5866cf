"""A supply's card: its ledger and uses, lots and packs, its facts, and what its sheet warns of."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.actions.desk.amounts import stock_text
from app.actions.desk.desk import Changed
from app.actions.orders.supplier_page import lead_sentence
from app.actions.shelf.pool_view import PoolView
from app.actions.shelf.supplies import LEDGER_LINES, SupplyPage
from app.actions.shelf.supply_uses import SupplyLeads, SupplyUses, supply_leads, supply_uses
from app.actions.stock import lots, supply_facts
from app.calculations.numbers.dates import day_year
from app.calculations.numbers.wording import count_of
from app.window.house.acting import in_background, on_day
from app.window.house.office import Office
from app.window.paper.notes import Alert, Block, Facts, Offer, Plain, Rule, Voice
from app.window.paper.partsbody import PartsBody
from app.window.paper.strip import Strip, StripEntry
from app.window.shelf.life_body import LifeBody
from app.window.shelf.packs_body import PacksBody
from app.window.shelf.pool_form import PoolForm
from app.window.shelf.pool_rows import pool_blocks
from app.window.shelf.shelf_rows import note_blocks
from app.window.shelf.stock_form import StockForm
from app.window.shelf.supply_forms import HazardsBody, as_stored, facts_form, show_facts
from app.window.shelf.supply_tables import LeadsBody, LedgerBody, LotsBody, UsesBody

OLDER_LINES = 1000  # more lines of the ledger that are read at once


class SupplyCard(Strip):
    """The strip of one supply. What takes longer to read is read when its entry is opened."""

    explained = Signal(object)  # a Note for the margin
    page_asked = Signal()  # read the page again, with as many lines as are wanted now

    def __init__(self, office: Office) -> None:
        super().__init__(office.theme, self._make)
        self._office = office
        self._page: SupplyPage | None = None
        self._leads_read: SupplyLeads | None = None
        self.lines_wanted = LEDGER_LINES
        self.doing = StockForm(office)
        self.ledger = LedgerBody(office)
        self.ledger.older_asked.connect(self._older)
        self.uses = UsesBody(office)
        self.uses.explained.connect(self.explained)
        self.packs = PacksBody(office)
        self.packs.explained.connect(self.explained)
        self.pool = PoolForm(office)
        self.pool_view: PoolView | None = None
        self.lots = LotsBody(office, self.doing.open_container)
        self.leads = LeadsBody(office)
        self.facts = facts_form(office, self._save)
        self.hazards = HazardsBody(office, self._save)
        self.life = LifeBody(office)
        self.opened.connect(self._opened)

    def _make(self, key: str) -> QWidget:
        if key == "facts":
            return PartsBody(self._office.theme, self.facts, focus=self.facts.first_field)
        body: QWidget = getattr(self, key)
        return body

    # showing -------------------------------------------------------------------------------
    def show_page(self, page: SupplyPage) -> None:
        if self._page is None or self._page.supply.supply_id != page.supply.supply_id:
            self.facts.forget()
            self.hazards.form.forget()
            self._leads_read = None
        self._page = page
        self.doing.show_supply(page)
        self.ledger.show_page(page)
        self.packs.show_page(page)
        self.lots.show_page(page)
        self.pool_view = self.pool.show_supply(page.supply)
        show_facts(self.facts, self._office, page)
        self.hazards.show_page(page)
        if self.open_key == "life" and not page.supply.protection:
            self.open("ledger", still=True)
        self.set_entries(self._entries_of(page))
        self._opened(self.open_key)

    def _opened(self, key: str) -> None:
        """Read what is only read when it is looked at."""
        if self._page is None:
            return
        office, number = self._office, self._page.supply.supply_id
        if key == "life":
            self.life.read(number, self._life_read)
        elif key == "uses":
            done = partial(self._uses_read, number)
            read = partial(supply_uses, office.desk, number)
            in_background(office, self, "Reading the uses", read, done)
        elif key == "leads":
            leads = office.read(lambda: supply_leads(office.desk, number))
            if leads is not None:
                self._leads_read = leads
                self.leads.show_leads(leads)
                self.set_entries(self._entries_of(self._page))

    def _uses_read(self, number: int, found: SupplyUses) -> None:
        if self._page is not None and self._page.supply.supply_id == number:
            self.uses.show_uses(found)
            self.relay()

    def _life_read(self, _life: object) -> None:
        if self._page is not None and self.open_key == "life":
            self.set_entries(self._entries_of(self._page))
            self.explained.emit(self.life.note())

    def _older(self) -> None:
        self.lines_wanted += OLDER_LINES
        self.page_asked.emit()

    def _entries_of(self, page: SupplyPage) -> tuple[StripEntry, ...]:
        supply, leads = page.supply, self._leads_read
        warned = bool(supply.signal_word or supply.hazard_statements)
        asked = lead_sentence(leads.leads) if leads else "Each delivery, as it really came."
        warning = page.hazards[-1] if page.hazards else ""
        signal = supply.signal_word or ("entered" if warned else "nothing entered yet")
        uses = "What jobs took, by service and size; ↵ opens the job."
        how = "Type how much, press Enter."
        return (
            _line("ledger", "Ledger", "", count_of(page.ledger_length, "line")),
            _line("uses", "Uses", uses, "expected and used"),
            _line("doing", "Take off, bring, fill", how, _last_done(page)),
            self.packs.entry(page),
            _line(
                "lots",
                "Lots",
                "",
                _lots(page),
                look=any(lot.past for lot in page.lots),
            ),
            _line("leads", "Days until it comes", asked, page.lead_text.rstrip(".")),
            _line("facts", "Facts", "", supply.kind),
            *self._life_entry(page),
            _line(
                "hazards",
                "What its data sheet warns of",
                warning,
                signal,
                look=supply.signal_word == "Danger",
                lacks=not warned,
            ),
            *self._pool_entry(page),
        )

    def _life_entry(self, page: SupplyPage) -> list[StripEntry]:
        """Only for a supply that leaves a layer."""
        if not page.supply.protection:
            return []
        life = self.life.life
        known = life if life is not None and life.summary.supply == page.supply.supply_id else None
        result = known.result if known else page.supply.protection
        differs = known is not None and known.summary.differs
        words = "The label's range, and what was seen here."
        return [_line("life", "How long it lasts", words, result, look=differs)]

    def _pool_entry(self, page: SupplyPage) -> list[StripEntry]:
        """Only for pieces."""
        view = self.pool_view
        if page.supply.kind != "piece":
            return []
        if view is None:
            words = "Towels and pads that are washed."
            return [_line("pool", "Pool", words, "used up, not washed")]
        words = view.rebuy_text or view.wear_text
        return [_line("pool", "Pool", words, view.text, look=bool(view.rebuy))]

    def write_name(self) -> None:
        self.open("facts", still=True)
        self.facts.focus("name", select=True)

    def blocks(self) -> list[Block]:
        page = self._page
        if page is None:
            return []
        blocks: list[Block] = []
        if self._office.question:
            blocks.append(Alert(self._office.question))
        blocks += note_blocks(page.note)
        blocks += self._opened_blocks(page)
        blocks += pool_blocks(self.pool_view)
        shares = tuple((one.label, one.share_text) for one in page.unrecorded if one.amount)
        if shares:
            blocks += [Rule(), Plain("Unrecorded use, of all that went"), Facts(shares)]
        return blocks

    def _opened_blocks(self, page: SupplyPage) -> list[Block]:
        """What lies opened, what it costs the next job, and what to do when it is past its life."""
        blocks: list[Block] = []
        for one in page.opened:
            left = stock_text(self._office.desk, page.supply, one.lot.opened)
            words = f"{left} lies {one.text}."
            past = one.keeps_to is not None and one.keeps_to < self._office.day
            if page.supply.whole_container and not past and not one.lot.opened_value:
                words += " A job that takes it until then pays nothing for it."
            blocks.append(Voice(words))
        if page.opened:
            blocks.append(Offer("X", "Throw away what lies opened", self.discard_opened))
        if any(lot.past for lot in page.lots):
            blocks.append(Offer("W", "Write off what is past its life", self.write_off))
        return [Rule(), *blocks] if blocks else []

    # changing ------------------------------------------------------------------------------
    def _save(self, key: str, value: Any) -> Callable[[], Changed]:
        assert self._page is not None
        desk, supply, stored = self._office.desk, self._page.supply.supply_id, as_stored(key, value)
        return partial(supply_facts.edit_supply, desk, supply, **{key: stored})

    def write_off(self) -> None:
        """Take off the shelf what is past its life."""
        if self._page is not None:
            on_day(self._office, lots.write_off_past, self._page.supply.supply_id)

    def discard_opened(self) -> None:
        if self._page is not None:
            on_day(self._office, lots.discard_opened, self._page.supply.supply_id)


def _line(
    key: str, title: str, subtitle: str, result: str, *, look: bool = False, lacks: bool = False
) -> StripEntry:
    """An entry; one that `lacks` something asks for it, the others ask for nothing."""
    alert, state = "look" if look else "", "to come" if lacks else "plain"
    return StripEntry(key, title, subtitle, result, alert, state)


def _lots(page: SupplyPage) -> str:
    if not page.lots:
        return "not kept by lot"
    lots = count_of(len(page.lots), "lot")
    return f"{lots}, past its life" if any(lot.past for lot in page.lots) else lots


def _last_done(page: SupplyPage) -> str:
    kinds = ("wasted", "returned", "opened", "expired")
    last = next((line for line in page.ledger if line.kind in kinds), None)
    return f"{last.kind} {day_year(last.day)}" if last else "nothing yet"

"""From the lines of people's files to drafts: suppliers, supplies, packs and opening stock."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable
from datetime import date, datetime
from fractions import Fraction
from typing import Any

from app.actions.exchange.alike import plain_name
from app.actions.exchange.drafts import Draft, Drafts, row_of
from app.actions.exchange.near_names import NearNames
from app.actions.exchange.outcomes import LineOutcome, add_notes, take
from app.calculations.numbers.money import shown_money
from app.calculations.numbers.rounding import half_away
from app.documents.reading.headings import plain
from app.documents.reading.lines import PackLine, SupplierLine, SupplyLine
from app.documents.reading.people import read_mails, read_phones
from app.documents.reading.shelf_words import kind_by_name, protection_by_name
from app.documents.reading.title_reading import DAYS_OF_MONTH, lasting

OPENING = "stock as brought in"
_TIMES = re.compile(r"\s*(\d{1,3})\s*(?:x|×|\*)\s*\d", re.IGNORECASE)
_LARGEST_BOTTLE = 5_000_000  # µL or mg
_TIME = re.compile(r"(?: \d+ (?:month|year)s?)?")


class ShelfGathering:
    """Finds and drafts suppliers and supplies."""

    def __init__(
        self,
        drafts: Drafts,
        balances: dict[int, tuple[int, int]],
        currency: str,
        today: date,
        now: datetime,
        near: NearNames,
    ) -> None:
        """`balances` is what stands on the shelf: quantity and value by supply."""
        self._currency = currency
        self._drafts = drafts
        self._near = near
        self._balances = balances
        self._today, self._now = today, now
        self._suppliers = {plain_name(str(d.get("name"))): d for d in drafts.all("suppliers")}
        self._supplies: dict[str, Draft] = {}
        self._by_code: dict[str, Draft] = {}
        self._nearly: dict[str, Draft] = {}
        for supply in drafts.all("supplies"):
            self._index(supply)
        self._packs: dict[Any, list[Draft]] = defaultdict(list)
        for pack in drafts.all("packs"):
            self._packs[pack.get("supply_id")].append(pack)
            supply_of_pack = drafts.standing("supplies", pack.get("supply_id"))
            if pack.get("code") and supply_of_pack is not None:
                self._by_code.setdefault(plain_name(str(pack.get("code"))), supply_of_pack)
        self._counted: dict[Draft, list[tuple[LineOutcome, int, Draft | None]]] = defaultdict(list)

    def supplier(self, line: SupplierLine) -> LineOutcome:
        """The supplier of a line, found or drafted, with what the line adds."""
        outcome = LineOutcome(line)
        found = self._suppliers.get(plain_name(line.name))
        if found is None:
            outcome.made = True
            found = self._new_supplier(line.name, line.source.whole())
        outcome.draft = found
        for name in ("email", "phone", "address", "account_no", "promised_days", "freight",
                     "free_freight_from", "minimum_order"):  # fmt: skip
            take(outcome, found, name, getattr(line, name))
        add_notes(outcome, found, line.notes)
        return outcome

    def _new_supplier(self, name: str, origin: str) -> Draft:
        draft = self._drafts.new("suppliers", origin, name=name)
        self._suppliers[plain_name(name)] = draft
        return draft

    def _supplier_named(self, name: str, outcome: LineOutcome) -> Draft:
        """The supplier that a supply's row names; a mail or telephone number in it is kept too."""
        mails = read_mails(name).addresses if "@" in name else ()
        phones = () if mails else read_phones(name, "US").numbers
        bare = name
        for told in (*mails, *(read_phones(name, "US").typed if phones else ())):
            bare = bare.replace(told, " ")
        bare = " ".join(bare.split()).strip(" ,;()<>-") or name
        found = self._suppliers.get(plain_name(bare))
        if found is None:
            found = self._new_supplier(bare, outcome.line.source.whole())
            outcome.remarks.append(f"{bare} was not known and is added as a supplier")
        if mails:
            take(outcome, found, "email", mails[0], weak=True)
        if phones:
            take(outcome, found, "phone", phones[0], weak=True)
        return found

    def supply(self, line: SupplyLine) -> LineOutcome:
        """The supply of a line, found or drafted, with its packs; stock is settled at the end."""
        outcome = LineOutcome(line)
        found = self.find(line.name) or self._found_near(line, outcome)
        if found is None:
            outcome.made = True
            found = self._new_supply(line.name, line.supply_kind, line.source.whole())
            if not line.kind_sure:
                outcome.remarks.append(f"taken for a {line.supply_kind}, by its name")
        outcome.draft = found
        kind = str(found.get("kind"))
        fits = kind == line.supply_kind
        if not fits:
            outcome.remarks.append(
                f"the book measures it as a {kind}, the file as a {line.supply_kind}; packs and "
                "stock were left out"
            )
        supplier = self._supplier_named(line.supplier, outcome) if line.supplier else None
        if supplier is not None and found.get("supplier_id") is None:
            found.values["supplier_id"] = supplier
            found.told.add("supplier_id")
            if not outcome.made:
                outcome.changes.append(f"supplier: {supplier.get('name')}")
        take(outcome, found, "dilution", line.dilution or None)
        for name in ("density", "shelf_place", "shelf_life_days", "opened_life_days",
                     "life_low_days", "life_high_days", "tare", "signal_word"):  # fmt: skip
            take(outcome, found, name, getattr(line, name))
        take(outcome, found, "hazard_statements", list(line.hazard_statements))
        take(outcome, found, "pictograms", list(line.pictograms))
        take(outcome, found, "protection", line.protection, weak=not outcome.made)
        if "GHS02" in line.pictograms or {"H224", "H225", "H226"} & set(line.hazard_statements):
            take(outcome, found, "flammable", True)
        if line.stopped is not None and bool(found.get("stopped")) != line.stopped:
            take(outcome, found, "stopped", line.stopped)
        add_notes(outcome, found, line.notes)
        pack = None
        if fits:
            for told in line.packs:
                pack = self._pack(outcome, found, told, supplier)
            take(outcome, found, "bottle", _bottle(kind, line.packs), weak=True)
            if line.stock is not None:
                self._counted[found].append((outcome, line.stock, pack))
        return outcome

    def _found_near(self, line: SupplyLine, outcome: LineOutcome) -> Draft | None:
        """The supply that has this code, or whose name hardly differs; either is asked about."""
        coded = self._by_code.get(plain_name(line.code)) if line.code else None
        nearly = self._nearly.get(plain(line.name))
        if coded is not None:
            shared = set(plain(line.name).split()) & set(plain(str(coded.get("name"))).split())
            why = "It has the same code"
            return coded if self._is_same(line.name, coded, outcome, why, bool(shared)) else None
        if nearly is not None and self._is_same(
            line.name, nearly, outcome, "The names hardly differ", usual=False
        ):
            return nearly
        return None

    def _is_same(
        self, name: str, draft: Draft, outcome: LineOutcome, why: str, usual: bool
    ) -> bool:
        known = str(draft.get("name"))
        outcome.asks = self._near.ask(name, known, why, usual=usual)
        if outcome.asks.same:
            outcome.remarks.append(f"taken for {known}: {why[:1].lower()}{why[1:]}")
        else:
            outcome.remarks.append(f"kept apart from {known}")
        return outcome.asks.same

    def _new_supply(self, name: str, kind: str, origin: str) -> Draft:
        draft = self._drafts.new("supplies", origin, name=name, kind=kind)
        self._index(draft)
        return draft

    def _index(self, supply: Draft) -> None:
        name = str(supply.get("name"))
        self._supplies.setdefault(plain_name(name), supply)
        self._nearly.setdefault(plain(name), supply)

    def find(self, name: str) -> Draft | None:
        """The supply of that name."""
        return self._supplies.get(plain_name(name))

    def applied(self, name: str, outcome: LineOutcome) -> Draft:
        """The supply that was put on a vehicle; one that is not known is added to the shelf."""
        found = self.find(name)
        if found is None:
            words = set(plain_name(name).split())
            near = [
                supply
                for plain, supply in self._supplies.items()
                if supply.get("protection")
                and (words <= set(plain.split()) or words >= set(plain.split()))
            ]
            if len(near) == 1 and self._is_same(
                name, near[0], outcome, "The only protection so called", usual=True
            ):
                found = near[0]
        if found is None:
            kind = kind_by_name(name) or "liquid"
            found = self._new_supply(name[:120], kind, outcome.line.source.whole())
            protection = protection_by_name(name)
            if protection:
                found.values["protection"] = protection
            outcome.remarks.append(f"{name} was not known and is added to the shelf, none on hand")
        return found

    def leaving(self, protection: str, months: int | None) -> list[Draft]:
        """The supplies in use that leave a layer of this class, and last so long where that is
        said; what is only known by its class is one of them only where it was meant."""
        meant = lasting(protection, months).casefold()
        return [
            supply
            for supply in self._supplies.values()
            if supply.get("protection") == protection
            and not supply.get("stopped")
            and supply.get("archived_on") is None
            and (
                str(supply.get("name")).casefold() == meant
                or (self._bought(supply, protection) and _may_last(supply, months))
            )
        ]

    def _bought(self, supply: Draft, protection: str) -> bool:
        """False for a supply that titles alone speak of, called by its class."""
        name = str(supply.get("name")).casefold()
        more = name.removeprefix(protection) if name.startswith(protection) else name
        return _TIME.fullmatch(more) is None or bool(self._packs[row_of(supply)])

    def supply_leaving(self, protection: str, months: int | None, origin: str) -> Draft:
        """A supply that is only known by its class, and by how long it lasts, none on hand."""
        name = lasting(protection, months)
        found = self.find(name)
        if found is None:
            kind = "paste" if protection == "carnauba wax" else "liquid"
            found = self._new_supply(name, kind, origin)
        if not found.get("protection"):
            found.values["protection"] = protection
        if months is not None and found.get("life_high_days") is None:
            days = round(months * DAYS_OF_MONTH)
            found.values |= {"life_low_days": days, "life_high_days": days}
        return found

    def _pack(
        self, outcome: LineOutcome, supply: Draft, told: PackLine, supplier: Draft | None
    ) -> Draft:
        """The pack of that size from that supplier, found or drafted."""
        for pack in self._packs[row_of(supply)]:
            theirs = row_of(pack.points_to("supplier_id"))
            mine = row_of(supplier) if supplier is not None else None
            near = abs(int(pack.get("size")) - told.size) * 200 <= told.size
            if near and (mine is None or theirs is None or theirs == mine):
                take(
                    outcome,
                    pack,
                    "price",
                    told.price,
                    say=lambda minor: shown_money(minor, self._currency),
                )
                take(outcome, pack, "code", told.code)
                if theirs is None and supplier is not None:
                    pack.values["supplier_id"] = supplier
                return pack
        values: dict[str, Any] = {"supply_id": supply, "label": told.label, "size": told.size}
        if supplier is not None:
            values["supplier_id"] = supplier
        pack = self._drafts.new("packs", outcome.line.source.whole(), **values)
        if told.price is not None:
            pack.values.update(price=told.price, priced_on=self._today)
            pack.told.add("price")
        if told.code:
            pack.values["code"] = told.code
        self._packs[row_of(supply)].append(pack)
        if not outcome.made:
            outcome.changes.append(f"pack: {told.label}")
        return pack

    def settle_stock(self) -> None:
        """Book the opening stock of supplies that never moved; say where the shelf stands else.

        Several rows of one supply (two sizes) add up. A supply that has moved keeps what the
        book counts: a list of some day must not undo the uses since.
        """
        for supply, told in self._counted.items():
            quantity = sum(amount for _, amount, _ in told)
            first = told[0][0]
            balance = self._balances.get(supply.row_id) if not supply.is_new else None
            if balance is None:
                value = sum(_worth(amount, pack) for _, amount, pack in told)
                if quantity:
                    self._open(supply, quantity, value, first)
            elif balance[0] != quantity:
                first.remarks.append(
                    "the file's stock differs from the book's, which goes on from what was used "
                    "and received; count the shelf to change it"
                )
        self._counted.clear()

    def _open(self, supply: Draft, quantity: int, value: int, outcome: LineOutcome) -> None:
        if quantity < 0:
            value = min(value, 0)
        self._drafts.new(
            "movements", outcome.line.source.whole(), supply_id=supply, day=self._today,
            at=self._now, kind="counted", quantity=quantity, value=value, note=OPENING,
        )  # fmt: skip
        if not outcome.made:
            outcome.changes.append("stock: opened")


def _bottle(kind: str, packs: Iterable[PackLine]) -> int | None:
    """The bottle or tub that a pack is, of "3 x 32 oz" one of the three; the smallest of several.

    More than 5 L is no bottle (common practice, no source).
    """
    if kind == "piece":
        return None
    sizes = []
    for pack in packs:
        times = _TIMES.match(pack.label)
        number = int(times[1]) if times else 1
        sizes.append(pack.size // number if number and pack.size % number == 0 else pack.size)
    size = min(sizes, default=0)
    return size if 0 < size <= _LARGEST_BOTTLE else None


def _may_last(supply: Draft, months: int | None) -> bool:
    """True where a supply's label does not speak against lasting so long, or says nothing."""
    low, high = supply.get("life_low_days"), supply.get("life_high_days")
    if months is None or high is None:
        return True
    return (low or 0) * 0.8 <= months * DAYS_OF_MONTH <= high * 1.25


def _worth(amount: int, pack: Draft | None) -> int:
    """What an amount is worth at its pack's price, minor units."""
    if pack is None or not pack.get("price") or not pack.get("size"):
        return 0
    return half_away(Fraction(amount * int(pack.get("price")), int(pack.get("size"))))

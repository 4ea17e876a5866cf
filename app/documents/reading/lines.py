"""What a row of somebody's file says, kind by kind, as plain dataclasses.

Quantities are whole numbers in the supply's base unit (microlitres, milligrams, thousandths of a
piece), money whole minor units, durations minutes, a tax rate thousandths of a percent, a dilution
thousandths of parts water to one part product, a density milligrams per millilitre.
An empty text, an empty tuple or None means that the file does not say.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any


@dataclass(frozen=True, slots=True)
class Source:
    """Where a line stands: the file's name, the sheet, and the row as the person sees it.

    Of address cards the row is the number of the card.
    """

    file: str
    sheet: str = ""
    row: int = 0

    def place(self) -> str:
        """The place in words: "sheet Customers, row 12"."""
        parts = []
        if self.sheet:
            parts.append(f"sheet {self.sheet}")
        if self.row:
            card = self.file.casefold().endswith((".vcf", ".vcard"))
            parts.append(f"{'card' if card else 'row'} {self.row}")
        return ", ".join(parts) or self.file

    def whole(self) -> str:
        """The place with the file's name before it."""
        place = self.place()
        return place if place == self.file else f"{self.file}, {place}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """What every line has: its source, and what could not be read.

    `problems` are whole sentences. `unreadable` means that the line's identity is missing: it is
    shown, with the sentences, but cannot be brought in.
    """

    source: Source
    problems: tuple[str, ...] = ()
    unreadable: bool = False

    @property
    def kind(self) -> str:
        """The kind of line: customer, vehicle, supplier, supply, job, layer, receipt."""
        return KIND_OF[type(self)]


@dataclass(frozen=True, slots=True)
class Who:
    """The customer that another line names, and how to reach them: enough to know them by."""

    name: str = ""
    phones: tuple[str, ...] = ()
    emails: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CustomerLine(Line):
    """A person or firm. `phones` are E.164 where they could be read, else as typed."""

    name: str = ""
    is_firm: bool = False
    contact: str = ""  # the person at a firm
    phones: tuple[str, ...] = ()
    phones_as_typed: tuple[str, ...] = ()
    emails: tuple[str, ...] = ()
    street: str = ""
    city: str = ""
    region: str = ""
    postal_code: str = ""
    country: str = ""
    household: str = ""
    asks_by: str = ""  # letter, mail, phone, text
    do_not_write: bool | None = None
    stopped_on: date | None = None
    deceased: bool | None = None
    referred_by: str = ""
    tax_exempt_no: str = ""
    since: date | None = None
    notes: str = ""

    @property
    def who(self) -> Who:
        """The customer as other lines name them."""
        return Who(self.name, self.phones, self.emails)


@dataclass(frozen=True, slots=True, kw_only=True)
class VehicleLine(Line):
    """A vehicle, with its owner's name where the file tells it."""

    owner: Who = Who()
    description: str = ""
    year: int | None = None
    make: str = ""
    model: str = ""
    color: str = ""
    plate: str = ""
    plate_region: str = ""
    vin: str = ""
    fleet_unit: str = ""
    size: str = ""  # S, M, L, XL
    size_sure: bool = False  # a column says so, not only the word "van"
    size_inside: str = ""
    stands: str = ""  # garage, carport, street: as the shop's exposure questions name it
    lease_ends: date | None = None
    notes: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplierLine(Line):
    """Someone the shop buys from."""

    name: str = ""
    contact: str = ""
    email: str = ""
    phone: str = ""
    address: str = ""
    account_no: str = ""
    promised_days: int | None = None
    freight: int | None = None
    free_freight_from: int | None = None
    minimum_order: int | None = None
    notes: str = ""


@dataclass(frozen=True, slots=True)
class PackLine:
    """A size that a supply is sold in; the price is what one such pack costs."""

    label: str
    size: int
    price: int | None = None
    code: str = ""
    supplier: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplyLine(Line):
    """A supply: what it is, what stands on the shelf, how it is bought."""

    name: str = ""
    supply_kind: str = "liquid"  # liquid, paste, piece
    kind_sure: bool = False  # the file says it (by a unit or a column), not only the name
    stock: int | None = None
    packs: tuple[PackLine, ...] = ()
    supplier: str = ""
    code: str = ""
    dilution: int | None = None
    density: int | None = None
    shelf_place: str = ""
    shelf_life_days: int | None = None
    opened_life_days: int | None = None
    protection: str = ""
    life_low_days: int | None = None
    life_high_days: int | None = None
    signal_word: str = ""  # danger, warning
    hazard_statements: tuple[str, ...] = ()
    pictograms: tuple[str, ...] = ()
    stopped: bool | None = None
    tare: int | None = None
    notes: str = ""


@dataclass(frozen=True, slots=True)
class ChargeLine:
    """One charge of a job before tax; a discount is negative."""

    text: str
    amount: int
    tax_rate: int = 0


@dataclass(frozen=True, slots=True)
class PaidLine:
    """Money that came for a job."""

    amount: int
    day: date | None = None
    method: str = ""
    kind: str = "payment"  # payment, deposit, refund, tip


@dataclass(frozen=True, slots=True, kw_only=True)
class JobLine(Line):
    """Work on one vehicle, as one row of a log tells it."""

    number: str = ""
    day: date | None = None
    last_day: date | None = None
    customer: Who = Who()
    vehicle: VehicleLine | None = None
    services: str = ""
    state: str = ""  # enquiry, booked, working, done, cancelled
    minutes: int | None = None
    charges: tuple[ChargeLine, ...] = ()
    paid: tuple[PaidLine, ...] = ()
    notes: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class LayerLine(Line):
    """Protection that was put on a vehicle on a day."""

    customer: Who = Who()
    vehicle: VehicleLine | None = None
    day: date | None = None
    supply: str = ""
    surface_groups: tuple[str, ...] = ()
    notes: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReceiptLine(Line):
    """Money that came, told on its own."""

    customer: Who = Who()
    job_number: str = ""
    day: date | None = None
    amount: int | None = None
    method: str = ""
    receipt_kind: str = "payment"
    notes: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class EntryLine(Line):
    """A row of a full export: the columns of one record that stand in the file, told exactly.

    `told[i]` is the value of the record's column `fields[i]` in the book's own units; what points
    to another record is that record's number. `record` is the kind, such as "movements"; `number`
    the row's own in the column Key, None for one that a person added.
    """

    record: str = ""
    number: int | None = None
    fields: tuple[str, ...] = ()
    told: tuple[Any, ...] = ()

    @property
    def values(self) -> dict[str, Any]:
        """The values by the record's column."""
        return dict(zip(self.fields, self.told, strict=True))


KIND_OF: dict[type, str] = {
    CustomerLine: "customer",
    VehicleLine: "vehicle",
    SupplierLine: "supplier",
    SupplyLine: "supply",
    JobLine: "job",
    LayerLine: "layer",
    ReceiptLine: "receipt",
    EntryLine: "entry",
}

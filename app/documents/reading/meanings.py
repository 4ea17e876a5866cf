"""What a column of somebody's table can mean."""

from __future__ import annotations

from dataclasses import dataclass

from app.documents.reading import heading_words

# What the values of a column look like; recognition checks the heading's claim against it.
FORMS = (
    "text", "name", "phone", "mail", "contact", "date", "money", "amount", "number", "hours",
    "yes", "year", "vin", "plate", "paid", "dilution", "span", "unit", "skip",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Meaning:
    """One meaning: its key ("customer.phone"), its label, and what its values look like.

    `many` columns of one table may share it (two telephone columns). `form` "skip" is known and
    needs no reading: totals, balances, other programs' keys.
    """

    key: str
    label: str
    form: str
    words: tuple[str, ...]
    many: bool = False
    note: str = ""

    @property
    def kind(self) -> str:
        """The kind of line it belongs to."""
        return self.key.partition(".")[0]

    @property
    def field(self) -> str:
        """The field of that line."""
        return self.key.partition(".")[2]


# Field, label, what its values look like; a star: several columns may have it; then a note for the
# template.
_TABLE = """
customer.key | Key | skip
customer.name | Name | name | First and last name, or the firm. “Last, First” is understood.
customer.first | First name | name
customer.last | Last name | name
customer.prefix | Title | text
customer.firm | Firm | text | Fill in when a firm pays; the name is then its contact.
customer.phone | Phone | phone* | Any way of writing it; several in one cell are understood.
customer.email | Email | mail*
customer.contact | Phone or email | contact*
customer.address | Address | text
customer.street | Street | text
customer.street2 | Street, second line | text
customer.city | City | text
customer.city_line | City, state and zip | text
customer.region | State | text
customer.postal_code | Zip | text
customer.country | Country | text
customer.household | Household | text | The same word for people who get one message together.
customer.asks_by | Prefers | text | letter, mail, phone or text.
customer.may_remind | May remind | yes | yes or no.
customer.do_not_write | Do not write | yes | yes when they asked not to be written to.
customer.deceased | Deceased | yes
customer.referred_by | Referred by | name
customer.tax_exempt_no | Tax exemption no. | text
customer.since | Customer since | date
customer.notes | Notes | text*
vehicle.key | Vehicle key | skip
vehicle.description | Vehicle | text* | As the shop says it: “2014 blue wagon”.
vehicle.year | Year | year
vehicle.make | Make | text
vehicle.model | Model | text
vehicle.color | Color | text
vehicle.plate | Plate | plate
vehicle.plate_region | Plate state | text
vehicle.vin | VIN | vin
vehicle.fleet_unit | Fleet unit | text
vehicle.size | Size | text | S, M, L or XL; body words are understood.
vehicle.size_inside | Size inside | text
vehicle.stands | Stands | text
vehicle.lease_ends | Lease ends | date
vehicle.mileage | Odometer | text
vehicle.notes | Vehicle notes | text*
supplier.name | Supplier | name
supplier.contact | Contact | name
supplier.phone | Phone | phone
supplier.email | Email | mail
supplier.address | Address | text
supplier.street | Street | text
supplier.city | City | text
supplier.region | State | text
supplier.postal_code | Zip | text
supplier.account_no | Account no. | text
supplier.promised_days | Lead time, days | span | As they promise: 5, or 1 week.
supplier.freight | Freight | money
supplier.free_freight_from | Free freight from | money
supplier.minimum_order | Minimum order | money
supplier.website | Website | text
supplier.notes | Notes | text*
supply.key | Supply key | skip
supply.name | Supply | text
supply.kind | Kind | text | liquid, paste or piece.
supply.category | Category | text
supply.maker | Maker | text
supply.stock | On hand | amount | What stands there now: 1.5 gal, 2 x 32 oz, 300 ml, 40 pcs.
supply.unit | Unit | unit
supply.size | Pack | amount* | The size you buy: 1 gal, 32 oz, 500 ml, 3 x 32 oz, 100 pcs.
supply.price | Price | money | What one pack costs.
supply.value | Value on hand | skip
supply.supplier | Supplier | text
supply.code | Code | text
supply.dilution | Dilution | dilution | 1 to 10 (ten parts water), 1 oz per gal, neat.
supply.density | Density | number
supply.reorder | Reorder note | text
supply.to_order | To order | skip
supply.place | Shelf place | text
supply.shelf_life | Shelf life | span | 24 months, 2 years.
supply.opened_life | Opened life | span
supply.expires | Expires | date
supply.protection | Protection class | text | carnauba wax, ceramic 2 year …; else empty.
supply.life | Lasts | span | As the label says: 6 months, 1-3 months, 2 years.
supply.signal_word | Signal word | text | danger or warning.
supply.hazards | Hazard statements | text | As the safety data sheet lists them: H225; H319.
supply.pictograms | Pictograms | text | GHS02, GHS07.
supply.stopped | Stopped | yes
supply.active | Active | yes
supply.tare | Empty weight | amount
supply.checked | Counted on | skip
supply.notes | Notes | text*
job.key | Job key | skip
job.number | Job no. | text
job.day | Date | date | The day of the work; from-to is understood.
job.last_day | Last day | date
job.state | Status | text | booked, working, done or cancelled; past days are done when empty.
job.services | Services | text*
job.hours | Hours | hours* | 2.5, 2:30, 2h 30m, 150 min.
job.net | Net | money
job.tax | Tax | money
job.tax_rate | Tax rate | number
job.gross | Price | money | What was charged in all, with tax.
job.charge | A charge of its own | money*
job.discount | Discount | money
job.tip | Tip | money
job.deposit | Deposit | money
job.paid | Paid | paid | An amount, yes or no, or how it was paid.
job.paid_on | Paid on | date
job.method | Paid by | text | cash, check, card or transfer.
job.balance | Balance | skip
job.notes | Notes | text*
layer.day | Applied on | date
layer.supply | Protection applied | text*
layer.surfaces | Surfaces | text | paint, glass, wheels, trim, leather, roof, hood …
layer.count | Layers | number
layer.notes | Notes | text*
receipt.day | Date | date
receipt.amount | Amount | money
receipt.method | Method | text
receipt.job | For job | text
receipt.kind | Kind | text
receipt.notes | Notes | text*
"""


def _meanings() -> dict[str, Meaning]:
    found = {}
    for line in _TABLE.strip().splitlines():
        key, label, form, note = (*(part.strip() for part in line.split(" | ")), "")[:4]
        kind, _, field = key.partition(".")
        words = getattr(heading_words, kind.upper())[field]
        found[key] = Meaning(
            key,
            label,
            form.rstrip("*"),
            tuple(word.strip() for word in words.replace("\n", " ").split("|") if word.strip()),
            form.endswith("*"),
            note,
        )
    return found


MEANINGS: dict[str, Meaning] = _meanings()

# What says who or what a row is about.
NAMES = ("customer.name", "customer.first", "customer.last", "customer.firm")
CONTACTS = ("customer.phone", "customer.email", "customer.contact")
VEHICLES = (
    "vehicle.description", "vehicle.make", "vehicle.model", "vehicle.plate", "vehicle.vin",
    "vehicle.fleet_unit",
)  # fmt: skip

# The kinds of line that a table of a kind may hold beside its own.
BESIDE: dict[str, tuple[str, ...]] = {
    "customer": ("customer", "vehicle"),
    "vehicle": ("vehicle", "customer"),
    "supplier": ("supplier",),
    "supply": ("supply",),
    "job": ("job", "customer", "vehicle", "layer"),
    "layer": ("layer", "vehicle", "customer"),
    "receipt": ("receipt", "customer"),
}

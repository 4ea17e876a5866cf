"""What stands on the shelf: suppliers, supplies, packs, lots, orders and the stock ledger.

Quantities are whole numbers of the supply's base unit: microlitres, milligrams or thousandths of
a piece. Money is whole minor units of the shop's currency.
"""

from datetime import date, datetime
from typing import Any

from sqlalchemy import BigInteger, ForeignKey, Index, String, Text, text
from sqlalchemy.orm import Mapped, mapped_column

from app.records.models.base import KEEPS_NUMBERS, LATE, Ledger, Record


class Supplier(Record):
    """Someone the shop buys from."""

    __tablename__ = "suppliers"

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(120), index=True)
    email: Mapped[str] = mapped_column(String(254), default="")
    phone: Mapped[str] = mapped_column(String(40), default="")
    address: Mapped[str] = mapped_column(Text, default="")
    account_no: Mapped[str] = mapped_column(String(60), default="")
    promised_days: Mapped[int | None]  # lead time as promised; what was seen stands in the orders
    freight: Mapped[int] = mapped_column(default=0)
    free_freight_from: Mapped[int | None]
    minimum_order: Mapped[int] = mapped_column(default=0)
    hazard_fee: Mapped[int] = mapped_column(default=0)
    order_weekdays: Mapped[str] = mapped_column(String(20), default="")  # "0,3": Monday, Thursday
    # Thousandths of a percent, where they sell to the shop without tax; 0 where they do not.
    use_tax_rate: Mapped[int] = mapped_column(default=0)
    notes: Mapped[str] = mapped_column(Text, default="")


class SupplierDate(Record):
    """Days that a supplier announced: a sale, or a cold season in which nothing is sent that
    must not freeze."""

    __tablename__ = "supplier_dates"

    id: Mapped[int] = mapped_column(primary_key=True)
    supplier_id: Mapped[int] = mapped_column(ForeignKey("suppliers.id", **LATE), index=True)
    kind: Mapped[str] = mapped_column(String(10))  # sale, cold
    first_day: Mapped[date]
    last_day: Mapped[date]  # counted in
    yearly: Mapped[bool] = mapped_column(default=False)  # the same days each year
    note: Mapped[str] = mapped_column(String(200), default="")


class Supply(Record):
    """Anything consumed: a liquid, a paste or pieces."""

    __tablename__ = "supplies"

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(String(120), index=True)
    kind: Mapped[str] = mapped_column(String(10))  # liquid, paste, piece
    show_unit: Mapped[str] = mapped_column(String(10), default="")  # "" follows the setting
    density: Mapped[int] = mapped_column(default=1000)  # mg per mL
    # Usual working strength, thousandths of parts water to one part product; none = used neat.
    dilution: Mapped[int | None]
    bottle: Mapped[int | None] = mapped_column(BigInteger)  # the bottle that "1/4 bottle" means
    tare: Mapped[int | None]  # mg, the empty container on the scale
    costing: Mapped[str] = mapped_column(String(10), default="average")  # average or lot
    whole_container: Mapped[bool] = mapped_column(default=False)
    shelf_life_days: Mapped[int | None]
    opened_life_days: Mapped[int | None]
    shelf_place: Mapped[str] = mapped_column(String(60), default="")
    supplier_id: Mapped[int | None] = mapped_column(ForeignKey("suppliers.id", **LATE))
    stopped: Mapped[bool] = mapped_column(default=False)  # use it up, don't reorder
    archived_on: Mapped[date | None]  # kept for its history, shown only when asked for by name
    no_frost: Mapped[bool] = mapped_column(default=False)  # must not freeze: not sent in the cold
    # Protection: what it leaves on the vehicle; empty when it leaves nothing.
    protection: Mapped[str] = mapped_column(String(30), default="")
    life_low_days: Mapped[int | None]
    life_high_days: Mapped[int | None]
    wait_next_hours: Mapped[int | None]
    wait_water_hours: Mapped[int | None]
    least_temperature: Mapped[int | None]  # at which it cures by its label, tenths of a degree C
    # Hazards as the owner entered them from the safety data sheet.
    signal_word: Mapped[str] = mapped_column(String(10), default="")
    hazard_statements: Mapped[list[str]] = mapped_column(default=list)
    pictograms: Mapped[list[str]] = mapped_column(default=list)
    ingredients: Mapped[list[str]] = mapped_column(default=list)  # hypochlorite, ammonia, acid…
    flammable: Mapped[bool] = mapped_column(default=False)
    sds_file: Mapped[str] = mapped_column(String(300), default="")
    sds_date: Mapped[date | None]
    # Towels and pads that come back from the wash, counted together: where they begin on the
    # ladder (paint, interior, wheels), empty for what is used up; pieces in a load; uses in a life.
    pool: Mapped[str] = mapped_column(String(10), default="")
    pool_load: Mapped[int | None]
    pool_uses: Mapped[int | None]
    notes: Mapped[str] = mapped_column(Text, default="")


class Pack(Record):
    """A size that a supplier sells a supply in, and its price there."""

    __tablename__ = "packs"

    id: Mapped[int] = mapped_column(primary_key=True)
    supply_id: Mapped[int] = mapped_column(ForeignKey("supplies.id", **LATE), index=True)
    supplier_id: Mapped[int | None] = mapped_column(ForeignKey("suppliers.id", **LATE))
    label: Mapped[str] = mapped_column(String(60))  # as people say it: "1 gal", "3 x 32 oz"
    size: Mapped[int] = mapped_column(BigInteger)
    price: Mapped[int] = mapped_column(default=0)
    weight: Mapped[int | None]  # mg with its container, for spreading freight
    code: Mapped[str] = mapped_column(String(60), default="")
    priced_on: Mapped[date | None]


class PackBreak(Record):
    """The price of one pack where so many are ordered at once."""

    __tablename__ = "pack_breaks"
    __table_args__ = (Index("ix_pack_breaks_pack_id_packs", "pack_id", "packs", unique=True),)

    id: Mapped[int] = mapped_column(primary_key=True)
    pack_id: Mapped[int] = mapped_column(ForeignKey("packs.id", **LATE))
    packs: Mapped[int]  # from so many, two at least
    price: Mapped[int]  # of one pack


class Lot(Record):
    """A delivery of a dated or whole-container supply that is used oldest first."""

    __tablename__ = "lots"

    id: Mapped[int] = mapped_column(primary_key=True)
    supply_id: Mapped[int] = mapped_column(ForeignKey("supplies.id", **LATE), index=True)
    code: Mapped[str] = mapped_column(String(60), default="")
    received_on: Mapped[date]
    expires_on: Mapped[date | None]
    opened_on: Mapped[date | None]
    finished_on: Mapped[date | None]


class Movement(Ledger, Record):
    """One line of the stock ledger; a balance is the sum of its lines."""

    __tablename__ = "movements"
    __table_args__ = (
        Index("ix_movements_supply_id_day", "supply_id", "day"),
        # The few lines that were weighed, among all of a supply.
        Index("ix_movements_weighed", "supply_id", "day", sqlite_where=text("weight IS NOT NULL")),
        KEEPS_NUMBERS,
    )
    alike = ("supply_id", "lot_id", "job_id", "use_id", "order_line_id", "use_tax_rate")
    other_way = ("quantity", "value")

    id: Mapped[int] = mapped_column(primary_key=True)
    supply_id: Mapped[int] = mapped_column(ForeignKey("supplies.id", **LATE))
    day: Mapped[date] = mapped_column(index=True)
    at: Mapped[datetime]
    # received, used, counted, wasted, returned, opened, expired, reversed
    kind: Mapped[str] = mapped_column(String(10))
    quantity: Mapped[int] = mapped_column(BigInteger)  # signed: in is positive
    value: Mapped[int] = mapped_column(default=0)  # signed minor units, same sign as quantity
    # A physical count: a person looked. Other "counted" lines settle what the book had wrong.
    physical: Mapped[bool] = mapped_column(default=False)
    # What the scale showed, mg with the container; empty where it was not counted on the scale.
    # What a job's weighing showed stands on its use.
    weight: Mapped[int | None]
    # Of a delivery bought without tax: the rate of use tax, thousandths of a percent; else 0.
    use_tax_rate: Mapped[int] = mapped_column(default=0)
    lot_id: Mapped[int | None] = mapped_column(ForeignKey("lots.id", **LATE), index=True)
    # Named, not bound: a final line stays when undo takes out the use or job it was booked for.
    job_id: Mapped[int | None] = mapped_column(index=True)
    use_id: Mapped[int | None] = mapped_column(index=True)
    order_line_id: Mapped[int | None] = mapped_column(ForeignKey("order_lines.id", **LATE))
    counters_id: Mapped[int | None] = mapped_column(
        ForeignKey("movements.id", **LATE), index=True, unique=True
    )
    note: Mapped[str] = mapped_column(String(300), default="")


class Order(Record):
    """An order to one supplier, sent by a person."""

    __tablename__ = "orders"

    id: Mapped[int] = mapped_column(primary_key=True)
    number: Mapped[int] = mapped_column(unique=True)
    supplier_id: Mapped[int] = mapped_column(ForeignKey("suppliers.id", **LATE), index=True)
    day: Mapped[date]
    state: Mapped[str] = mapped_column(String(10), default="written")
    # written, sent, part, received, cancelled
    expected_on: Mapped[date | None]
    received_on: Mapped[date | None]
    freight: Mapped[int] = mapped_column(default=0)
    note: Mapped[str] = mapped_column(String(300), default="")


class OrderLine(Record):
    """So many packs of one supply."""

    __tablename__ = "order_lines"

    id: Mapped[int] = mapped_column(primary_key=True)
    order_id: Mapped[int] = mapped_column(ForeignKey("orders.id", **LATE), index=True)
    supply_id: Mapped[int] = mapped_column(ForeignKey("supplies.id", **LATE), index=True)
    pack_id: Mapped[int | None] = mapped_column(ForeignKey("packs.id", **LATE))
    pack_label: Mapped[str] = mapped_column(String(60), default="")
    pack_size: Mapped[int] = mapped_column(BigInteger)
    packs: Mapped[int]
    packs_received: Mapped[int] = mapped_column(default=0)
    packs_damaged: Mapped[int] = mapped_column(default=0)  # came, and were not taken in
    damaged_on: Mapped[date | None]  # the last day on which some came so
    price: Mapped[int] = mapped_column(default=0)  # of one pack
    reason: Mapped[str] = mapped_column(String(300), default="")


class OrderChoice(Record):
    """How many packs a person chose on a day's sheet, against what was proposed; 0 is none."""

    __tablename__ = "order_choices"

    id: Mapped[int] = mapped_column(primary_key=True)
    day: Mapped[date] = mapped_column(index=True)
    supply_id: Mapped[int] = mapped_column(ForeignKey("supplies.id", **LATE), index=True)
    pack_id: Mapped[int] = mapped_column(ForeignKey("packs.id", **LATE))
    packs: Mapped[int]


class PoolEvent(Ledger, Record):
    """Pieces of a pool that went from one state to another.

    A state is a step of the ladder with where they are ("paint clean", "wheels in use"), "out" for
    those retired, and empty for outside the pool.
    """

    __tablename__ = "pool_events"
    __table_args__ = (
        # Where the pieces stand is the sum of all lines, which this index alone answers.
        Index("ix_pool_events_standing", "supply_id", "source", "target", "pieces", "loads"),
        # Most lines only set pieces out and wash them; the few others are asked for by day.
        Index("ix_pool_events_kind_day", "kind", "day"),
        KEEPS_NUMBERS,
    )
    alike = ("supply_id", "pieces", "use_id", "movement_id")
    other_way = ("loads",)

    id: Mapped[int] = mapped_column(primary_key=True)
    supply_id: Mapped[int] = mapped_column(ForeignKey("supplies.id", **LATE), index=True)
    day: Mapped[date] = mapped_column(index=True)
    at: Mapped[datetime]
    kind: Mapped[str] = mapped_column(String(10))  # added, set out, washed, demoted, retired
    source: Mapped[str] = mapped_column(String(20), default="")
    target: Mapped[str] = mapped_column(String(20), default="")
    pieces: Mapped[int]
    loads: Mapped[int] = mapped_column(default=0)  # of the wash
    # Named, not bound, like those of a movement: what a job took, or what a delivery brought.
    use_id: Mapped[int | None] = mapped_column(index=True)
    movement_id: Mapped[int | None] = mapped_column(index=True)
    counters_id: Mapped[int | None] = mapped_column(
        ForeignKey("pool_events.id", **LATE), index=True, unique=True
    )
    note: Mapped[str] = mapped_column(String(300), default="")

    def counter(self) -> dict[str, Any]:
        """The same pieces the other way."""
        return super().counter() | {"source": self.target, "target": self.source}


class Balance(Record):
    """What stood on the shelf at the close of a day: the ledger's snapshot."""

    __tablename__ = "balances"
    __table_args__ = (Index("ix_balances_supply_id_day", "supply_id", "day", unique=True),)

    id: Mapped[int] = mapped_column(primary_key=True)
    supply_id: Mapped[int] = mapped_column(ForeignKey("supplies.id", **LATE))
    day: Mapped[date] = mapped_column(index=True)
    # The highest movement counted in; later lines, whatever their day, come on top.
    up_to_movement: Mapped[int] = mapped_column(default=0)
    quantity: Mapped[int] = mapped_column(BigInteger)
    value: Mapped[int]

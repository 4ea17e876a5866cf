"""Amounts of a supply in the shop's own units, and how its entries are read."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from fractions import Fraction

from app.actions.desk.desk import Desk, kept
from app.calculations.numbers import dilution, tax
from app.calculations.numbers.entries import EntrySetting
from app.calculations.numbers.money import shown_money
from app.calculations.numbers.rounding import half_away
from app.calculations.numbers.units import (
    PIECE,
    Kind,
    default_unit,
    in_unit,
    pieces_word,
    sentence_amount,
    shown,
    stock_decimals,
)
from app.errors import Mendable
from app.records.queries import stock as queries
from app.records.queries.stock import SupplyRow
from app.records.queries.takings import Nets, ReceiptRow

MOST_DECIMALS = 3


@kept("supplies")
def all_supplies(desk: Desk) -> dict[int, SupplyRow]:
    """Every supply by id, in order of name."""
    with desk.book.reading() as session:
        return queries.supplies(session)


def supply_of(desk: Desk, supply_id: int) -> SupplyRow:
    """One supply; `Mendable` where it is not in the book."""
    supply = all_supplies(desk).get(supply_id)
    if supply is None:
        raise Mendable("This supply is not in the book any more.")
    return supply


def unit_of(desk: Desk, supply: SupplyRow) -> str:
    """The unit that a supply's column shows."""
    return supply.show_unit or default_unit(Kind(supply.kind), desk.settings.system)


def column_decimals(desk: Desk, amounts: Iterable[tuple[SupplyRow, int]]) -> dict[str, int]:
    """By unit, the decimals of a column's numbers: with as many for all of a unit they align.

    As many as the shelf shows, and more where some number would be off by more than a twentieth.
    Pieces of two supplies are two units, whatever both are called.
    """
    found: dict[str, int] = {}
    for supply, amount in amounts:
        unit = _column_unit(desk, supply)
        places = found.get(unit, stock_decimals(unit_of(desk, supply), Kind(supply.kind)))
        exact = in_unit_of(desk, supply, amount)
        while places < MOST_DECIMALS and 20 * _lost(exact, places) > abs(exact):
            places += 1
        found[unit] = places
    return found


def _lost(exact: Fraction, places: int) -> Fraction:
    """By how much a number with so many decimals is off."""
    return abs(Fraction(half_away(exact, places), 10**places) - exact)


def _column_unit(desk: Desk, supply: SupplyRow) -> str:
    unit = unit_of(desk, supply)
    return f"{unit} of {supply.supply_id}" if supply.kind == Kind.PIECE else unit


def number_of(
    desk: Desk, supply: SupplyRow, amount: int, decimals: Mapping[str, int] | None = None
) -> str:
    """The number alone, for a column whose unit stands beside it; `decimals`: by unit."""
    unit = unit_of(desk, supply)
    places = None if decimals is None else decimals.get(_column_unit(desk, supply))
    kind, system = Kind(supply.kind), desk.settings.system
    return shown(amount, kind, system, unit=unit, decimals=places)[0]


def stock_number(desk: Desk, supply: SupplyRow, amount: int) -> str:
    """The number alone of what stands on the shelf: whole pieces, a unit's own decimals."""
    places = stock_decimals(unit_of(desk, supply), Kind(supply.kind))
    return number_of(desk, supply, amount, {_column_unit(desk, supply): places})


def amount_text(
    desk: Desk, supply: SupplyRow, amount: int, decimals: Mapping[str, int] | None = None
) -> str:
    """Number and unit, for a fact: `310 mL`, `2 pairs`."""
    return _with_unit(desk, supply, number_of(desk, supply, amount, decimals))


def stock_text(desk: Desk, supply: SupplyRow, amount: int) -> str:
    """Number and unit of what stands on the shelf: `43 pairs`."""
    return _with_unit(desk, supply, stock_number(desk, supply, amount))


def _with_unit(desk: Desk, supply: SupplyRow, number: str) -> str:
    unit = unit_of(desk, supply)
    return f"{number} {pieces_word(number, unit) if supply.kind == Kind.PIECE else unit}"


def amount_said(desk: Desk, supply: SupplyRow, amount: int) -> str:
    """The amount for running text: `2.9 fl oz`, `1 piece`."""
    return sentence_amount(
        amount, Kind(supply.kind), desk.settings.system, unit=unit_of(desk, supply)
    )


def stock_said(desk: Desk, supply: SupplyRow, amount: int) -> str:
    """What stands on the shelf, for running text: `2.9 fl oz`, whole pieces."""
    return sentence_amount(
        amount, Kind(supply.kind), desk.settings.system, unit=unit_of(desk, supply), whole=True
    )


def need_said(desk: Desk, supply: SupplyRow, amount: int) -> str:
    """What is needed or lacks, for running text; of pieces never less than one."""
    return stock_said(desk, supply, at_least_one(supply, amount))


def at_least_one(supply: SupplyRow, amount: int) -> int:
    """The amount; of pieces that are needed or kept never a part of the first one."""
    return max(amount, int(PIECE)) if supply.kind == Kind.PIECE and amount > 0 else amount


def in_unit_of(desk: Desk, supply: SupplyRow, amount: int) -> Fraction:
    """The amount in the unit that the supply's column shows."""
    try:
        return in_unit(amount, unit_of(desk, supply), Kind(supply.kind))
    except Mendable:
        return Fraction(amount, 1000)


def price_by_unit(desk: Desk, supply: SupplyRow, price: int, amount: int) -> str:
    """`1.31 a mL`: what so much costs by the unit that the supply's column shows."""
    units = in_unit_of(desk, supply, amount)
    if not units:
        return ""
    return f"{money(desk, half_away(price / units))} a {unit_of(desk, supply)}"


def money(desk: Desk, minor: int) -> str:
    """`1,234.50`."""
    return shown_money(minor, desk.settings.currency)


def totals(
    desk: Desk, nets: Nets | Iterable[tuple[int, int]], receipts: Iterable[ReceiptRow] = ()
) -> tax.Totals:
    """Net, tax, gross and due of a job, minor units, less what came for it.

    `nets` are its charges, (amount, tax rate in thousandths of a percent); the tax of those that
    stand on invoices and credit notes is as printed, of the rest as is rounded on the day on which
    it was done, today where it is not.
    """
    found = nets if isinstance(nets, Nets) else Nets(open=list(nets))
    came = sum(one.amount for one in receipts)
    rule = tax.Rounding(desk.settings.rounding_on(found.done_on or desk.today))
    return tax.charged(found.open, found.invoiced, found.printed_tax, rule, came)


def entry_setting(
    desk: Desk, supply: SupplyRow, *, on_hand: int | None, last_weight: int | None
) -> EntrySetting:
    """What is known of a supply when something of it is typed."""
    return EntrySetting(
        kind=Kind(supply.kind),
        system=desk.settings.system,
        density_mg_per_ml=supply.density,
        default_unit=supply.show_unit or None,
        bottle=supply.bottle,
        dilution_parts=None if supply.dilution is None else Fraction(supply.dilution, 1000),
        tare_mg=supply.tare,
        last_weight_mg=last_weight,
        on_hand=on_hand,
        imperial=desk.settings.imperial,
    )


def read_parts(desk: Desk, typed: str) -> Fraction:
    """A dilution as typed, in parts water to one; a bare ratio is read as the shop's setting says.

    Raises `Mendable` (see `dilution.read_ratio`).
    """
    settings = desk.settings
    reading = dilution.Reading(settings.dilution_reading)
    return dilution.read_ratio(typed, reading, imperial=settings.imperial)

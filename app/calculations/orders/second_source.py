"""Who else could bring in time what the usual supplier would bring too late."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

from app.calculations.orders.basket import freight_of
from app.calculations.orders.lead_times import lead_time_quantile
from app.calculations.orders.order_chances import chances
from app.calculations.orders.proposal import SecondSource, SupplierProposal, SupplyCover
from app.calculations.orders.shelf_risks import WeighedShelf, offers_of

ROUNDING = 0.05  # of a pack that may lack, so that no pack is bought for a drop


def in_time(
    shelf: WeighedShelf, row: int, cover: SupplyCover, orders: Sequence[SupplierProposal]
) -> SecondSource | None:
    """The cheapest other offer, freight counted, that half of the time comes by the day on which
    this supply would run short; None where there is none.

    As many packs as cover what will lack. `dearer` compares their cost with that of the same
    quantity in the usual pack: that of today's line, else the cheapest by the unit that the usual
    supplier sells. Freight is what the order adds to what goes to that supplier anyway.
    """
    supply, day = shelf.supplies[row], shelf.state.day
    usual = shelf.sources[row].supplier
    assert cover.short_day is not None
    found = []
    for supplier in shelf.suppliers:
        if supplier.supplier == usual:
            continue
        when = chances(day, supplier, no_frost=supply.no_frost)
        comes = day + when.first + lead_time_quantile(shelf.leads[supplier.supplier], 0.5)
        if comes > cover.short_day:
            continue
        goods = next((one.goods for one in orders if one.supplier == supplier.supplier), 0)
        for offer in offers_of(supply, supplier.supplier):
            count = max(1, ceil(cover.short_before_delivery / offer.size - ROUNDING))
            cost = count * offer.each(count)
            freight = max(0, freight_of(supplier, goods + cost) - freight_of(supplier, goods))
            found.append(
                (cost + freight, comes, offer.pack, supplier.supplier, offer, count, freight)
            )
    if not found:
        return None
    total, comes, _, number, offer, count, freight = min(found, key=lambda one: one[:3])
    quantity = count * offer.size
    by_unit = _usual_price(shelf, row, usual, orders)
    return SecondSource(
        supply=supply.supply,
        supplier=number,
        pack=offer.pack,
        count=count,
        quantity=quantity,
        price=offer.each(count),
        cost=total - freight,
        freight=freight,
        dearer=None if by_unit is None else round(total - freight - by_unit * quantity),
        order_day=day + chances(day, shelf.supplier(number), no_frost=supply.no_frost).first,
        delivery_day=comes,
        short_day=cover.short_day,
    )


def _usual_price(
    shelf: WeighedShelf, row: int, usual: int | None, orders: Sequence[SupplierProposal]
) -> float | None:
    """What a base unit costs at the usual supplier."""
    supply = shelf.supplies[row]
    for one in orders:
        for line in one.lines:
            if line.supply == supply.supply:
                return line.cost / line.quantity
    offers = offers_of(supply, usual) if usual is not None else []
    return min((one.price / one.size for one in offers), default=None)

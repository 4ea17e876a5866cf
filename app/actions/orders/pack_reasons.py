"""Why this pack: price by the unit, how long it lasts and keeps, and what a break saves."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from app.actions.desk.amounts import price_by_unit
from app.actions.desk.desk import Desk
from app.actions.orders.shelf_state import rule_settings
from app.calculations.numbers.wording import capital, count_of
from app.calculations.orders.packs import KEEP_SHARE, PackWeight, choose_pack, weigh_packs
from app.calculations.orders.shelf_state import PackOffer, SupplyState
from app.records.queries.stock import SupplyRow

_MONTH = 30.4375


def time_words(days: float) -> str:
    """`5 weeks`, `18 months`, `4 years`: as long as a pack lasts or keeps."""
    if days < 13.5:
        return count_of(max(1, round(days)), "day")
    if days < 9 * 7:
        return f"{round(days / 7)} weeks"
    if days < 36 * _MONTH:
        return f"{round(days / _MONTH)} months"
    return f"{round(days / 365.25)} years" if days < 20 * 365 else "over 20 years"


def chosen_pack(desk: Desk, supply: SupplyRow, offers: Sequence[PackOffer], per_day: float) -> int:
    """The pack that the rule takes of these where nothing is due, at the usual rate of use."""
    import numpy as np

    state = _state(supply, offers)
    choice = choose_pack(state, offers, np.zeros(0), per_day, 0.0, rule_settings(desk))
    return choice.offer.pack


def why_pack(
    desk: Desk,
    supply: SupplyRow,
    offers: Sequence[PackOffer],
    labels: Mapping[int, str],
    pack: int,
    per_day: float,
) -> tuple[str, ...]:
    """Why this pack and not the next smaller or larger one of the same supplier, in sentences."""
    weights = weigh_packs(_state(supply, offers), offers, per_day, rule_settings(desk))
    by_pack = {offer.pack: offer for offer in offers}
    at = next((n for n, one in enumerate(weights) if one.pack == pack), None)
    if at is None:
        return ()
    this = weights[at]
    sentences = []
    if at + 1 < len(weights):
        sentences.append(_against_larger(desk, supply, this, weights[at + 1], by_pack, labels))
    if at > 0:
        sentences.append(_against_smaller(desk, supply, this, weights[at - 1], by_pack, labels))
    return tuple(capital(one) for one in sentences if one)


def _state(supply: SupplyRow, offers: Sequence[PackOffer]) -> SupplyState:
    return SupplyState(
        supply=supply.supply_id,
        supplier=supply.supplier_id,
        on_hand=0,
        packs=tuple(offers),
        shelf_life_days=supply.shelf_life_days,
        opened_life_days=None if supply.whole_container else supply.opened_life_days,
    )


def _against_larger(
    desk: Desk,
    supply: SupplyRow,
    this: PackWeight,
    larger: PackWeight,
    offers: Mapping[int, PackOffer],
    labels: Mapping[int, str],
) -> str:
    name, own = labels[larger.pack], labels[this.pack]
    if larger.finish_days is None:
        return ""
    lasts = f"{name} would last {time_words(larger.finish_days)}"
    if not larger.keeps and larger.keeps_days is not None:
        opened = supply.opened_life_days == larger.keeps_days
        keeps = f"{'opened ' if opened else ''}it keeps {time_words(larger.keeps_days)}"
        share = ""
        if larger.finish_days <= larger.keeps_days:
            share = f" and should be used up within {100 * KEEP_SHARE:.0f} % of that"
        return f"{lasts}, {keeps}{share}: {own}."
    price = _by_unit(desk, supply, offers[larger.pack])
    if larger.each >= this.each:
        return f"{name} is no cheaper by the unit, {price}."
    if larger.year_cost >= this.year_cost:
        return f"{lasts} at {price}: the money that lies in it is worth more than it saves."
    return f"{lasts} at {price}, cheaper over a year."


def _against_smaller(
    desk: Desk,
    supply: SupplyRow,
    this: PackWeight,
    smaller: PackWeight,
    offers: Mapping[int, PackOffer],
    labels: Mapping[int, str],
) -> str:
    name, own = labels[smaller.pack], labels[this.pack]
    less = 1.0 - this.each / smaller.each if smaller.each > 0 else 0.0
    lasts = "" if this.finish_days is None else f", and lasts {time_words(this.finish_days)}"
    if less <= 0:
        return f"{own} is no cheaper by the unit than {name}{lasts}."
    price = _by_unit(desk, supply, offers[this.pack])
    return f"{own} at {price} is {100 * less:.0f} % less than {name}{lasts}."


def _by_unit(desk: Desk, supply: SupplyRow, offer: PackOffer) -> str:
    return price_by_unit(desk, supply, offer.price, offer.size)

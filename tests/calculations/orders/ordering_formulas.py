"""Classic ordering formulas, for comparing the shelf's own orders against.

Floats throughout: these are advice, never stored. Demand and the cost of holding must be for the
same span of time. Sources are named at each function; the formulas stand in any of Heizer & Render,
"Operations Management"; Nahmias, "Production and Operations Analysis"; Snyder & Shen, "Fundamentals
of Supply Chain Theory".
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite, sqrt
from statistics import NormalDist

_NORMAL = NormalDist()


@dataclass(frozen=True)
class OrderQuantity:
    """How much to order at a time, and what ordering and holding then cost per span of time.

    `cost` holds the price of the goods too where prices depend on the quantity.
    """

    quantity: float
    cost: float


def economic_quantity(demand: float, order_cost: float, holding: float) -> OrderQuantity:
    """The economic order quantity sqrt(2 D K / h); ordering and holding then cost sqrt(2 D K h).

    `holding` is the cost of keeping one unit for the span of `demand`. Raises `ValueError` where no
    finite quantity exists: holding or ordering that costs nothing, no demand.
    """
    if min(demand, order_cost, holding) <= 0:
        raise ValueError("Demand, order cost and holding cost must all be above zero")
    both = 2 * demand * order_cost
    return OrderQuantity(sqrt(both / holding), sqrt(both * holding))


def economic_quantity_with_breaks(
    demand: float, order_cost: float, holding_rate: float, breaks: Sequence[tuple[float, float]]
) -> OrderQuantity:
    """The cheapest quantity when the price of all units falls from each break on.

    `breaks` is (least quantity, unit price), the first from 0, quantities rising; `holding_rate` is
    the share of the price that keeping one unit costs. The cost returned holds the goods. Snyder &
    Shen, section 3.4 (all-units discounts).
    """
    if min(demand, order_cost, holding_rate) <= 0 or not breaks:
        raise ValueError("Demand, order cost, holding rate and at least one price are needed")
    starts, prices = [least for least, _ in breaks], [price for _, price in breaks]
    falling = sorted(set(prices), reverse=True) == prices and prices[-1] > 0
    if starts[0] > 0 or sorted(set(starts)) != starts or not falling:
        raise ValueError("Breaks start at 0 and rise, and their prices fall and are above zero")
    # The best quantity at a price may lie beyond the next break; the next price beats it there.
    candidates = []
    for least, price in breaks:
        quantity = max(economic_quantity(demand, order_cost, holding_rate * price).quantity, least)
        cost = demand * price + order_cost * demand / quantity + holding_rate * price * quantity / 2
        candidates.append(OrderQuantity(quantity, cost))
    return min(candidates, key=lambda each: each.cost)


@dataclass(frozen=True)
class Point:
    """Order when the position falls to `level`: mean demand over the lead time plus `safety`."""

    level: float
    safety: float
    deviation: float


def reorder_point(
    daily: float, daily_sd: float, lead: float, lead_sd: float, service: float
) -> Point:
    """Reorder point when demand and lead time both vary.

    sd^2 = L sd_d^2 + d^2 sd_L^2, which takes the demand over the lead time as normal (Heizer &
    Render, ch. 12). `service` is the chance that no order cycle runs short, between 0 and 1; it is
    not the share of demand filled. With a lead time that varies the normal shape misleads a little
    above one half (Chopra, Reinhardt & Dada, Decision Sciences 35, 2004).

    Below one half the safety stock is negative; the level is compared with the position (on hand +
    on order - promised), not with what is on hand.
    """
    if min(daily, daily_sd, lead, lead_sd) < 0 or not all(
        map(isfinite, (daily, daily_sd, lead, lead_sd))
    ):
        raise ValueError("Demand, lead time and their spreads are not negative")
    deviation = sqrt(lead * daily_sd**2 + daily**2 * lead_sd**2)
    safety = deviation * _quantile(service)
    return Point(daily * lead + safety, safety, deviation)


def order_up_to(mean: float, sd: float, review: float, lead: float, service: float) -> float:
    """The level to fill up to when ordering every `review` periods with lead time `lead`.

    `mean` and `sd` are of the demand of one period, periods independent.
    """
    span = review + lead
    if min(mean, sd, review, lead) < 0:
        raise ValueError("Demand, its spread and times are not negative")
    return mean * span + sd * sqrt(span) * _quantile(service)


def stockout_risk(level: float, daily: float, daily_sd: float, lead: float) -> float:
    """The chance that demand over a constant lead time exceeds the reorder level."""
    if daily_sd <= 0 or lead <= 0:
        return 0.0 if level >= daily * lead else 1.0
    return 1 - NormalDist(daily * lead, daily_sd * sqrt(lead)).cdf(level)


def newsvendor(mean: float, sd: float, short: float, over: float) -> float:
    """How much to have for one span when the rest is then worth less: the pack that will expire.

    `short` is what each unit too few costs, `over` each unit too many; the quantity leaves demand
    below it with chance short / (short + over). Demand is normal.
    """
    if short <= 0 or over <= 0 or sd < 0:
        raise ValueError("Both costs must be above zero, the spread not negative")
    return mean + sd * _quantile(short / (short + over))


def _quantile(service: float) -> float:
    if not 0 < service < 1:
        raise ValueError("A service level is above 0 and below 1; certainty needs endless stock")
    return _NORMAL.inv_cdf(service)

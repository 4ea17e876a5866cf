"""Dangerous neighbors: one caution where two supplies come together, on a job or on a shelf.

It defers to the labels and data sheets, and is silent, never reassuring, where nothing is known.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import partial
from itertools import combinations

from app.actions.desk.amounts import all_supplies
from app.actions.desk.desk import Desk
from app.calculations.numbers.units import Kind
from app.calculations.stock.mixing import CLOSED_UP, FAMILIES, clash, families
from app.records.queries import services as service_queries
from app.records.queries.stock import SupplyRow

OVERRIDES = "The label and its safety data sheet override this."


def between(first: SupplyRow, second: SupplyRow) -> str:
    """What two supplies do together; the same sentence in whatever order they are named."""
    one, other = sorted((first, second), key=lambda row: (row.name.casefold(), row.supply_id))
    text = clash(one.ingredients, other.ingredients)
    if not text:
        return ""
    return (
        f"{one.name} and {other.name} {text}: rinse between them, and never in one bottle. "
        f"{OVERRIDES}"
    )


def unknown_between(
    first: SupplyRow, second: SupplyRow, among: frozenset[str] = frozenset(FAMILIES)
) -> str:
    """What to look up where one reacts and what is in the other was never entered."""
    for known, unknown in ((first, second), (second, first)):
        reacts = families(known.ingredients) & among
        if reacts and not unknown.ingredients and unknown.kind != Kind.PIECE:
            held = " and ".join(sorted(families(known.ingredients)))
            return (
                f"{known.name} holds {held}, and what is in {unknown.name} is not entered: read "
                f"its label and data sheet before the two meet."
            )
    return ""


# The same for bleach alone, which must meet nothing: on jobs, where acids are at hand daily and a
# caution on each would be read no more.
unknown_beside_bleach = partial(unknown_between, among=frozenset({"hypochlorite"}))


def caution_among(supplies: Sequence[SupplyRow]) -> str:
    """The one caution for supplies that come together: what is known first, then what is not."""
    ordered = sorted(supplies, key=lambda row: (row.name.casefold(), row.supply_id))
    for say in (between, unknown_beside_bleach):
        for one, other in combinations(ordered, 2):
            text = say(one, other)
            if text:
                return text
    return ""


def caution_beside(
    supply: SupplyRow,
    others: Iterable[SupplyRow],
    unknown: Callable[[SupplyRow, SupplyRow], str] = unknown_beside_bleach,
) -> str:
    """The one caution for a supply that comes to these others."""
    ordered = sorted(others, key=lambda row: (row.name.casefold(), row.supply_id))
    for say in (between, unknown):
        for other in ordered:
            text = say(supply, other) if other.supply_id != supply.supply_id else ""
            if text:
                return text
    return ""


def job_caution(desk: Desk, service_ids: Iterable[int]) -> str:
    """The caution for the recipes of services that are sold on one job."""
    supplies = all_supplies(desk)
    needed: dict[int, SupplyRow] = {}
    with desk.book.reading() as session:
        for service_id in dict.fromkeys(service_ids):
            for line in service_queries.recipe_of(session, service_id):
                if line.supply_id in supplies:
                    needed[line.supply_id] = supplies[line.supply_id]
    return caution_among(tuple(needed.values()))


def shelf_caution(desk: Desk, supply: SupplyRow) -> str:
    """The caution for a supply among those that stand at the same place of the shelf."""
    place = supply.shelf_place.strip().casefold()
    if not place:
        return ""
    there = (
        one for one in all_supplies(desk).values() if one.shelf_place.strip().casefold() == place
    )
    return caution_beside(supply, there, unknown_between)


def filling_caution(desk: Desk, supply: SupplyRow) -> str:
    """The caution where a bottle is filled: what it must not meet, and that peroxide must vent."""
    text = shelf_caution(desk, supply)
    if "peroxide" in families(supply.ingredients):
        text = f"{CLOSED_UP} {text or OVERRIDES}"
    elif not supply.ingredients and not text:
        text = (
            f"What is in {supply.name} is not entered: fill only a clean bottle that held nothing "
            f"else. {OVERRIDES}"
        )
    return text

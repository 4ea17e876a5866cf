"""Services: what is sold, its steps, and the recipe of what it is expected to use."""

from __future__ import annotations

import re
from collections.abc import Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from app.actions.desk.amounts import all_supplies, amount_text, entry_setting, supply_of
from app.actions.desk.desk import NOTHING, Changed, Desk, there
from app.actions.desk.row_changes import add_row, known_fields, set_fields
from app.actions.shop.tax_rates import read_kind
from app.calculations.numbers.durations import JOB_MINUTES, read_duration
from app.calculations.numbers.entries import read_use
from app.calculations.numbers.money import read_money
from app.errors import Mendable
from app.records.asking import to_write
from app.records.models import RecipeLine, Service, ServiceStep
from app.records.queries import services as queries
from app.records.queries.services import SoldService
from app.records.queries.stock import named

KINDS = frozenset({"services", "jobs"})
SCALINGS = {
    "fixed": "the same for every vehicle",
    "size": "by size",
    "size_condition": "by size and condition",
    "layer": "for each coat",
    "container": "a whole container",
}
EFFECTS = {"": "nothing", "applies": "puts a layer on", "strips": "takes layers off",
           "abrades": "abrades"}  # fmt: skip
# What may be typed for the size that counts, and for where it is done.
_WORDS = {
    "outside": ({"outside": True, "inside": False}, "Type outside or inside."),
    "in_bay": ({"in the bay": True, "outside": False}, "Type in the bay or outside."),
}
# A new service whose name has one of these counts by the inside's size until it is said otherwise
# (common practice, no source).
_INSIDE = re.compile(
    r"\b(interior|inside|cabin|carpets?|seats?|upholstery|leather)\b", re.IGNORECASE
)
FIELDS = frozenset(
    {"name", "outside", "minutes", "price", "tax_kind", "in_bay", "stopped", "notes"}
)


@dataclass(frozen=True)
class ServicePage:
    """One service with its steps and its recipe."""

    service: SoldService
    steps: tuple[queries.ServiceStepRow, ...]
    recipe: tuple[queries.RecipeRow, ...]


def list_services(desk: Desk, *, stopped: bool = True) -> tuple[SoldService, ...]:
    """All services, those no longer sold last or left out."""
    with desk.book.reading() as session:
        return tuple(queries.services(session, stopped=stopped))


def service_page(desk: Desk, service_id: int) -> ServicePage:
    """One service with steps and recipe; `Mendable` when it is not in the book."""
    found = (one for one in list_services(desk) if one.service_id == service_id)
    service = there(next(found, None), "This service")
    known = all_supplies(desk)
    with desk.book.reading() as session:
        steps = queries.steps_of_service(session, service_id)
        recipe = queries.recipe_of(session, service_id)
    return ServicePage(
        service, tuple(steps), tuple(line for line in recipe if line.supply_id in known)
    )


def effect_text(desk: Desk, effect: str, supply_id: int | None, groups: Sequence[str]) -> str:
    """What a step does to the layers: `puts on ceramic layer: upper horizontals`."""
    if not effect:
        return ""
    words = EFFECTS[effect]
    supply = all_supplies(desk).get(supply_id) if supply_id else None
    if supply is not None and effect == "applies":
        words = f"puts on {supply.name.lower()}"
    return f"{words}: {', '.join(groups)}" if groups else words


def add_service(desk: Desk, name: str, **fields: Any) -> tuple[Changed, int]:
    """A new service; only its name is needed."""
    new = _checked(desk, {"name": name, "outside": not _INSIDE.search(name), **fields})
    _must_be_free(desk, new["name"], None)
    return add_row(desk, Service(**new), f"Added the service {new['name']}", KINDS)


def edit_service(desk: Desk, service_id: int, **fields: Any) -> Changed:
    """Change a service; what is no text may be typed too. Jobs booked before keep theirs."""
    new = _checked(desk, fields)
    if "name" in new:
        _must_be_free(desk, new["name"], service_id)

    def name(before: Service) -> str:
        return f"Changed the service {before.name}"

    return set_fields(desk, Service, service_id, name, new, KINDS)


def set_recipe_line(
    desk: Desk, service_id: int, supply_id: int, typed: str, scaling: str = ""
) -> Changed:
    """How much of a supply a service is expected to use, as it is said: `2 oz`, `4 gal mixed`."""
    if scaling and scaling not in SCALINGS:
        raise Mendable(f"A line of a recipe goes {', '.join(SCALINGS.values())}.")
    supply = supply_of(desk, supply_id)
    entry = read_use(typed, entry_setting(desk, supply, on_hand=None, last_weight=None))
    if entry.amount <= 0:
        raise Mendable(f"How much {supply.name.lower()} is used? Take the line out if none is.")
    title = _name_of(desk, service_id)
    with desk.book.reading() as session:
        before = queries.line_to_write(session, service_id, supply_id)
        same = before is not None and before.amount == entry.amount
        if before is not None and same and scaling in ("", before.scaling):
            return NOTHING
    kind = scaling or (before.scaling if before is not None else "size_condition")
    text = amount_text(desk, supply, entry.amount)
    name = f"{title}: {supply.name}, {text} {SCALINGS[kind]}"
    with _changing(desk, name) as session:
        row = queries.line_to_write(session, service_id, supply_id)
        if row is None:
            row = RecipeLine(service_id=service_id, supply_id=supply_id)
            session.add(row)
        row.amount, row.scaling = entry.amount, kind
    return Changed(name, KINDS)


def set_scaling(desk: Desk, service_id: int, supply_id: int, scaling: str) -> Changed:
    """How a line of a recipe grows with the vehicle; its amount stays."""
    if scaling not in SCALINGS:
        raise Mendable(f"A line of a recipe goes {', '.join(SCALINGS.values())}.")
    supply = supply_of(desk, supply_id)
    title = _name_of(desk, service_id)
    with desk.book.reading() as session:
        line = queries.line_to_write(session, service_id, supply_id)
        if line is None:
            raise Mendable(f"{supply.name} is not in this recipe any more.")
        if line.scaling == scaling:
            return NOTHING
    name = f"{title}: {supply.name} {SCALINGS[scaling]}"
    with _changing(desk, name) as session:
        row = queries.line_to_write(session, service_id, supply_id)
        assert row is not None
        row.scaling = scaling
    return Changed(name, KINDS)


def remove_recipe_line(desk: Desk, service_id: int, supply_id: int) -> Changed:
    """A service is no longer expected to use a supply."""
    supply = supply_of(desk, supply_id)
    title = _name_of(desk, service_id)
    with desk.book.reading() as session:
        if queries.line_to_write(session, service_id, supply_id) is None:
            return NOTHING
    name = f"{title}: without {supply.name.lower()}"
    with _changing(desk, name) as session:
        session.delete(queries.line_to_write(session, service_id, supply_id))
    return Changed(name, KINDS)


def add_service_step(
    desk: Desk,
    service_id: int,
    text: str,
    effect: str = "",
    supply_id: int | None = None,
    surface_groups: tuple[str, ...] = (),
) -> Changed:
    """A step at the end; one that puts a layer on names the supply and where it goes."""
    text = _step_text(text)
    if effect not in EFFECTS:
        raise Mendable("A step puts a layer on, takes layers off, abrades, or does none of these.")
    if effect == "applies" and (supply_id is None or not surface_groups):
        raise Mendable("A step that puts a layer on names the supply and the surfaces.")
    if supply_id is not None:
        supply_of(desk, supply_id)
    title = _name_of(desk, service_id)
    name = f"{title}: step {text}"
    with _changing(desk, name) as session:
        steps = to_write(session, ServiceStep, service_id=service_id)
        last = max((step.position for step in steps), default=0)
        session.add(
            ServiceStep(
                service_id=service_id,
                position=last + 1,
                name=text,
                effect=effect,
                supply_id=supply_id,
                surface_groups=list(surface_groups),
            )
        )
    return Changed(name, KINDS)


def rename_service_step(desk: Desk, service_id: int, step_id: int, text: str) -> Changed:
    """Say a step in other words; jobs booked before keep theirs."""
    title, text = _name_of(desk, service_id), _step_text(text)
    before = _step_name(desk, service_id, step_id)
    if text == before:
        return NOTHING
    name = f"{title}: {before} is now {text}"
    with _changing(desk, name) as session:
        session.get_one(ServiceStep, step_id).name = text
    return Changed(name, KINDS)


def move_service_step(desk: Desk, service_id: int, step_id: int, by: int) -> Changed:
    """Move a step down (1) or up (-1) by one; at the end it stays where it is."""
    title, text = _name_of(desk, service_id), _step_name(desk, service_id, step_id)
    with desk.book.reading() as session:
        order = [step.step_id for step in queries.steps_of_service(session, service_id)]
    at = order.index(step_id)
    if not 0 <= at + by < len(order):
        return NOTHING
    order.insert(at + by, order.pop(at))
    name = f"{title}: {text} moved {'down' if by > 0 else 'up'}"
    with _changing(desk, name) as session:
        for position, one in enumerate(order, 1):
            session.get_one(ServiceStep, one).position = position
    return Changed(name, KINDS)


def _step_text(text: str) -> str:
    text = " ".join(text.split())
    if not 0 < len(text) <= 120:
        raise Mendable("A step needs a few words, at most 120 characters.")
    return text


def _step_name(desk: Desk, service_id: int, step_id: int) -> str:
    with desk.book.reading() as session:
        step = session.get(ServiceStep, step_id)
        if step is None or step.service_id != service_id:
            raise Mendable("This step is not in the service any more.")
        return step.name


def remove_service_step(desk: Desk, service_id: int, step_id: int) -> Changed:
    """Take a step out; jobs booked before keep theirs."""
    title, text = _name_of(desk, service_id), _step_name(desk, service_id, step_id)
    name = f"{title}: without {text}"
    with _changing(desk, name) as session:
        session.delete(session.get_one(ServiceStep, step_id))
    return Changed(name, KINDS)


def _checked(desk: Desk, fields: dict[str, Any]) -> dict[str, Any]:
    """Fields as they may be stored; what is no text and given as text is read."""
    new = known_fields(fields, FIELDS, "service")
    if "name" in new:
        new["name"] = " ".join(str(new["name"]).split())
        if not 0 < len(new["name"]) <= 120:
            raise Mendable("A service needs a name of at most 120 characters.")
    for key, (words, wanted) in _WORDS.items():
        if isinstance(new.get(key), str):
            typed = new[key].strip().casefold()
            said = [value for word, value in words.items() if typed and word.startswith(typed)]
            if not said:
                raise Mendable(wanted)
            new[key] = said[0]
    if "tax_kind" in new:
        new["tax_kind"] = read_kind(desk, new["tax_kind"])
    if isinstance(new.get("minutes"), str):
        new["minutes"] = read_duration(new["minutes"], most=JOB_MINUTES)
    if isinstance(new.get("price"), str):
        new["price"] = read_money(new["price"], desk.settings.currency)
    if new.get("price", 0) < 0:
        raise Mendable("A price is not below zero; a discount stands on the job.")
    return new


def _must_be_free(desk: Desk, name: str, own: int | None) -> None:
    with desk.book.reading() as session:
        other = named(session, Service, name)
    if other is not None and other != own:
        raise Mendable(f"There is a service “{name}” already; give this one another name.")


def _changing(desk: Desk, name: str) -> AbstractContextManager[queries.Session]:
    return desk.book.change(name, day=desk.today, kinds=KINDS, at=desk.clock())


def _name_of(desk: Desk, service_id: int) -> str:
    with desk.book.reading() as session:
        return there(session.get(Service, service_id), "This service").name


def recipe_cost(desk: Desk, service_id: int) -> int:
    """What the recipe costs at today's average cost, minor units; of a pool what its uses wear."""
    from app.actions.stock.stock_lines import last_unit_cost
    from app.records import stock as ledger

    supplies = all_supplies(desk)
    cost = Fraction(0)
    with desk.book.reading() as session:
        standing = ledger.balances(session)
        for line in queries.recipe_of(session, service_id):
            supply = supplies.get(line.supply_id)
            quantity, value = standing.get(line.supply_id, (0, 0))[:2]
            if supply is not None and supply.pool:
                if supply.pool_uses:
                    cost += line.amount * last_unit_cost(session, supply) / supply.pool_uses
            elif quantity > 0:
                cost += Fraction(value * line.amount, quantity)
    return round(cost)

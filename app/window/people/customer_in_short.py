"""A customer in short, as the margin says it."""

from __future__ import annotations

from app.actions.people.customers import CustomerPage, HeldVehicle
from app.actions.people.vehicles import VehiclePage
from app.window.paper.notes import Alert, Block, Facts, Plain, Rule, Voice


def in_short(page: CustomerPage, money: str = "") -> list[Block]:
    """Their facts; `money` says of what the sums are, where the page's head does not."""
    blocks: list[Block] = []
    if page.archived:
        blocks.append(Alert("Archived: F12 on the card brings them back", "look"))
    if page.deceased:
        blocks.append(Alert("Has died: nothing is sent any more", "look"))
    elif page.stopped_on:
        blocks.append(Alert("Asked not to be reminded", "look"))
    for sentence in page.bad_ways:
        blocks += [Alert("Does not reach them", "look"), Voice(sentence)]
    blocks.append(Facts(page.facts))
    blocks += [Plain(money)] if money else []
    for car in page.vehicles[:4]:
        if car.held:
            blocks.append(Rule())
            layers = ", ".join(layer.layer.lower() for layer in car.layers) or "nothing known"
            blocks.append(Plain(car.title, "ink"))
            blocks.append(Voice(f"Protected by {layers}."))
    if page.fields.get("notes"):
        blocks += [Rule(), Voice(str(page.fields["notes"])[:240])]
    return blocks


def vehicle_in_short(vehicle: HeldVehicle, page: VehiclePage) -> list[Block]:
    """How a vehicle lives, what protects it, and who held it before."""
    blocks: list[Block] = [Voice(page.exposure_sentence), Rule()]
    if vehicle.layers:
        layers = ((one.layer, f"{one.applied_on:%b %Y}") for one in vehicle.layers[:5])
        blocks += [Plain("What protects it"), Facts(tuple(layers))]
    else:
        blocks.append(Voice("Nothing known protects it now."))
    owners = [name for _, name, _, _ in page.owners]
    if len(owners) > 1:
        blocks += [Rule(), Facts((("Held before by", ", ".join(owners[:-1])),))]
    return blocks

"""A customer in short, as the margin says it."""

from __future__ import annotations

from app.actions.people.customers import CustomerPage
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

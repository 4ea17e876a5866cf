"""What may be chosen for a title instead of what is proposed: another service, another layer."""

from __future__ import annotations

from app.actions.exchange.preview_lines import Preview
from app.actions.exchange.title_proposals import Answer, ChosenLayer, Proposal
from app.calculations.layers.protection import ProtectionClass


def all_proposed(plan: Preview) -> dict[str, Answer]:
    """The answers that take everything that is proposed and asks nothing."""
    return {one.key: Answer() for one in plan.proposals if one.state == "proposed"}


def services_to_choose(plan: Preview, proposal: Proposal) -> tuple[tuple[str, str], ...]:
    """Services as (name, what is to know of it): of the book, of the other titles, a new one."""
    stand = [str(one.get("name")) for one in plan.drafts.all("services")] if plan.drafts else []
    told = {name: "of another title" for one in plan.proposals if one.kind == "title"
            for name in one.services}  # fmt: skip
    new = {proposal.what[:120]: "a new service, called like the title"}
    found = new | told | dict.fromkeys(stand, "")
    return tuple(sorted(found.items(), key=lambda pair: (pair[0] in new, pair[0].casefold())))


def layers_to_choose(plan: Preview) -> tuple[tuple[ChosenLayer, str, str], ...]:
    """Layers as (choice, its name, its class): each supply that leaves one, each class, none."""
    supplies = plan.drafts.all("supplies") if plan.drafts else []
    found = [
        (ChosenLayer(leaves, name), name, leaves)
        for one in supplies
        if (leaves := str(one.get("protection") or ""))
        and one.get("archived_on") is None
        and (name := str(one.get("name"))).casefold() != leaves
    ]
    found.sort(key=lambda choice: choice[1].casefold())
    for one in ProtectionClass:
        found.append((ChosenLayer(one.value), one.value.capitalize(), "not known which supply"))
    return (*found, (ChosenLayer(""), "No layer", ""))

"""What the Shelf place shows of the pools: their rows, and their part of the margin."""

from __future__ import annotations

from collections.abc import Sequence

from app.actions.pools import PoolView
from app.window.cells import Cell, GroupRow, State, TableRow
from app.window.notes import Alert, Block, Facts, Rule


def pool_blocks(view: PoolView | None) -> list[Block]:
    """The pieces of a pool, and what a use of them wears off."""
    if view is None:
        return []
    facts = [("In the pool", view.text)]
    if view.loads:
        facts.append(("Loads washed", str(view.loads)))
    if view.wear_text:
        facts.append(("Wear", view.wear_text))
    blocks: list[Block] = [Rule(), Facts(tuple(facts))]
    if view.rebuy_text:
        blocks.append(Alert(view.rebuy_text))
    return blocks


def pool_key(view: PoolView) -> str:
    """The key of a pool's row."""
    return f"pool {view.supply_id}"


def pool_rows(views: Sequence[PoolView]) -> list[TableRow | GroupRow]:
    """The pools under each other: clean pieces, and how many are in use."""
    if not views:
        return []
    rows: list[TableRow | GroupRow] = [GroupRow("pools", "Pools", "clean pieces on hand", ())]
    for view in views:
        clean = sum(step.clean for step in view.rungs)
        used = sum(step.in_use for step in view.rungs)
        state = State.LOOK if view.rebuy else State.PLAIN
        rows.append(
            TableRow(
                pool_key(view),
                (
                    Cell(view.name, tip=view.name),
                    Cell(str(clean), state, mark="look" if view.rebuy else ""),
                    Cell("pc"),
                    *(Cell() for _ in range(4)),
                    Cell(f"{used} in use", State.QUIET),
                    Cell(),
                ),
            )
        )
    return rows

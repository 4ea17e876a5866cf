"""What the Shelf place shows of pools: their rows, their steps, their part of the margin."""

from __future__ import annotations

from collections.abc import Sequence

from app.actions.shelf.pool_view import USUAL_LOSS, PoolView
from app.window.paper.cells import Cell, Column, GroupRow, State, TableRow, quiet, row_of
from app.window.paper.notes import Alert, Block, Rule, Voice, known
from app.window.shelf.pool_bars import PoolBar, draw_pool_bar, draw_pool_head, spoken_pool

STEP_COLUMNS = (
    Column("step", "Step", width=110, least=80),
    Column("clean", "Clean", width=64, least=50, right=True),
    Column("use", "In use", width=64, least=50, right=True),
    Column(
        "bar",
        width=0,
        least=140,
        pad=0,
        paint=draw_pool_bar,
        paint_head=draw_pool_head,
        say=spoken_pool,
    ),
)


def pool_blocks(view: PoolView | None) -> list[Block]:
    """The pieces of a pool, their uses, what a use wears off, and what there is to do."""
    if view is None:
        return []
    facts = known(
        ("In the pool", view.text),
        ("Loads washed", f"{view.standing.loads:,}" if view.standing.loads else ""),
        ("Uses so far", view.uses_text),
        ("Wear", view.wear_text),
        ("What went gave", view.learnt_text),
        ("Wear by that", view.learnt_wear_text),
        ("Lost", view.lost_text),
    )
    blocks: list[Block] = [Rule(), facts]
    if view.lost_text:
        blocks.append(Voice(USUAL_LOSS))
    if view.standing.came_in <= 0:
        blocks.append(Voice("Type under “New pieces” how many there are; deliveries add theirs."))
    if view.rebuy_text:
        blocks.append(Alert(view.rebuy_text))
    blocks += [Alert(words) for words in view.advice]
    return blocks


def step_rows(view: PoolView) -> list[TableRow]:
    """The steps of a pool under each other, then what is out and what is lost."""
    first, two_loads = view.rungs[0], 2 * view.in_a_load
    most = max(
        two_loads if view.standing.came_in else 1,
        *(step.clean + step.in_use for step in view.rungs),
        1,
    )
    rows = []
    for step in view.rungs:
        floor = two_loads if step is first and view.standing.came_in else None
        bar = PoolBar(step.clean, step.in_use, most=most, floor=floor)
        cells = (_number(step.clean), _number(step.in_use), Cell(data=bar))
        rows.append(row_of(step.rung, step.rung, *cells))
    for word, pieces in (("out", view.standing.out), ("lost", view.standing.lost)):
        bar = PoolBar(gone=min(pieces, most), most=most)
        rows.append(row_of(word, quiet(word), _number(pieces), "", Cell(data=bar)))
    return rows


def _number(pieces: int) -> Cell:
    return Cell(f"{pieces:,}", State.ALARM if pieces < 0 else State.PLAIN)


def pool_key(view: PoolView) -> str:
    return f"pool {view.supply_id}"


def pool_rows(views: Sequence[PoolView]) -> list[TableRow | GroupRow]:
    """The pools under each other: pieces of the first step, clean and in use."""
    if not views:
        return []
    rows: list[TableRow | GroupRow] = [
        GroupRow("pools", "Pools", "clean pieces, of the step where each begins", ())
    ]
    for view in views:
        look = bool(view.rebuy or view.advice)
        state = State.LOOK if look else State.PLAIN
        below = str(2 * view.in_a_load) if view.standing.came_in > 0 else ""
        rows.append(
            row_of(
                pool_key(view),
                Cell(view.name, tip=view.name),
                Cell(f"{view.first.clean:,}", state, mark="look" if look else ""),
                "pc",
                "",
                "",
                quiet(below),
                "",
                quiet(f"{view.first.in_use:,} in use"),
                "",
            )
        )
    return rows

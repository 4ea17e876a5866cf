"""Towels and pads by the dozen come back from the wash: proposed as a pool, confirmed once."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from datetime import date, datetime

from app.actions.exchange.alike import plain_name
from app.actions.exchange.drafts import Draft, Drafts
from app.actions.exchange.outcomes import LineOutcome
from app.actions.exchange.title_proposals import Answer, Proposal
from app.calculations.numbers.wording import words_of
from app.calculations.stock.pools import OUTSIDE, PIECE, clean
from app.documents.reading.lines import SupplyLine

# Common practice, no source: what is washed and used again, what is thrown away after use, from
# how many pieces a shop counts them together, and the uses in a life of a paint towel (75 to 150).
_REUSED = re.compile(
    r"\b(?:towels?|micro ?fib(?:er|re)s?|cloths?|mitts?|(?:polishing|buffing|foam) pads?)\b",
    re.IGNORECASE,
)
_THROWN_AWAY = re.compile(
    r"\b(?:paper|disposable|single use|lint free|tack|blue roll|wipes|shop towels?|wash(?:er)? soap"
    r"|detergent)\b",
    re.IGNORECASE,
)
_FEWEST = 24 * PIECE
_MOST = 1_000 * PIECE  # more at once are packs counted as pieces, or the other way round
_USES = 100
_RUNGS = (
    ("wheels", re.compile(r"\b(?:wheels?|engine|rags?|tires?|tyres?)\b", re.IGNORECASE)),
    ("interior", re.compile(r"\b(?:interior|glass|windows?|leather|utility)\b", re.IGNORECASE)),
)


def pool_proposals(
    drafts: Drafts,
    outcomes: Iterable[LineOutcome],
    balances: Mapping[int, tuple[int, int]],
    answers: Mapping[str, Answer],
    when: tuple[date, datetime],
    *,
    accepts: bool,
) -> tuple[Proposal, ...]:
    """The supplies of these lines that seem to be pools; what was confirmed becomes one.

    `balances` is what stands on the shelf, to which the drafts add what files open; `when` is now.
    """
    told = {id(one.draft): one for one in outcomes if isinstance(one.line, SupplyLine)}
    packs = {id(pack.points_to("supply_id")): pack for pack in drafts.all("packs")}
    opened = {id(one.points_to("supply_id")): one for one in drafts.all("movements")}
    found = []
    for outcome in told.values():
        supply = outcome.draft
        if supply is None or supply.get("pool") or not _comes_back(supply):
            continue
        moved, pack = opened.get(id(supply)), packs.get(id(supply))
        stock = int(moved.get("quantity")) if moved is not None else 0
        if not supply.is_new:
            stock += balances.get(supply.row_id, (0, 0))[0]
        if max(stock, int(pack.get("size")) if pack is not None else 0) < _FEWEST:
            continue
        name = str(supply.get("name"))
        key = f"pool; {plain_name(name)}"
        answer = answers.get(key)
        many = stock > _MOST
        takes = (accepts and not many) if answer is None else answer.takes
        rung = next((rung for rung, words in _RUNGS if words.search(name)), "paint")
        if takes:
            _begin(drafts, outcome, supply, rung, stock // PIECE, *when)
        state = "accepted" if takes else "none"
        if answer is None and not takes:
            state = "asks" if many else "proposed"
        pieces = words_of(stock // PIECE, "piece")
        why = f"{pieces}, clean, for {rung}; about {_USES} uses in a life"
        if state == "asks":
            why = f"{pieces}? The list may count packs"
        found.append(Proposal(
            key=key, kind="pool", what=name, jobs=0, state=state, services=("a pool",), why=why,
        ))  # fmt: skip
    return tuple(found)


def _comes_back(supply: Draft) -> bool:
    name = str(supply.get("name"))
    return (
        supply.get("kind") == "piece"
        and _REUSED.search(name) is not None
        and _THROWN_AWAY.search(name) is None
    )


def _begin(
    drafts: Drafts, outcome: LineOutcome, supply: Draft, rung: str, pieces: int, day: date,
    at: datetime,
) -> None:  # fmt: skip
    """Make a pool of a supply: its pieces on the shelf are its first, clean."""
    supply.values.update(pool=rung, pool_uses=supply.get("pool_uses") or _USES)
    if pieces > 0:
        drafts.new(
            "pool_events", outcome.line.source.whole(), supply_id=supply, day=day, at=at,
            kind="added", source=OUTSIDE, target=clean(rung), pieces=pieces,
            note="On the shelf when the pool began",
        )  # fmt: skip
    (outcome.remarks if outcome.made else outcome.changes).append(f"a pool for {rung}")

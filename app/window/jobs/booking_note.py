"""What the margin says of a begin that is found or typed for a new job."""

from __future__ import annotations

from itertools import groupby

from app.actions.bay.earliest_days import Begin
from app.actions.bay.plan_of_shop import clock_words
from app.actions.desk.desk import Desk
from app.calculations.bay.opening import instant_of
from app.calculations.bay.runs import Kind
from app.calculations.numbers.durations import shown_duration
from app.calculations.numbers.wording import capital, count_of, listed
from app.window.paper.notes import Alert, Block, Facts, Rule, Voice

LIKELY = 0.8  # the chance from which a promise stands plain
_NAMED = 4  # days of work that are named


def begin_blocks(desk: Desk, begin: Begin) -> list[Block]:
    """How its hours fall on days, when it is ready, and the chance that the promise is kept."""
    blocks: list[Block] = []
    if begin.clashes:
        blocks.append(Alert(f"Clash in the bay with {listed(begin.clashes)}", "wrong"))
    if begin.harms:
        blocks.append(Alert(f"It pushes the promise of {listed(begin.harms)}"))
    blocks += [Voice(_falls(desk, begin)), Rule()]
    pairs: list[tuple[str, ...]] = []
    for kind in Kind:
        minutes = sum(bar.end - bar.start for bar in begin.bars if bar.kind is kind)
        if minutes:
            label = "Hands on, likely" if kind is Kind.HANDS else capital(kind.value)
            pairs.append((label, shown_duration(minutes)))
    pairs.append(("Ready", clock_words(desk, begin.ready, long=True)))
    late = begin.promised < begin.ready
    pairs.append(
        ("Promised", clock_words(desk, begin.promised, long=True), "alarm" if late else "")
    )
    tone = "alarm" if late else "look" if begin.chance < LIKELY else ""
    pairs.append(("Kept, with a chance of", f"{round(100 * begin.chance)} %", tone))
    if begin.nights:
        pairs.append(("In the bay", count_of(begin.nights, "night")))
    blocks.append(Facts(tuple(pairs)))
    if late:
        soonest = clock_words(desk, begin.ready, long=True)
        blocks.append(Alert(f"Ready {soonest} at the soonest", "wrong"))
    return blocks


def _falls(desk: Desk, begin: Begin) -> str:
    """`3 h on Thursday, 8 h on Friday. Then it cures.`"""
    hands = [bar for bar in begin.bars if bar.kind is Kind.HANDS]
    said = []
    for day, bars in groupby(hands, key=lambda bar: desk.day_of(instant_of(bar.start))):
        said.append(f"{shown_duration(sum(bar.end - bar.start for bar in bars))} on {day:%A}")
    words = ", ".join(said[:_NAMED])
    if len(said) > _NAMED:
        words += f" and {count_of(len(said) - _NAMED, 'more day')}"
    last = begin.bars[-1].kind if begin.bars else Kind.HANDS
    return f"{words}. Then it {last.value}." if last is not Kind.HANDS else f"{words}."

"""A prepared letter, judged again when it goes: by the rule that chose it, on what is known now."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from app.calculations.layers.layers import Verdict
from app.calculations.letters.letters import (
    DIED,
    ChosenLetter,
    HouseholdChoice,
    HouseholdFacts,
    Reason,
    Rules,
    Why,
    against_household,
    gravest_first,
    of_household,
)
from app.calculations.letters.renewals import Due
from app.calculations.numbers.dates import day_year


@dataclass(frozen=True, slots=True)
class PreparedItem:
    """A layer that the letter is about; `held` while its vehicle is still the household's.

    Nothing is asked of the layers of a vehicle that is `archived`.
    """

    layer: int
    vehicle_title: str
    held: bool = True
    archived: bool = False


@dataclass(frozen=True, slots=True)
class PreparedLetter:
    """A letter as it was prepared on `day`; `reachable` by the way in which it is to go."""

    customer: int
    day: date
    items: tuple[PreparedItem, ...]
    reachable: bool = True


@dataclass(frozen=True, slots=True)
class JudgedAgain:
    """`why_not` it must not go, nothing where it may; `letter` as the rule would write it now."""

    why_not: str
    letter: ChosenLetter | None = None


def judge_again(
    prepared: PreparedLetter,
    dues: Sequence[Due],
    facts: HouseholdFacts,
    day: date,
    rules: Rules | None = None,
) -> JudgedAgain:
    """Whether the rule would still write to this person about all that the letter is about.

    `dues` and `facts` are those of the household, without the letter itself. A layer that was seen
    on the day of the letter or later must ask for a letter anew.
    """
    manners = rules or Rules()
    addressed = next((one for one in facts.people if one.customer == prepared.customer), None)
    if addressed is None:
        return JudgedAgain("is not in the book any more")
    if addressed.deceased:
        return JudgedAgain(DIED)
    # It goes to this person, in this way, or not at all.
    known = replace(
        facts,
        people=tuple(
            replace(one, reachable=prepared.reachable and one is addressed) for one in facts.people
        ),
    )
    due_of = {due.candidate.layer: due for due in dues}
    written = {
        item.layer
        for item in prepared.items
        if (due := due_of.get(item.layer)) is not None
        and (due.candidate.judged is None or due.candidate.judged < prepared.day)
    }
    choice = of_household(known, dues, day, manners, written)
    letter = choice.letter
    if letter is not None:
        said = {due.candidate.layer for due in letter.items}
        if all(item.layer in said for item in prepared.items):
            return JudgedAgain("", letter)
    reasons = [reason for item in prepared.items for reason in _against(item, due_of, choice)]
    if letter is None:
        reasons += against_household(known, choice.promised, day, manners)
    reasons.append((Why.NOT_DUE, "nothing of theirs is due any more"))
    return JudgedAgain(gravest_first(reasons)[0][1])


def _against(
    item: PreparedItem, due_of: dict[int, Due], choice: HouseholdChoice
) -> tuple[Reason, ...]:
    """What speaks against one layer of the letter."""
    due = due_of.get(item.layer)
    if due is None and not item.held:
        return ((Why.SOLD, f"the {item.vehicle_title} is not theirs any more"),)
    if due is None and item.archived:
        return ((Why.SOLD, f"the {item.vehicle_title} is archived"),)
    if due is None:
        return ((Why.RENEWED, f"the layer on the {item.vehicle_title} was renewed or taken off"),)
    for one in choice.silent:
        if due in one.items:
            return one.whys
    if due in choice.waiting:
        return (_waits(due),)
    return ()


def _waits(due: Due) -> Reason:
    one = due.candidate
    if one.judged is not None:
        seen = f"was judged {one.verdict or Verdict.HOLDING} on {day_year(one.judged)}"
        return Why.NOT_DUE, f"the layer on the {one.vehicle_title} {seen}"
    return Why.NOT_DUE, f"the layer on the {one.vehicle_title} is due {day_year(due.write_on)}"

"""The three parts of Renewals: whom one may ask now, who is not to be asked, and what is due later.

Whom to write to is the rule's choice (`choosing`); this only sorts the layers by it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from app.actions.letters.letter_views import LetterView
from app.actions.letters.reminders import WhomToRemind
from app.actions.letters.renewing import RenewalRow, Renewals
from app.calculations.letters.letters import Why
from app.calculations.numbers.dates import day_short
from app.calculations.numbers.wording import count_of

TOLD = 4  # reasons that are counted one by one in a folded part; the rest together
ASK, NOT_NOW, LATER = "ask", "not now", "later"
_WAY = {"mail": "by e-mail", "letter": "by posted letter", "phone": "by phone", "text": "by text"}
# Why not, in so few words that they stand in a row and can be counted: “4 asked to stop”.
_SHORT = {
    Why.DECEASED: "has died",
    Why.STOPPED: "asked to stop",
    Why.ARCHIVED: "archived",
    Why.SOLD: "sold",
    Why.RENEWED: "renewed since",
    Why.NEVER_REMINDED: "no reason to write",
    Why.NO_CONSENT: "did not agree",
    Why.NO_ADDRESS: "no good address",
    Why.LATER: "asked for later",
    Why.NOT_NOW: "put off by you",
    Why.BOOKED: "booked",
    Why.MAY_HAVE_GONE: "mail may have gone",
    Why.RECENT_VISIT: "here lately",
    Why.RECENT_LETTER: "written to lately",
    Why.FOUR_A_YEAR: "enough this year",
    Why.RESTING: "no answer before",
    Why.STORED: "stored",
    Why.LEASE_ENDS: "lease ends",
    Why.SEASON: "out of season",
    Why.ALONE: "with the next letter",
}
# What passes by itself is a time to wait for; the rest are wishes and facts.
_WAITS = frozenset(
    {Why.LATER, Why.NOT_NOW, Why.BOOKED, Why.MAY_HAVE_GONE, Why.RECENT_VISIT, Why.RECENT_LETTER,
     Why.FOUR_A_YEAR, Why.RESTING, Why.STORED, Why.SEASON, Why.ALONE}
)  # fmt: skip


@dataclass(frozen=True)
class GroupedRow:
    """A layer with how its customer is asked, or why not; `kind` is the same, to be counted.

    `mark` is a channel, "wait", "peace", "asked" or nothing.
    """

    row: RenewalRow
    words: str
    kind: str
    mark: str


@dataclass(frozen=True)
class RenewalGroup:
    """One part of the page, soonest due first; worn out last but for those who may be asked.

    `key` is `ASK`, `NOT_NOW` or `LATER`.
    """

    key: str
    title: str
    note: str
    rows: tuple[GroupedRow, ...]

    def folded(self, shown: int) -> str:
        """What the rows after the first `shown` are, in one sentence."""
        rest = self.rows[shown:]
        count = count_of(len(rest), "more layer" if shown else "layer")
        if self.key == NOT_NOW:
            kinds = Counter(one.kind for one in rest).most_common(TOLD)
            told = [f"{many} {kind}" for kind, many in kinds]
            others = len(rest) - sum(many for _kind, many in kinds)
            told += [f"{others} for other reasons"] if others else []
            return f"{count}: {', '.join(told)}."
        if self.key == ASK:
            return f"{count} to be asked about."
        soonest = min(one.row.due.write_on for one in rest)
        return f"{count}, the next to be asked in {soonest:%B %Y}."


@dataclass(frozen=True)
class GroupedRenewals:
    """The parts in the order of the page, and what its head counts."""

    groups: tuple[RenewalGroup, ...]
    head: str


def grouped(view: Renewals, whom: WhomToRemind) -> GroupedRenewals:
    """Every layer in the part it belongs to; a part without layers is left out, but *Ask now*."""
    letters = {layer: one for one in whom.letters for layer in one.layer_ids}
    held = {layer: one for one in whom.suppressed for layer in one.layer_ids}
    unsure = {layer for one in whom.unsure for layer in one.layer_ids}
    parts: dict[str, list[GroupedRow]] = {ASK: [], NOT_NOW: [], LATER: []}
    for row in view.rows:
        letter = next((letters[one] for one in row.layer_ids if one in letters), None)
        peace = next((held[one] for one in row.layer_ids if one in held), None)
        if letter is not None:
            parts[ASK].append(GroupedRow(row, _asked_by(letter), letter.channel, letter.channel))
        elif row.asked is not None:
            words = f"asked {day_short(row.asked)}"
            parts[NOT_NOW].append(GroupedRow(row, words, "waiting for an answer", "asked"))
        elif peace is not None:
            parts[NOT_NOW].append(_kept_from(row, peace.kind))
        elif unsure.intersection(row.layer_ids):
            parts[NOT_NOW].append(_kept_from(row, Why.MAY_HAVE_GONE))
        elif row.state == "worn":
            parts[NOT_NOW].append(GroupedRow(row, "worn out", "worn out", ""))
        else:
            when = f"from {day_short(row.due.write_on)}" if row.state == "due" else ""
            parts[LATER].append(GroupedRow(row, when, "", "wait" if when else ""))
    for key, rows in parts.items():
        # Who may be asked is asked soonest due first; elsewhere nobody waits for what is worn out.
        aside = key != ASK
        rows.sort(key=lambda one: (aside and one.row.state == "worn", one.row.due.due_from))
    ask = len(whom.letters)
    nobody = "nobody needs to be asked today"
    found = [
        RenewalGroup(
            ASK, "Ask now", "each may be asked today" if parts[ASK] else nobody, tuple(parts[ASK])
        ),
        RenewalGroup(
            NOT_NOW,
            "Not to be asked now",
            "worn out last; why not stands at the right",
            tuple(parts[NOT_NOW]),
        ),
        RenewalGroup(LATER, "Due later", "nobody needs to be asked before", tuple(parts[LATER])),
    ]
    head = (
        f"{ask} to ask now, {len(parts[NOT_NOW])} layers not now, {len(parts[LATER])} due later"
        if view.rows
        else "no layer stands yet"
    )
    return GroupedRenewals(tuple(one for one in found if one.rows or one.key == ASK), head)


def _asked_by(letter: LetterView) -> str:
    way = _WAY.get(letter.channel, letter.channel)
    return way if letter.prepared_id is None else f"written, {way}"


def _kept_from(row: RenewalRow, kind: str) -> GroupedRow:
    if not kind:
        return GroupedRow(row, "coated anew later", "coated anew later", "peace")
    why = Why(kind)
    words = _SHORT.get(why, why.value)
    return GroupedRow(row, words, words, "wait" if why in _WAITS else "peace")


def rows_shown(counts: Sequence[int], room: int) -> list[int]:
    """How many rows of each part stand there where there is room for so many in all.

    The first part takes what it has; three fifths of the rest are the next one's.
    """
    shown = []
    left = max(room, 0)
    for nth, count in enumerate(counts):
        later = counts[nth + 1 :]
        share = left if nth == 0 or not later else -(-left * 3 // 5)
        share = max(share, left - sum(later)) if nth else share
        shown.append(min(count, share))
        left -= shown[-1]
    return shown

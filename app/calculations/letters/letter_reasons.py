"""Why this household, why now: one sentence for the owner to read before anything is sent.

It also stands on the list of calls, so it says nothing of how it was reckoned.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from app.calculations.layers.layers import Verdict
from app.calculations.letters.renewals import Due
from app.calculations.numbers.dates import day_year

_SHOWN = 3  # layers that are told one by one; the rest are counted


def reason_for(items: Sequence[Due], promised_for: date | None = None) -> str:
    """The reason for a letter about these layers, soonest first; layers alike are told as one."""
    parts = []
    if promised_for is not None:
        parts.append(f"Asked to be written to from {day_year(promised_for)}")
    alike: dict[tuple[object, ...], list[Due]] = {}
    for due in items:
        one = due.candidate
        key = (one.vehicle, one.protection_class, one.applied, one.judged, one.verdict)
        alike.setdefault(key, []).append(due)
    groups = list(alike.values())
    parts += [_described(group) for group in groups[:_SHOWN]]
    text = "; ".join(parts)
    left = len(groups) - _SHOWN
    if left > 0:
        text += f"; and {left} more of their layers"
    return text[:1].upper() + text[1:] + "."


def _described(alike: Sequence[Due]) -> str:
    one = alike[0].candidate
    surfaces = [str(due.candidate.group) for due in alike]
    where = surfaces[0] if len(surfaces) == 1 else f"{', '.join(surfaces[:-1])} and {surfaces[-1]}"
    what = f"{one.protection_class} on {where} of the {one.vehicle_title}"
    end = day_year(min(due.due_to for due in alike))
    if one.verdict is Verdict.GONE and one.judged is not None:
        return f"{what}, judged gone on {day_year(one.judged)}"
    seen = (
        f"put on {day_year(one.applied)} and not seen since"
        if one.judged is None
        else f"judged {one.verdict or Verdict.HOLDING} on {day_year(one.judged)}"
    )
    return f"{what}, {seen}, best seen again by {end}"

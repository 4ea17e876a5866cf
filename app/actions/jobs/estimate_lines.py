"""What a version of an estimate begins with: from the job, and from the version before."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import Any

from app.actions.desk.desk import Desk
from app.actions.jobs.estimates import Estimate as Guess
from app.calculations.numbers.rounding import half_away
from app.records.queries.estimates import LineRow
from app.records.queries.jobs import ChargeRow

HOURS = ("low_minutes", "minutes", "high_minutes")
AMOUNTS = ("low", "likely", "high")
_SAID = ("text", "tax_rate", "tax_kind", "service_id")


def carried(
    fresh: Sequence[dict[str, Any]],
    last: Sequence[LineRow],
    charges: Sequence[ChargeRow],
) -> Iterable[dict[str, Any]]:
    """The lines of the next version: those of the job, and what was typed into the last one.

    `last`: of the version before, none of the first. A line whose price stands on the job as it
    was said keeps its span. What was typed beside the job (supplies, travel, a discount) goes
    along; a service that the job has no more does not.
    """
    words = words_of_enquiry(last, charges)
    last = [one for one in last if one is not words and not one.proposed]
    said = [{name: getattr(line, name) for name in (*HOURS, *AMOUNTS, *_SAID)} for line in last]
    if not charges:
        return said or fresh
    found = []
    for line in fresh:
        old = next((one for one in said if _same(one, line)), None)
        if old is not None:
            said.remove(old)
        keeps = old is not None and old["likely"] == line["likely"] and (
            old["minutes"] == line["minutes"] or not line["minutes"]
        )  # fmt: skip
        taxed = {name: line[name] for name in ("tax_rate", "tax_kind")}
        kept = old | taxed if old is not None and keeps else line
        found.append(kept)
    return [*found, *(one for one in said if one["service_id"] is None)]


def words_of_enquiry(lines: Sequence[LineRow], charges: Sequence[ChargeRow]) -> LineRow | None:
    """The line that was an enquiry's words, where services were sold since that stand for it."""
    sold = any(one.service_id is not None for one in charges)
    if not sold or not lines or any(one.service_id is not None for one in lines):
        return None
    return None if any(one.text == lines[0].text for one in charges) else lines[0]


def _same(one: dict[str, Any], other: dict[str, Any]) -> bool:
    """Whether two lines are of one thing: of a service, or of the same words."""
    if one["service_id"] is not None or other.get("service_id") is not None:
        return bool(one["service_id"] == other.get("service_id"))
    return bool(one["text"] == other["text"])


def lines_of_job(
    desk: Desk, guess: Guess, expected: int, charges: Sequence[ChargeRow], title: str,
    usual: int,
) -> Iterable[dict[str, Any]]:  # fmt: skip
    """What stands on the job, each with its hours and its span; of an enquiry its words."""
    rate = desk.settings.hourly_rate
    by_service = {one.service_id: one for one in guess.lines}
    # What a person or the booking expects of the job is the likely figure; the span goes with it.
    likely_one = expected or guess.minutes
    three = [half_away(Fraction(likely_one * one, guess.minutes or 1))
             for one in (guess.low, guess.minutes, guess.high)]  # fmt: skip
    # The job's own span, shared out over its services as their hours by the list are.
    base = sum(one.minutes for one in by_service.values()) or 1
    for charge in charges:
        line = by_service.pop(charge.service_id or 0, None)
        minutes = line.minutes if line is not None else 0
        low, likely, high = (half_away(Fraction(minutes * one, base)) for one in three)
        less, more = (half_away(Fraction(rate * one, 60)) for one in (likely - low, high - likely))
        low_amount = max(0, charge.amount - less) if charge.amount > 0 else charge.amount
        yield {
            "text": charge.text, "low_minutes": low, "minutes": likely, "high_minutes": high,
            "low": low_amount, "likely": charge.amount, "high": charge.amount + more,
            "tax_rate": charge.tax_rate, "tax_kind": charge.tax_kind,
            "service_id": charge.service_id,
        }  # fmt: skip
    if not charges:
        yield {"text": (title or "The work")[:200], "tax_rate": usual}

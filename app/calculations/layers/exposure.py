"""Exposure: five plain questions about where a vehicle lives, and one factor on time.

Judgement, no source: a practitioner's scale that nobody measured. It is shown, it can be
changed, and it is never used as if measured: `lives.fit` learns how far it holds in a shop.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from app.errors import Mendable

LOWEST, HIGHEST = 0.35, 1.1

# Taken for a question that was not asked, where not knowing is no reason to hope for the best.
NOT_ASKED = "not asked"


@dataclass(frozen=True, slots=True)
class Question:
    """One of the five questions; `exposure` takes one answer or any number to each."""

    key: str
    words: str


QUESTIONS = (
    Question("stands", "Where is it parked?"),
    Question("washed", "How is it washed?"),
    Question("around", "What is around it?"),
    Question("distance", "How far does it go in a year?"),
    Question("kept_here", "How often is it kept up here?"),
)

FACTORS: Mapping[str, Mapping[str, float]] = MappingProxyType(
    {
        "stands": {
            NOT_ASKED: 0.85,
            "garage": 1.0,
            "carport": 0.9,
            "street": 0.8,
            "under trees": 0.75,
            "desert or high sun": 0.7,
        },
        "washed": {
            NOT_ASKED: 0.88,
            "by hand": 1.0,
            "touchless": 0.85,
            "weekly brushes": 0.6,
            "rain": 0.75,
        },
        "around": {"salted roads": 0.85, "coast": 0.85, "industry": 0.85, "hard water": 0.9},
        "distance": {
            "under 3,000 miles": 1.05,
            "usual": 1.0,
            "over 20,000 miles": 0.85,
            "commercial": 0.75,
        },
        "kept_here": {"twice a year": 1.1, "now and then": 1.0, "never": 0.9},
    }
)


# The middle of a class's range, which runs from daily drivers outdoors to garaged vehicles, is
# meant for about a vehicle of which nothing is known: the `at_factor` of a class's label.
MIDDLE_OF_RANGE = 0.75


@dataclass(frozen=True, slots=True)
class ExposurePart:
    """One answer and its factor, for showing how the whole came about."""

    question: str
    answer: str
    factor: float


@dataclass(frozen=True, slots=True)
class Exposure:
    """The factor on a layer's life (1 = garaged and washed by hand) and how it came about."""

    factor: float
    parts: tuple[ExposurePart, ...]
    sentence: str


def exposure(
    answers: Mapping[str, Any], factors: Mapping[str, Mapping[str, float]] | None = None
) -> Exposure:
    """The exposure of one vehicle from its answers.

    `answers` has the keys `stands`, `washed`, `around` (a list), `distance`, `kept_here`; each
    may be missing or empty, and then counts as "not asked". `factors` replaces the whole scale.
    Raises `Mendable` for an answer that is not on the scale or a factor that cannot be.
    """
    scale = FACTORS if factors is None else factors
    parts: list[ExposurePart] = []
    for question in QUESTIONS:
        given = answers.get(question.key) or ()
        chosen = [given] if isinstance(given, str) else list(given)
        if not chosen and NOT_ASKED in scale.get(question.key, {}):
            chosen = [NOT_ASKED]
        parts += [_part(question, answer, scale) for answer in dict.fromkeys(chosen)]
    product = 1.0
    for part in parts:
        product *= part.factor
    factor = min(max(product, LOWEST), HIGHEST)
    return Exposure(factor, tuple(parts), _sentence(parts, product, factor))


def _part(
    question: Question, answer: Any, scale: Mapping[str, Mapping[str, float]]
) -> ExposurePart:
    known = scale.get(question.key, {})
    if answer not in known:
        choices = ", ".join(one for one in known if one != NOT_ASKED) or "none"
        raise Mendable(f"“{answer}” is no answer to “{question.words}”; choose one of: {choices}.")
    factor = known[answer]
    if not 0 < factor <= 3:
        raise Mendable(
            f"The factor for “{answer}” is {factor:g}; enter a number above 0 and up to 3."
        )
    return ExposurePart(question.key, str(answer), float(factor))


def _sentence(parts: list[ExposurePart], product: float, factor: float) -> str:
    if not parts:
        return "Nothing shortens its layers; the factor is 1."
    chain = ", ".join(
        f"{_words(part)} {100 * part.factor:.0f} %" for part in parts if part.factor != 1
    )
    if factor > product:
        return f"{chain}: {100 * product:.0f} %, taken as {100 * factor:.0f} %, the least used."
    if factor < product:
        return f"{chain}: {100 * product:.0f} %, taken as {100 * factor:.0f} %, the most used."
    whole = f"Layers last {100 * factor:.0f} % as long as on a garaged, hand-washed vehicle"
    return f"{whole}: {chain}." if chain else f"{whole}."


def _words(part: ExposurePart) -> str:
    if part.answer == NOT_ASKED:
        asked = {"stands": "parking", "washed": "washing"}.get(part.question, part.question)
        return f"{asked} {NOT_ASKED}"
    return f"kept up here: {part.answer}" if part.question == "kept_here" else part.answer

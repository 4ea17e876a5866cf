"""How long a supply lasts: its label's range beside what this shop saw, as a curve and as figures.

All ages are at a middling exposure, the one at which a label's range is read, so that label and
shop can be laid over each other.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np

from app.actions.desk.desk import Desk, kept
from app.actions.layers.protection_state import protection
from app.calculations.layers.lives import LifeSummary, differs_since
from app.calculations.numbers.dates import age_words, near, span_words
from app.calculations.numbers.wording import capital, counted, words_of

ROWS = 8  # of the figures


@dataclass(frozen=True, kw_only=True)
class LifePage:
    """One supply's life. Ages in days, chances 0 to 1; the band holds 80 % of what is believed."""

    name: str
    label: tuple[float, float]
    median: float
    median_band: tuple[float, float]
    ages: tuple[float, ...]
    still: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]
    summary: LifeSummary
    since: date | None  # since when it differs from its label
    voice: tuple[str, ...]
    facts: tuple[tuple[str, str], ...]

    @property
    def result(self) -> str:
        """The whole page in a few words."""
        known = f"half last {age_words(self.median)}"
        return known if self.summary.layers else "by its label alone"

    @property
    def rows(self) -> list[tuple[float, float, float, float]]:
        """(Age, share that still protects, its band) at eight ages, for the figures."""
        columns = list(zip(self.ages, self.still, self.low, self.high, strict=True))
        picked = np.linspace(0, len(columns) - 1, ROWS + 1).round().astype(int)[1:]
        return [columns[at] for at in picked]


@kept("life")
def life_page(desk: Desk, day: date, supply_id: int) -> LifePage | None:
    """The life of a supply that leaves a layer; None for any other.

    Looking back since when it differs takes a fit for each month: for the background.
    """
    state = protection(desk, day)
    if supply_id not in state.lives.supplies:
        return None
    summary = state.lives.summary(supply_id, exposure=None)
    curve = state.lives.curve(supply_id)
    ages = curve.ages_days
    median, low, high = summary.median_days, summary.low_days, summary.high_days
    since = differs_since(state.observations, state.labels, supply_id) if summary.differs else None
    label = (summary.label.low_days, summary.label.high_days)
    voice = [
        f"The label says {span_words(*label)}.",
        _seen(summary.layers, summary.gone),
    ]
    if summary.differs:
        side = "shorter" if high < label[0] else "longer"
        when = f" since {near(since, day)}" if since else ""
        voice.append(f"Here it lasts {side} than its label says{when}.")
    elif summary.layers:
        voice.append("What was seen here does not contradict the label.")
    facts = (
        ("Half of them last", age_words(median)),
        ("80 % band of that", span_words(low, high)),
        ("Label", span_words(*label)),
        ("Seen again", f"{summary.layers:,}"),
        ("of them gone", f"{summary.gone:,}"),
        ("Exposure", f"× {summary.label.at_factor:g} (middling)"),
    )
    return LifePage(
        name=state.names.get(supply_id, "layer"),
        label=label,
        median=median,
        median_band=(low, high),
        ages=tuple(ages.tolist()),
        still=tuple(curve.survival.tolist()),
        low=tuple(curve.low.tolist()),
        high=tuple(curve.high.tolist()),
        summary=summary,
        since=since,
        voice=tuple(voice),
        facts=facts,
    )


def _seen(layers: int, gone: int) -> str:
    if not layers:
        return "None of its layers has been seen again here yet, so the label speaks alone."
    seen = capital(words_of(layers, "layer was", "layers were"))
    lost = counted(gone) if gone else "none"
    return f"{seen} seen again here, {lost} of them gone; those not seen again are no failures."

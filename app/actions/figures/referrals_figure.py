"""Who sends new customers, and what those whom they sent bring in a period."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from app.actions.figures.kinds import FEW_JOBS
from app.calculations.numbers.money import shown_money
from app.calculations.numbers.wording import capital, count_of, counted, noun
from app.records.queries.figures import DoneJob, Source

REPEAT_DAYS = 30  # a job within them goes with the one before (common practice, no source)
_LONG = 24  # letters of a name that still fits into a finding


@dataclass(frozen=True)
class ReferralBar:
    """Those whom one customer sent, as far as they had jobs; `earned` without tax, minor units.

    `new`: how many of them came for the first time in the period.
    """

    name: str
    customers: int
    new: int
    earned: int
    job_ids: tuple[int, ...]


@dataclass(frozen=True)
class ReferralFigure:
    """Who sent whom, most new customers first; of the others nobody is noted."""

    finding: str
    bars: tuple[ReferralBar, ...] = ()
    others: ReferralBar | None = None
    voice: str = ""
    facts: tuple[tuple[str, str], ...] = ()

    @property
    def parts(self) -> tuple[ReferralBar, ...]:
        """All that customers brought: those who were sent, then the others."""
        return self.bars if self.others is None else (*self.bars, self.others)


def referrals_figure(
    jobs: Sequence[DoneJob], sources: Sequence[Source], first: date, currency: str
) -> ReferralFigure:
    """The done jobs of a period, which begins on `first`, by who sent their customers."""
    of = {source.customer_id: source for source in sources}
    known = [(job, of[job.customer_id]) for job in jobs if job.customer_id in of]
    groups: dict[int | None, list[tuple[DoneJob, Source]]] = {}
    for job, source in known:
        groups.setdefault(source.sent_by_id, []).append((job, source))
    bars = {sent_by: _bar(members, first) for sent_by, members in groups.items()}
    others = bars.pop(None, None)
    ledger = sorted(bars.values(), key=lambda bar: (-bar.new, -bar.earned, bar.name))
    if not ledger:
        none = "Nobody who was sent by another had a job in this time."
        return ReferralFigure(none if known else "No customer had a job done in this time.")
    earned, sent = sum(job.earned for job in jobs), sum(bar.earned for bar in ledger)
    again = sum(job.earned for job, source in known if _was_here(job, source))
    sent_new = sum(bar.new for bar in ledger)
    new = sent_new + (others.new if others else 0)
    share = ""
    if earned > 0 and len(jobs) >= FEW_JOBS:
        share = f"Customers who were sent make {100 * sent / earned:.0f} % of what was earned, "
        share += f"those who had been here before {100 * again / earned:.0f} %; one can be both."
    facts = (
        ("New customers", str(new)),
        ("Sent by others", str(sent_new)),
        ("Earned, sent by others", shown_money(sent, currency)),
        ("Earned, here before", shown_money(again, currency)),
    )
    voice = f"{share} All are new to this book." if new == len(of) else share
    return ReferralFigure(_finding(ledger, sent_new, new), tuple(ledger), others, voice.strip(),
                          facts)  # fmt: skip


def _bar(members: list[tuple[DoneJob, Source]], first: date) -> ReferralBar:
    who = {source.customer_id: source for _, source in members}
    return ReferralBar(
        members[0][1].sent_by or "Nobody noted",
        len(who),
        sum(1 for source in who.values() if source.came_first >= first),
        sum(job.earned for job, _ in members),
        tuple(job.job_id for job, _ in members),
    )


def _was_here(job: DoneJob, source: Source) -> bool:
    return source.first_done < job.done_on - timedelta(days=REPEAT_DAYS)


def _finding(ledger: list[ReferralBar], sent: int, new: int) -> str:
    """In one sentence, how many of the new ones were sent, or who sent most."""
    best = ledger[0]
    if new == 0:
        sent_all = sum(bar.customers for bar in ledger)
        return f"{count_of(sent_all, 'customer')} whom others sent came again; nobody was new."
    if best.new > 1 and len(best.name) <= _LONG and best.new > max(
        (bar.new for bar in ledger[1:]), default=0
    ):  # fmt: skip
        return f"{best.name} sent {counted(best.new)} of {count_of(new, 'new customer')}."
    if new == 1:
        return f"The one new customer {'was sent by another' if sent else 'came unsent'}."
    if not sent:
        return f"None of {new} new customers was sent by others."
    was = noun(sent, "was", "were")
    return f"{capital(counted(sent))} of {new} new customers {was} sent by others."

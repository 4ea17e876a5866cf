"""Of the work without tax in a span of days: what was exempt by a certificate, and what else."""

from __future__ import annotations

from datetime import date

from app.actions.desk.desk import Desk
from app.actions.jobs.charge_tax import Exemption
from app.actions.shop.tax_rates import WORK, rate_for
from app.records.queries import slips as queries

EXEMPT = "exempt, by certificate"


def exempt_of(desk: Desk, first: date, last: date) -> int:
    """What was earned in a span only without tax because who pays is exempt; minor units.

    A line is exempt where its kind is taxed on the job's day and in its place, and its invoice
    printed a certificate; of what is on no invoice, where who pays had one that day.
    """
    with desk.book.reading() as session:
        lines = queries.lines_without_tax(session, first, last)
    return sum(
        one.amount
        for one in lines
        if (one.printed or Exemption(one.exempt_no, one.exempt_until).holds(one.done_on))
        and rate_for(desk, one.kind or WORK, one.done_on, one.place)
    )

"""All work done and all money that came up to a day: what slips and accounts are made of."""

from __future__ import annotations

from datetime import date

from app.actions.desk.amounts import totals
from app.actions.desk.desk import Desk
from app.calculations.figures.slip import Came, CreditLine, Work
from app.records.queries import slips as queries
from app.records.queries import takings

Material = tuple[list[Work], list[Came]]


def material(desk: Desk, last: date) -> Material:
    """All work done and all money that came up to a day."""
    with desk.book.reading() as session:
        done, came = queries.done_by(session, last), queries.money_lines(session, last)
        nets, invoiced = takings.nets_of(session, done), queries.invoiced_by(session, last)
        credited = queries.credited(session)
    work = [
        Work(
            job_id,
            done_on,
            tuple(lines),
            totals(desk, lines),
            invoiced.get(job_id, 0),
            tuple(CreditLine(*one) for one in credited.get(job_id, ())),
        )
        for job_id, done_on in done.items()
        for lines in [nets.get(job_id, takings.Nets())]
    ]
    return work, [Came(*one) for one in came]

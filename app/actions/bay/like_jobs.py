"""When a job would be ready if it took what each closed job like it took."""

from __future__ import annotations

from app.actions.bay.plan_of_shop import worked_out
from app.actions.bay.standing import Move
from app.actions.desk.desk import Desk
from app.actions.plan.job_hours import closed_jobs, factors
from app.calculations.bay.runs import Hands, Kind, Piece, run
from app.calculations.plan.expected_hours import Sold, list_minutes, main_service

MOST = 40  # of the newest closed jobs


def like_ready(desk: Desk, move: Move) -> tuple[int, ...]:
    """Minutes of the plan at which the job, begun as it is tried (`Move(job_id)` as it stands),
    would be ready by each like job's hours, in order; empty where there is none."""
    now = worked_out(desk, move)
    one, found = now.jobs.get(move.job_id), now.plan.runs.get(move.job_id)
    if one is None or found is None:
        return ()
    job = one.job.job
    sold = [Sold(it.service_id, it.minutes, it.outside, it.layers) for it in one.job.services]
    by_service = list_minutes(sold, job.size_outside, job.size_inside, job.condition, factors(desk))
    by_list, main = sum(by_service.values()), main_service(by_service)
    if not by_list or not one.job.expected_minutes:
        return ()
    like = [it.ratio for it in closed_jobs(desk) if it.service == main][:MOST]
    ready = []
    for ratio in like:
        factor = ratio * by_list / one.job.expected_minutes
        pieces = [
            Piece(it.kind, max(1, round(it.minutes * factor)) if it.kind is Kind.HANDS
                  else it.minutes)
            for it in one.wanted.pieces
        ]  # fmt: skip
        done = run(
            move.job_id, pieces, found.begin, Hands(now.days.windows, now.shop.people),
            one.wanted.shut,
        )  # fmt: skip
        if done is not None:
            ready.append(done.ready)
    return tuple(sorted(ready))

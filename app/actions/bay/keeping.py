"""What would keep a promise: at most three changes of the plan, each with its chance.

Tried are an earlier begin, a cure shortened by a lamp, another place for work that needs no bay,
and another promise. What brings a clash, or another promise below what it was, is left out.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from app.actions.bay.pieces import hold_after
from app.actions.bay.plan_of_shop import LOOK, Worked, clock_words, worked_out
from app.actions.bay.standing import Move, Standing
from app.actions.desk.amounts import all_supplies
from app.actions.desk.desk import Desk
from app.calculations.bay.opening import instant_of, next_open
from app.calculations.bay.planning import Shop, earliest, plan
from app.calculations.bay.promises import NOISE, kept
from app.calculations.bay.runs import Kind

MOST = 3
BETTER = 0.05  # what a change has to bring of a chance, to be named
SURE = 0.9  # the chance that is promised
LAMP = 60  # minutes of a cure under a lamp (common practice, no source)
ROUND = 30  # a promise is a round time
TURNS = 3  # later promises that are tried


@dataclass(frozen=True)
class Change:
    """A change, in words, with the chance that the promise is then kept, and how it is tried."""

    words: str
    chance: float
    move: Move


def would_keep(desk: Desk, move: Move) -> tuple[Change, ...]:
    """What would keep the promise of a job as it is tried (`Move(job_id)` as it stands), the
    surest last; nothing without a promise, or where it is kept nine times in ten."""
    now = worked_out(desk, move)
    one = now.jobs.get(move.job_id)
    if one is None or one.wanted.promised is None or move.job_id not in now.times:
        return ()
    chance = kept(now.times[move.job_id], one.wanted.promised)
    clashing = _clashes(now, move.job_id)
    if chance >= SURE and not clashing:
        return ()
    found = []
    for words, other in _ideas(desk, now, one, move):
        then = worked_out(desk, other)
        if move.job_id not in then.times or _harms(now, then, move.job_id):
            continue
        better = kept(then.times[move.job_id], one.wanted.promised)
        if clashing:
            helps = not _clashes(then, move.job_id) and better >= min(LOOK, chance - BETTER)
        else:
            helps = better >= chance + BETTER
        if helps:
            found.append(Change(words, better, other))
    found.sort(key=lambda change: change.chance)
    # Another promise takes no clash away.
    later = None if clashing else _promised_later(desk, now, one, move)
    return (*found[-(MOST - 1) :], later) if later else tuple(found[-MOST:])


def _ideas(desk: Desk, now: Worked, one: Standing, move: Move) -> Iterator[tuple[str, Move]]:
    others = Shop(now.days.windows, now.shop.people, now.shop.bays)
    plan([other.wanted for job, other in now.jobs.items() if job != move.job_id], others)
    sooner = earliest(replace(one.wanted, not_before=now.days.now, latest=None), others)
    run = now.plan.runs[move.job_id]
    if sooner is not None and sooner.begin != run.begin and not one.begun:
        words = f"begins {clock_words(desk, sooner.begin)}"
        yield words, replace(move, begins_at=instant_of(sooner.begin))
    steps = [step for step in one.job.steps if step.state == "to do"]
    supplies = all_supplies(desk)
    told = dict(move.holds)
    for at, step in enumerate(steps):
        kind, minutes = hold_after(step, steps[at + 1 :], supplies)
        minutes = told.get(step.step_id, minutes)
        if kind is Kind.CURES and minutes > LAMP:
            yield (
                f"{step.name} cures 1 h, by lamp",
                replace(move, holds=(*move.holds, (step.step_id, LAMP))),
            )
    if one.wanted.in_bay and not any(bar.kind is not Kind.HANDS for bar in run.bars):
        yield "done outside", replace(move, place="outside")


def _clashes(now: Worked, job_id: int) -> bool:
    return any(job_id in (clash.first, clash.second) for clash in now.plan.clashes)


def _harms(now: Worked, then: Worked, moved: int) -> bool:
    """Whether it brings a clash, or another promise below what it was and below nine in ten."""
    if len(then.plan.clashes) > len(now.plan.clashes):
        return True
    for job, one in now.jobs.items():
        by = one.wanted.promised
        if job == moved or by is None or job not in now.times:
            continue
        if job not in then.times:
            return True
        if kept(then.times[job], by) < min(kept(now.times[job], by), SURE) - NOISE:
            return True
    return False


def _promised_later(desk: Desk, now: Worked, one: Standing, move: Move) -> Change | None:
    """The next promise that is sure once it is given: it may put the job behind others."""
    then = now
    for _turn in range(TURNS):
        times = then.times[move.job_id]
        minute = sure_promise(then, times[int(SURE * len(times))])
        if minute is None or one.wanted.promised is None or minute <= one.wanted.promised:
            return None
        other = replace(move, promised_at=instant_of(minute))
        then = worked_out(desk, other)
        if move.job_id not in then.times or _harms(now, then, move.job_id):
            return None
        chance = kept(then.times[move.job_id], minute)
        if chance >= SURE - NOISE:
            return Change(f"promised {clock_words(desk, minute, long=True)}", chance, other)
    return None


def sure_promise(now: Worked, ready: float) -> int | None:
    """The next half hour from a minute at which the shop is open; none beyond what is planned."""
    if ready == float("inf"):
        return None
    return next_open(now.days.windows, -(-int(ready) // ROUND) * ROUND)

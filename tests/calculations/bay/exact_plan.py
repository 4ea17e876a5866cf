"""The best plan that there is, by an exact solver of another project (OR-tools CP-SAT).

`python -m tests.calculations.bay.exact_plan` compares the rule with it on small made-up shops.
The solver's own model of order and capacity is checked on ft06 in `test_exact_plan.py`.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from random import Random

from ortools.sat.python import cp_model

from app.calculations.bay.planning import Plan, Shop, Wanted, plan
from app.calculations.bay.runs import Kind, Piece

HOUR = 60
OPEN = 8  # hours a day
DAYS = 12


def small_shop(seed: int) -> tuple[list[Wanted], Shop]:
    """Three to five jobs of whole hours, one or two bays and people, days of eight hours."""
    rng = Random(seed)
    windows = [(day * 24 * HOUR + 8 * HOUR, day * 24 * HOUR + 16 * HOUR) for day in range(DAYS)]
    shop = Shop(windows, people=rng.choice((1, 1, 2)), bays=rng.choice((1, 1, 2)))
    wanted = []
    for job in range(rng.randint(3, 5)):
        pieces = [Piece(Kind.HANDS, rng.randint(1, 6) * HOUR)]
        if rng.random() < 0.6:
            pieces += [Piece(rng.choice((Kind.DRIES, Kind.CURES)), rng.choice((1, 3, 12)) * HOUR),
                       Piece(Kind.HANDS, rng.randint(1, 3) * HOUR)]  # fmt: skip
        wanted.append(Wanted(job=job, pieces=tuple(pieces), in_bay=rng.random() < 0.7))
    return wanted, shop


def soonest(wanted: Sequence[Wanted], shop: Shop) -> int | None:
    """The least sum of the minutes until all are ready, each hour of hands on placed on its own."""
    model = cp_model.CpModel()
    last = max(end for _, end in shop.windows) // HOUR
    working = cp_model.Domain.FromValues(
        [hour for start, end in shop.windows for hour in range(start // HOUR, end // HOUR)]
    )
    standing = cp_model.Domain.FromValues(
        [hour for start, end in shop.windows for hour in range(start // HOUR, end // HOUR + 1)]
    )
    hands, stays, ready = [], [], []
    for one in wanted:
        now = None
        begin = None
        wait = 0
        for piece in one.pieces:
            if piece.kind is not Kind.HANDS:
                wait += piece.minutes // HOUR
                continue
            for _ in range(piece.minutes // HOUR):
                start = model.NewIntVarFromDomain(working, "")
                if now is None:
                    begin = start
                else:
                    model.Add(start >= now + wait)
                wait, now = 0, start + 1
                hands.append(model.NewFixedSizeIntervalVar(start, 1, ""))
        end = model.NewIntVarFromDomain(standing, "")
        model.Add(end >= now + wait)
        ready.append(end)
        if one.in_bay:
            size = model.NewIntVar(1, last, "")
            stays.append(model.NewIntervalVar(begin, size, end, ""))
    model.AddCumulative(hands, [1] * len(hands), shop.people)
    model.AddCumulative(stays, [1] * len(stays), shop.bays)
    model.Minimize(sum(ready))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.parameters.max_deterministic_time = 20
    if solver.Solve(model) != cp_model.OPTIMAL:
        return None
    return HOUR * round(solver.ObjectiveValue())


def shortest_job_shop(text: str) -> int:
    """The least time in which a published job shop is done: a line a job, machine and minutes."""
    model = cp_model.CpModel()
    jobs = [[int(word) for word in line.split()] for line in text.strip().splitlines()]
    most = sum(sum(job[1::2]) for job in jobs)
    machines: dict[int, list[cp_model.IntervalVar]] = {}
    done = model.NewIntVar(0, most, "")
    for job in jobs:
        before = None
        for machine, minutes in zip(job[::2], job[1::2], strict=True):
            start = model.NewIntVar(0, most, "")
            machines.setdefault(machine, []).append(
                model.NewFixedSizeIntervalVar(start, minutes, "")
            )
            if before is not None:
                model.Add(start >= before)
            before = start + minutes
        model.Add(done >= before)
    for of_one in machines.values():
        model.AddCumulative(of_one, [1] * len(of_one), 1)
    model.Minimize(done)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    assert solver.Solve(model) == cp_model.OPTIMAL
    return round(solver.ObjectiveValue())


def until_ready(found: Plan) -> int:
    """The sum of the minutes until all are ready."""
    return sum(run.ready for run in found.runs.values())


def main() -> None:
    """Print how far the rule is from the best."""
    parser = argparse.ArgumentParser(description=main.__doc__)
    parser.add_argument("--shops", type=int, default=200)
    parser.add_argument("--first-seed", type=int, default=1)
    asked = parser.parse_args()
    gaps, unsolved = [], 0
    for seed in range(asked.first_seed, asked.first_seed + asked.shops):
        wanted, shop = small_shop(seed)
        best = soonest(wanted, shop)
        if best is None:
            unsolved += 1
            continue
        gaps.append(until_ready(plan(wanted, shop)) / best - 1)
    exact = sum(gap < 1e-9 for gap in gaps)
    print(
        f"{len(gaps)} shops solved exactly ({unsolved} were not): the rule is as good in {exact},"
    )
    print(f"{100 * sum(gaps) / len(gaps):.2f} % later on average, {100 * max(gaps):.1f} % at most.")


if __name__ == "__main__":
    main()

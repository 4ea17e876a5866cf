"""Figures by kind of job: names that differ, few jobs last, what runs over."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from app.actions.figures.kinds import MOST_KINDS, hours_figure, kind_name, services_figure
from app.records.queries.figures import DoneJob

JOB = DoneJob(
    job_id=1, number=1, title="", customer="", done_on=date(2026, 8, 3), services=("Upkeep wash",),
    earned=9000, tax_by_rate=(), supplies=1000, recorded=True, minutes=60, expected_minutes=60,
    drift_reason="",
)  # fmt: skip


def jobs(count: int, **how: object) -> list[DoneJob]:
    """So many jobs that are alike."""
    return [replace(JOB, **how) for _ in range(count)]  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("services", "name"),
    [
        (("Upkeep wash",), "Upkeep wash"),
        (("Upkeep wash", "Hand wax"), "Upkeep wash and hand wax"),
        (("Upkeep wash", "Decontamination", "UV film"), "Upkeep wash, decontamination and UV film"),
        ((), "Rinse of a fleet"),
    ],
)
def test_a_kind_is_called_by_the_services_sold_together(
    services: tuple[str, ...], name: str
) -> None:
    assert kind_name(services, "Rinse of a fleet") == name


def test_the_best_kind_comes_first_and_few_jobs_last_whatever_they_leave() -> None:
    shown = services_figure(
        [*jobs(6), *jobs(5, services=("Polish",), earned=20_000),
         *jobs(4, services=("Film",), earned=90_000)],
        "USD",
    )  # fmt: skip
    assert [(bar.name, bar.middle, bar.few) for bar in shown.bars] == [
        ("Polish", 19_000, False),
        ("Upkeep wash", 8_000, False),
        ("Film", 89_000, True),
    ]
    assert shown.finding == "Polish leaves most an hour."


def test_hours_are_worked_to_an_expected_one_and_the_kind_most_over_is_named() -> None:
    shown = hours_figure(
        [*jobs(9), *jobs(5, services=("Polish",), minutes=72),
         *jobs(2, services=("Film",), minutes=180), *jobs(3, expected_minutes=0)],
    )  # fmt: skip
    assert [(bar.name, bar.jobs, round(bar.middle, 2)) for bar in shown.bars] == [
        ("Polish", 5, 1.2),
        ("Upkeep wash", 9, 1.0),
        ("Film", 2, 3.0),
    ]
    assert shown.finding == "Polish runs most over, by 20 %."
    assert hours_figure(jobs(9)).finding == "Jobs take the hours you expect."
    assert hours_figure(jobs(9, minutes=66)).finding == "Jobs run 10 % over what you expect."
    assert hours_figure(jobs(4)).finding == "4 jobs: too few for a middle."


def test_kinds_that_are_not_drawn_are_told_and_stand_in_the_table() -> None:
    many = [one for at in range(MOST_KINDS + 2) for one in jobs(9 - at, services=(f"Wash {at}",))]
    shown = hours_figure(many)
    assert len(shown.bars) == MOST_KINDS
    assert len(shown.kinds) == MOST_KINDS + 2
    assert shown.others == "3 jobs of 2 other kinds not drawn; T lists them."

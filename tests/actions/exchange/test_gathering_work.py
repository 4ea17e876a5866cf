"""Jobs, charges and what could not be read, from people's lists."""

from __future__ import annotations

from datetime import date

from app.actions.desk.desk import Desk
from tests.actions.exchange.conftest import Bring, rows


def test_what_a_cell_says_and_could_not_be_read_stands_in_the_notes(
    empty: Desk, bring: Bring
) -> None:
    bring(
        empty,
        "Supply,Kind,Pack,Price,On hand,Dilution\n"
        "Snow foam,liquid,1 gal,18.00 + tax,20-30 ml,1:3\n",
        "shelf.csv",
    )
    bring(
        empty,
        "Customer,Vehicle,Plate,Date,Service,Total,Paid\n"
        "Ann Marlow,white van,Long Place 300 a 12-34,2025-03-04,wash,20.00,half of it\n",
        "jobs.csv",
    )
    (supply,) = rows(empty, "supplies")
    assert supply["notes"].splitlines() == [
        "On hand: 20-30 ml", "Price: 18.00 + tax", "Dilution: 1:3",
    ]  # fmt: skip
    (vehicle,) = rows(empty, "vehicles")
    assert vehicle["notes"] == "Plate: Long Place 300 a 12-34"
    (job,) = rows(empty, "jobs")
    assert job["notes"] == "Paid: half of it"


def test_a_log_that_only_says_when_a_job_was_done_brings_its_jobs_in(
    empty: Desk, bring: Bring
) -> None:
    plan, _ = bring(empty, "Customer,Done on,Service,Total\nAnn Marlow,2025-03-04,wash,20.00\n")
    assert plan.total("cannot") == 0
    (job,) = rows(empty, "jobs")
    assert (job["first_day"], job["done_on"]) == (date(2025, 3, 4), date(2025, 3, 4))


def test_a_discount_beside_extras_alone_is_taken_off(empty: Desk, bring: Bring) -> None:
    bring(
        empty,
        "Customer,Date,Service,Extra charge,Discount\nAnn Marlow,2025-03-04,wash,50.00,20.00\n",
    )
    assert sorted(row["amount"] for row in rows(empty, "charges")) == [-2000, 5000]


def test_a_total_below_zero_with_tax_above_zero_is_asked_about(empty: Desk, bring: Bring) -> None:
    plan, _ = bring(
        empty, "Customer,Date,Service,Total,Tax\nAnn Marlow,2025-03-04,wash,88.00-,8.00\n"
    )
    assert "one is below zero and one above" in "\n".join(
        problem for line in plan.lines for problem in line.problems
    )
    assert rows(empty, "charges") == []

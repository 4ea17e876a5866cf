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


def test_a_column_of_vehicle_and_plate_in_one_is_read_as_both(empty: Desk, bring: Bring) -> None:
    bring(empty, "Customer,Vehicle,Plate\nDan Frost,red hatch,KX16 ABC\n", "people.csv")
    plan, _ = bring(
        empty,
        "Date,Customer,Car & reg,Service,Price\n2025-03-04,Dan Frost,red hatch KX16 ABC,wash,20\n"
        "2025-03-05,Lea Orr,van A 1 FDL,wash,20\n2025-03-06,Jo Ray,RED 1,wash,20\n",
        "jobs.csv",
    )
    assert plan.total("cannot") == 0
    assert sorted((row["description"], row["plate"]) for row in rows(empty, "vehicles")) == [
        ("plate RED 1", "RED 1"), ("red hatch", "KX16 ABC"), ("van A 1 FDL", ""),
    ]  # fmt: skip


def test_two_plates_in_one_cell_are_those_of_its_two_vehicles(empty: Desk, bring: Bring) -> None:
    bring(
        empty,
        "Customer,Vehicle,Plate\nAda Lane,2011 silver estate; 2018 white van,LR11 OHL / LR68 OHM\n",
    )
    assert sorted((row["year"], row["plate"]) for row in rows(empty, "vehicles")) == [
        (2011, "LR11 OHL"), (2018, "LR68 OHM"),
    ]  # fmt: skip

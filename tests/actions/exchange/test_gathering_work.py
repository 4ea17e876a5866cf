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


def test_a_list_of_motors_and_menus_is_one_of_vehicles_and_services(
    empty: Desk, bring: Bring
) -> None:
    bring(
        empty,
        "Customer,Motor,Menu,Date,Price\n"
        "Ida Lark,2014 blue wagon,Full detail,2025-03-02,200\n"
        "Tom Pell,red coupe,Wash,2025-03-03,40\n",
    )
    assert [one["description"] for one in rows(empty, "vehicles")] == ["blue wagon", "red coupe"]
    assert [one["title"] for one in rows(empty, "jobs")] == ["Full detail", "Wash"]


def test_what_was_paid_in_two_ways_is_two_receipts_and_what_does_not_add_up_is_said(
    empty: Desk, bring: Bring
) -> None:
    plan, _ = bring(
        empty,
        "Date,Customer,Job,Price,Paid,How paid\n"
        "2025-03-02,Ida Lark,Wash,100,100,BACS\n"
        "2025-03-03,Ida Lark,Wash,100,40 cash 60 card,\n"
        '2025-03-04,Ida Lark,Wash,198,198,"50 check, 148 cash"\n'
        '2025-03-05,Ida Lark,Wash,198,198,"50 check, 100 cash"\n'
        "2025-03-06,Ida Lark,Wash,70,70,cash and card\n",
    )
    paid = [(one["amount"], one["method"]) for one in rows(empty, "receipts")]
    assert paid == [
        (10_000, "transfer"), (4_000, "cash"), (6_000, "card"), (5_000, "check"),
        (14_800, "cash"), (19_800, ""), (7_000, ""),
    ]  # fmt: skip
    said = [one for line in plan.lines for one in line.problems]
    assert len(said) == 1
    assert "not what was paid in all; only the whole was taken" in said[0]
    notes = [str(one["notes"]) for one in rows(empty, "jobs")]
    assert notes[3:] == ["Paid by: 50 check, 100 cash", "Paid by: cash and card"]


def test_of_several_sums_that_were_paid_none_is_taken_for_the_whole(
    empty: Desk, bring: Bring
) -> None:
    plan, _ = bring(
        empty,
        "Date,Customer,Job,Price,Paid\n"
        "2025-03-02,Ida Lark,Wash,100,20 + 30 + 50 cash\n"
        "2025-03-03,Ida Lark,Wash,100,100 card (tip 10 cash)\n"
        '2025-03-04,Ida Lark,Wash,100,"60 check, rest cash"\n'
        '2025-03-05,Ida Lark,Wash,100,"40 cash, balance due"\n',
    )
    paid = [(one["amount"], one["method"]) for one in rows(empty, "receipts")]
    assert paid == [(6_000, "check"), (4_000, "cash")]
    said = [one for line in plan.lines for one in line.problems]
    assert len(said) == 3
    assert all("more than one sum; type what was paid in all" in one for one in said)
    notes = [str(one["notes"]) for one in rows(empty, "jobs")]
    assert notes[0] == "Paid: 20 + 30 + 50 cash"
    assert notes[3] == "Paid: 40 cash, balance due"


def test_lines_that_carry_a_sum_forward_are_no_jobs(empty: Desk, bring: Bring) -> None:
    bring(
        empty,
        "Date,Customer,Job,Price\n2025-03-02,Ida Lark,Wash,100\n"
        ",,Carried forward,100\n,,Brought forward,100\n2025-03-04,Tom Pell,Wash,40\n"
        ",Printed 12/11/2025,,Page 1 of 1\n,,March total,140\n",
    )
    assert len(rows(empty, "jobs")) == 2

"""Work that stays booked when a vehicle is sold or a customer dies: said, with both ways out."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from app.actions.day.money_taken import money_taken, set_money
from app.actions.desk.desk import Changed, Desk
from app.actions.jobs.job_changes import cancel_job
from app.actions.people import customers, tidying, vehicles
from app.actions.people.left_bookings import LeftBooking, keep_for, left_open, why_left
from app.records.models import Job
from tests.shop import TODAY, SmallShop

LOST: dict[str, Callable[[Desk, SmallShop], Changed]] = {
    "sold": lambda desk, shop: vehicles.sold(desk, shop.vehicles["coupe"], TODAY),
    "died": lambda desk, shop: customers.deceased(desk, shop.customers["tolk"]),
    "archived": lambda desk, shop: tidying.archive_customer(desk, shop.customers["tolk"]),
    "vehicle archived": lambda desk, shop: tidying.archive_vehicle(desk, shop.vehicles["coupe"]),
}


@pytest.fixture
def booked(desk: Desk, shop: SmallShop) -> Desk:
    """The coupe of Mara Tolk is booked and not begun."""
    with desk.book.load() as session:
        for job in shop.jobs.values():
            session.get_one(Job, job).state = "cancelled"
        job = session.get_one(Job, shop.jobs["0412"])
        job.state, job.customer_id = "booked", shop.customers["tolk"]
        job.vehicle_id = shop.vehicles["coupe"]
    return desk


def _booked(desk: Desk, customer: int) -> tuple[LeftBooking, ...]:
    return left_open(desk, [customer]).bookings


@pytest.mark.parametrize("way", LOST)
def test_what_is_booked_is_said_at_once_and_undone_with_it(
    booked: Desk, shop: SmallShop, way: str
) -> None:
    assert _booked(booked, shop.customers["tolk"]) == ()
    assert why_left(booked, shop.jobs["0412"]) == ""
    told = LOST[way](booked, shop).sentence
    assert "Job 0412 for " in told
    assert "is still booked: on the customer’s page F6 calls it off, F8 keeps it" in told
    (one,) = _booked(booked, shop.customers["tolk"])
    assert one.job_id == shop.jobs["0412"]
    said = why_left(booked, one.job_id)
    assert "F6 calls it off, F8 keeps it" in said
    assert ("died" in said) == (way == "died")
    booked.book.undo(today=TODAY)
    assert _booked(booked, shop.customers["tolk"]) == ()


def test_another_vehicle_of_theirs_that_is_sold_says_nothing(booked: Desk, shop: SmallShop) -> None:
    assert "booked" not in vehicles.sold(booked, shop.vehicles["wagon"], TODAY).sentence


def test_called_off_nothing_is_left(booked: Desk, shop: SmallShop) -> None:
    LOST["sold"](booked, shop)
    cancel_job(booked, shop.jobs["0412"])
    assert _booked(booked, shop.customers["tolk"]) == ()


@pytest.mark.parametrize("way", ["sold", "died"])
def test_kept_for_the_new_owner_the_job_and_the_vehicle_are_theirs(
    booked: Desk, shop: SmallShop, way: str
) -> None:
    LOST[way](booked, shop)
    tolk, quell = shop.customers["tolk"], shop.customers["quell"]
    keep_for(booked, [shop.jobs["0412"]], quell)
    with booked.book.reading() as session:
        assert session.get_one(Job, shop.jobs["0412"]).customer_id == quell
    owners = vehicles.vehicle_page(booked, shop.vehicles["coupe"]).owners
    assert [one for one, _, _, end in owners if end is None] == [quell]
    assert _booked(booked, tolk) == _booked(booked, quell) == ()
    booked.book.undo(today=TODAY)
    assert len(_booked(booked, tolk)) == 1


def test_what_was_paid_ahead_is_said_when_another_keeps_the_job(
    booked: Desk, shop: SmallShop
) -> None:
    """It paid the new owner's bill, and nobody was told."""
    jobs, quell = [shop.jobs["0412"]], shop.customers["quell"]
    assert keep_for(booked, jobs, quell).sentence == ""
    booked.book.undo(today=TODAY)
    set_money(booked, TODAY, jobs[0], "310")
    assert "310.00 that was paid ahead counts for " in keep_for(booked, jobs, quell).sentence


@pytest.mark.parametrize("way", LOST)
def test_work_under_way_and_what_was_paid_ahead_are_said(
    booked: Desk, shop: SmallShop, way: str
) -> None:
    set_money(booked, TODAY, shop.jobs["0412"], "310")
    with booked.book.load() as session:
        session.get_one(Job, shop.jobs["0412"]).state = "working"
    told = LOST[way](booked, shop).sentence
    assert "Job 0412 is under way. 310.00 was paid ahead." in told
    settled_by_hand = bool(left_open(booked, [shop.customers["tolk"]]).by_hand)
    assert settled_by_hand == (way in ("died", "archived")), "who sold a vehicle pays as before"


def test_the_day_sheet_expects_nothing_of_who_has_died(desk: Desk, shop: SmallShop) -> None:
    (before,) = [one for one in money_taken(desk, TODAY).rows if one.taken]
    customers.deceased(desk, before.job.customer_id or 0)
    found = money_taken(desk, TODAY)
    assert (found.expected, found.expected_text) == (0, "No payment expected")
    (row,) = [one for one in found.rows if one.job == before.job]
    assert (row.sums.due, row.filled, row.not_filled) == (9653, 0, f"{row.job.customer} has died")
    set_money(desk, TODAY, row.job.job_id, "96.53")
    assert money_taken(desk, TODAY).expected == 9653
    desk.book.undo(today=TODAY)
    desk.book.undo(today=TODAY)
    assert money_taken(desk, TODAY).expected == 9653

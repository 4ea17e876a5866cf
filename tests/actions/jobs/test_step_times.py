"""How long steps take and then stand, typed and carried to the jobs."""

from __future__ import annotations

import pytest

from app.actions.desk.desk import Desk
from app.actions.jobs.booking_jobs import NewJob, book_job
from app.actions.jobs.services import edit_service, service_page
from app.actions.jobs.step_times import (
    hold_text,
    read_hold,
    set_job_step_time,
    set_step_time,
    usual_hold,
)
from app.errors import Mendable
from app.records.queries import days as queries
from tests.shop import SmallShop


@pytest.mark.parametrize(
    ("typed", "hold", "minutes"),
    [
        ("dries overnight", "dries", 720),  # common practice, no source
        ("cures 12 h", "cures", 720),
        ("dry for 90m", "dries", 90),
        ("18", "cures", 1080),
        ("none", "cures", 0),
        ("", "", 0),
    ],
)
def test_a_hold_is_read_as_it_is_said(typed: str, hold: str, minutes: int) -> None:
    assert read_hold(typed) == (hold, minutes)
    assert read_hold(hold_text(hold, minutes)) == (hold, minutes)


def test_times_of_steps_come_with_the_job_and_share_its_minutes(
    desk: Desk, shop: SmallShop
) -> None:
    service = shop.services["ceramic"]
    first, *_rest, last = service_page(desk, service).steps
    set_step_time(desk, service, first.step_id, minutes="90m", hold="dries overnight")
    assert "dries 12 h" in (desk.book.next_undo() or "")
    job = book_job(
        desk, NewJob(customer_id=shop.customers["tolk"], services=((service, 1),), minutes=480)
    )[1]
    with desk.book.reading() as session:
        steps = queries.steps_of(session, [job])[job]
    assert (steps[0].hold, steps[0].hold_minutes) == ("dries", 720)
    assert {step.minutes for step in steps} == {150}, "the others take as long as the one that says"
    set_job_step_time(desk, job, steps[0].step_id, hold="none")
    with desk.book.reading() as session:
        assert queries.steps_of(session, [job])[job][0].hold_minutes == 0
    assert service_page(desk, service).steps[0].hold_minutes == 720, "the service keeps its own"
    assert usual_hold(desk, last, ()).startswith("cures"), "a coating cures as its class does"
    with pytest.raises(Mendable, match="How long"):
        set_step_time(desk, service, first.step_id, hold="cures")


def test_a_service_is_done_outside_where_it_is_said(desk: Desk, shop: SmallShop) -> None:
    service = next(iter(shop.services.values()))
    edit_service(desk, service, in_bay="outside")
    assert not service_page(desk, service).service.in_bay


def test_a_service_takes_what_its_steps_take_until_it_says_its_own_time(
    desk: Desk, shop: SmallShop
) -> None:
    service = shop.services["ceramic"]
    edit_service(desk, service, minutes="0")
    first, *_rest, last = service_page(desk, service).steps
    set_step_time(desk, service, first.step_id, minutes="2 h")
    set_step_time(desk, service, last.step_id, minutes="26 h")
    assert service_page(desk, service).service.minutes == 28 * 60, "more than a day is work too"
    edit_service(desk, service, minutes="30 h")
    set_step_time(desk, service, first.step_id, minutes="1 h")
    assert service_page(desk, service).service.minutes == 30 * 60

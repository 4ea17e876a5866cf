"""What the margin says of a move that is not kept yet."""

from __future__ import annotations

from dataclasses import replace
from datetime import time, timedelta

from app.actions.bay.plan_of_shop import plan_of_shop, tried
from app.actions.bay.standing import Move
from app.actions.desk.desk import Desk
from app.actions.jobs.booking_jobs import NewJob, book_job
from app.window.bay.plan_note import move_note
from tests.shop import TODAY, SmallShop


def test_of_a_job_that_only_changes_its_bay_the_bays_are_told(desk: Desk, shop: SmallShop) -> None:
    monday = desk.instant(TODAY + timedelta(days=4), time(8))
    new = NewJob(vehicle_id=shop.vehicles["wagon"], minutes=60, begins_at=monday)
    job = book_job(desk, new)[1]
    row = plan_of_shop(desk).row(job)
    assert row is not None
    found = tried(desk, Move(job, begins_at=monday + timedelta(days=1)))
    assert found.effect is not None
    others = ((row, replace(row, bay=1)),)
    note = move_note(desk, replace(found, effect=replace(found.effect, others=others)), (), "")
    assert f"('{row.number}', 'bay 2', '', 'bay 1')" in str(note)

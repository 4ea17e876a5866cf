"""Where a step that puts a layer on is ticked, a wrong order is said beside it."""

from __future__ import annotations

from datetime import timedelta

import pytest
from PySide6.QtCore import Qt

from app.actions.day.day_report import day_text
from app.actions.day.jobs_worked import jobs_worked
from app.actions.desk.desk import Desk
from app.records.models import Job, JobStep, LayerEvent, Supply
from app.window.paper.notes import Alert, Voice
from tests.shop import TODAY, SmallShop
from tests.window.day.conftest import Hands


@pytest.fixture
def seal(desk: Desk, shop: SmallShop) -> int:
    """A sealant step on job 0412, whose vehicle was waxed three weeks ago; the step's number."""
    at = desk.clock() - timedelta(days=21)
    number = shop.jobs["0412"]
    with desk.book.load() as session:
        session.get_one(Supply, shop.supplies["wax"]).protection = "carnauba wax"
        sealant = Supply(name="Sealant", kind="liquid", protection="synthetic sealant")
        session.add(sealant)
        vehicle = session.get_one(Job, number).vehicle_id
        assert vehicle is not None
        session.flush()
        session.add(
            LayerEvent(
                vehicle_id=vehicle,
                day=at.date(),
                at=at,
                kind="applied",
                surface_group="lowers",
                supply_id=shop.supplies["wax"],
            )
        )
        step = JobStep(
            job_id=number,
            position=99,
            name="Seal",
            effect="applies",
            supply_id=sealant.id,
            surface_groups=["lowers"],
        )
        session.add(step)
        session.flush()
        return step.id


def test_a_sealant_step_on_a_waxed_vehicle_says_why_not_and_is_ticked_all_the_same(
    seal: int, hands: Hands, desk: Desk, shop: SmallShop
) -> None:
    step_id, number = seal, shop.jobs["0412"]
    hands.open(1)
    table = hands.sheet.station().table
    table.setFocus()
    table.go(number, "hours")
    hands.settle()
    hands.press(Qt.Key.Key_S)
    key = next(
        row.key for row in table.rows if isinstance(row.key, tuple) and row.key[1] == step_id
    )
    table.go(key, "work")
    hands.settle()
    blocks = hands.sheet.margin._note.blocks
    assert Alert("Look at the order") in blocks
    words = [block.text for block in blocks if isinstance(block, Voice)]
    assert "A synthetic sealant does not hold over wax; strip the wax first." in words
    assert any("label" in text for text in words)
    before = _state(desk, number, step_id)
    hands.press(Qt.Key.Key_Space)
    assert _state(desk, number, step_id) != before


def _state(desk: Desk, job: int, step: int) -> str:
    rows = jobs_worked(desk, TODAY).rows
    steps = next(row.steps for row in rows if row.job.job_id == job)
    return next(one.state for one in steps if one.step_id == step)


def test_the_command_and_the_page_count_the_same_steps(
    hands: Hands, desk: Desk, shop: SmallShop
) -> None:
    tomorrow = TODAY + timedelta(days=1)
    hands.sheet.office.open_day(tomorrow)
    hands.settle()
    hands.open(1)
    table = hands.sheet.station().table
    (row,) = (one for one in table.rows if one.key == shop.jobs["0412"])
    assert "4 of 4" in [cell.text for cell in row.cells]  # type: ignore[union-attr]
    assert "4 of 4 steps, finished" in day_text(desk, tomorrow)


def test_chosen_jobs_are_finished_together_and_undone_together(hands: Hands, desk: Desk) -> None:
    hands.open(1)
    table = hands.sheet.station().table
    table.setFocus()
    before = {one.job.job_id: one.finished for one in jobs_worked(desk, TODAY).rows}
    assert len(before) > 1
    hands.press(Qt.Key.Key_A, Qt.KeyboardModifier.ControlModifier)
    hands.press(Qt.Key.Key_F)
    after = {one.job.job_id: one.finished for one in jobs_worked(desk, TODAY).rows}
    assert after == {number: not finished for number, finished in before.items()}
    assert "Ctrl Z takes all of them back" in hands.foot
    hands.press(Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert {one.job.job_id: one.finished for one in jobs_worked(desk, TODAY).rows} == before
    hands.press(Qt.Key.Key_Y, Qt.KeyboardModifier.ControlModifier)
    assert {one.job.job_id: one.finished for one in jobs_worked(desk, TODAY).rows} == after

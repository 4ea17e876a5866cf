"""A wrong order of layers stands in the margin of a job's card, and the step can be ticked."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from app.actions.desk.desk import Desk
from app.actions.jobs.job_card import job_card
from app.records.models import Job, JobStep, LayerEvent, Supply
from app.window.house.office import Office
from app.window.house.place import PlaceEntry
from app.window.house.shell import Shell
from app.window.jobs.place import JobsPlace
from app.window.paper.notes import Alert, Voice
from tests.shop import SmallShop


@pytest.fixture
def shop(shop: SmallShop, desk: Desk) -> SmallShop:
    """The small shop, with a sealant step on a vehicle that was waxed three weeks ago."""
    at = desk.clock() - timedelta(days=21)
    with desk.book.load() as session:
        session.get_one(Supply, shop.supplies["wax"]).protection = "carnauba wax"
        sealant = Supply(name="Sealant", kind="liquid", protection="synthetic sealant")
        session.add(sealant)
        job = session.get_one(Job, shop.jobs["0412"])
        assert job.vehicle_id is not None
        session.add(
            LayerEvent(
                vehicle_id=job.vehicle_id,
                day=at.date(),
                at=at,
                kind="applied",
                surface_group="lowers",
                supply_id=shop.supplies["wax"],
            )
        )
        session.flush()
        for row in session.query(JobStep).filter_by(job_id=job.id):
            session.delete(row)
        session.add(
            JobStep(
                job_id=job.id,
                position=0,
                name="Seal",
                effect="applies",
                supply_id=sealant.id,
                surface_groups=["lowers"],
            )
        )
    return shop


def test_the_margin_says_why_and_space_ticks_it_all_the_same(
    office: Office, shop: SmallShop, shown: Callable[[QWidget, int, int], QWidget]
) -> None:
    shell = Shell(office, [PlaceEntry("jobs", "Jobs", "jobs", JobsPlace)])
    shown(shell, 1366, 768)
    shell.open_item("jobs", shop.jobs["0412"])
    place = shell.here
    assert isinstance(place, JobsPlace)
    place.card.open("steps", still=True)
    QApplication.processEvents()
    blocks = place.margin._note.blocks
    assert Alert("Look at the order") in blocks
    words = [block.text for block in blocks if isinstance(block, Voice)]
    assert "A synthetic sealant does not hold over wax; strip the wax first." in words
    assert any(text.endswith("The label wins wherever it says something else.") for text in words)
    target = QApplication.focusWidget()
    assert target is not None
    QTest.keyClick(target, Qt.Key.Key_Space)
    assert job_card(office.desk, shop.jobs["0412"]).steps[0].state == "done"

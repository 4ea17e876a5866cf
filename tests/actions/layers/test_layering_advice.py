"""A wrong order of layers is said where it is chosen, with the reason, and never forbidden.

That a sealant does not hold over wax, that a wax waits twelve hours or more after a sealant and
that a ceramic needs a panel wipe first: common practice, no source.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from app.actions.desk.desk import Desk
from app.actions.jobs.job_card import job_card
from app.actions.jobs.job_changes import say_step
from app.calculations.layers.layers import GroupEvent, Happening, Verdict, follow, standing
from app.calculations.layers.protection import ProtectionClass, SurfaceGroup
from app.records.models import Job, JobStep, Supply
from app.records.models import LayerEvent as LayerLine
from tests.shop import TODAY, Clock, SmallShop

UPPER = ["upper horizontals", "upper sides"]


@pytest.fixture
def sealant(desk: Desk, shop: SmallShop) -> int:
    """A sealant beside the shop's wax, which leaves a layer too."""
    with desk.book.load() as session:
        session.get_one(Supply, shop.supplies["wax"]).protection = "carnauba wax"
        supply = Supply(name="Sealant", kind="liquid", protection="synthetic sealant")
        session.add(supply)
        session.flush()
        return supply.id


def wax_on(desk: Desk, vehicle: int, supply: int, hours_ago: float, groups: list[str]) -> None:
    at = desk.clock() - timedelta(hours=hours_ago)
    with desk.book.load() as session:
        for group in groups:
            session.add(
                LayerLine(
                    vehicle_id=vehicle, day=at.date(), at=at, kind="applied",
                    surface_group=group, supply_id=supply,
                )
            )  # fmt: skip


def steps_of(desk: Desk, job: int, *steps: tuple[str, str, int | None]) -> None:
    with desk.book.load() as session:
        for row in session.query(JobStep).filter_by(job_id=job):
            session.delete(row)
        session.flush()
        for at, (name, effect, supply) in enumerate(steps):
            session.add(
                JobStep(
                    job_id=job, position=at, name=name, effect=effect, supply_id=supply,
                    surface_groups=UPPER if effect else [],
                )
            )  # fmt: skip


def test_a_sealant_over_wax_is_said_not_to_hold(desk: Desk, shop: SmallShop, sealant: int) -> None:
    wagon = shop.vehicles["wagon"]
    wax_on(desk, wagon, shop.supplies["wax"], 24 * 20, UPPER)
    steps_of(desk, shop.jobs["0412"], ("Seal", "applies", sealant))
    (advice,) = job_card(desk, shop.jobs["0412"]).advice
    assert advice.against == ("A synthetic sealant does not hold over wax; strip the wax first.",)
    assert advice.waits.startswith("First water after 4 h or more, better 24 h")
    assert advice.waits.endswith("The label wins wherever it says something else.")


def test_what_holds_for_one_surface_only_names_it(
    desk: Desk, shop: SmallShop, sealant: int
) -> None:
    wagon = shop.vehicles["wagon"]
    wax_on(desk, wagon, shop.supplies["wax"], 24 * 20, ["upper sides"])
    steps_of(desk, shop.jobs["0412"], ("Seal", "applies", sealant))
    (advice,) = job_card(desk, shop.jobs["0412"]).advice
    assert advice.against[0].startswith("On upper sides: a synthetic sealant does not hold")


def test_a_wax_on_the_day_of_its_sealant_waits_twelve_hours_or_more(
    desk: Desk, shop: SmallShop, sealant: int
) -> None:
    job = shop.jobs["0412"]
    steps_of(desk, job, ("Seal", "applies", sealant), ("Wax", "applies", shop.supplies["wax"]))
    seal, wax = job_card(desk, job).advice
    assert seal.against == ()
    assert wax.against == (
        "The synthetic sealant went on just now; wait 12 hours or more before the next layer, "
        "better 24 hours.",
    )


def test_a_strip_step_before_it_makes_the_order_right(
    desk: Desk, shop: SmallShop, sealant: int
) -> None:
    job = shop.jobs["0412"]
    with desk.book.reading() as session:
        vehicle = session.get_one(Job, job).vehicle_id
    assert vehicle is not None
    wax_on(desk, vehicle, shop.supplies["wax"], 24 * 20, UPPER)
    steps_of(desk, job, ("Seal", "applies", sealant))
    assert job_card(desk, job).advice[0].against != ()
    steps_of(desk, job, ("Strip wash", "strips", None), ("Seal", "applies", sealant))
    assert job_card(desk, job).advice[0].against == ()


def test_it_is_never_forbidden(desk: Desk, shop: SmallShop, sealant: int) -> None:
    job = shop.jobs["0412"]
    steps_of(desk, job, ("Wax", "applies", shop.supplies["wax"]), ("Seal", "applies", sealant))
    assert job_card(desk, job).advice[1].against != ()
    step = job_card(desk, job).steps[1]
    say_step(desk, job, step.step_id, "done", "", TODAY)
    assert job_card(desk, job).steps[1].state == "done"


def test_what_leaves_no_layer_gets_no_advice(desk: Desk, shop: SmallShop) -> None:
    soap, coating = shop.supplies["soap"], shop.supplies["coating"]
    job = shop.jobs["0412"]
    steps_of(desk, job, ("Wash", "applies", soap), ("Layer", "applies", coating))
    assert [one.name for one in job_card(desk, job).advice] == ["Layer"]


def test_following_events_one_by_one_gives_what_standing_gives(clock: Clock) -> None:
    at = datetime(2025, 3, 1, 12, tzinfo=UTC)
    group = SurfaceGroup.LOWERS
    kinds = (ProtectionClass.SYNTHETIC_SEALANT, ProtectionClass.CARNAUBA_WAX)
    events = [
        GroupEvent(
            happening=Happening.APPLIED,
            group=group,
            at=at + timedelta(days=n),
            layer=n,
            supply=n,
            protection_class=kind,
        )
        for n, kind in enumerate(kinds)
    ]
    events.append(
        GroupEvent(
            happening=Happening.JUDGED,
            group=group,
            at=at + timedelta(days=90),
            verdict=Verdict.GONE,
        )
    )
    events.append(GroupEvent(happening=Happening.STRIPPED, group=group, at=at + timedelta(days=91)))
    stack: tuple = ()
    for count, event in enumerate(events, 1):
        stack = follow(stack, event)
        assert stack == standing(events[:count]).get(group, ())


def test_the_waits_of_a_label_replace_those_of_its_class(
    desk: Desk, shop: SmallShop, sealant: int
) -> None:
    with desk.book.load() as session:
        supply = session.get_one(Supply, sealant)
        supply.wait_next_hours, supply.wait_water_hours = 2, 6
    job = shop.jobs["0412"]
    steps_of(desk, job, ("Seal", "applies", sealant), ("Wax", "applies", shop.supplies["wax"]))
    seal, wax = job_card(desk, job).advice
    assert seal.waits == (
        "First water after 6 h by its label; the next layer after 2 h by its label."
    )
    assert wax.against == (
        "The synthetic sealant went on just now; wait 2 hours or more before the next layer.",
    )

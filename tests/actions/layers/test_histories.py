"""What is mended by what changed is what would be found anew, and no more is read than changed."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from contextlib import suppress
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import func, select
from sqlalchemy.exc import IntegrityError

from app.actions.desk import undoing
from app.actions.desk.desk import Desk
from app.actions.layers import histories, protection_state
from app.actions.layers.protection_state import protection
from app.actions.letters import choosing
from app.actions.letters.reminders import mark_sent, prepare, whom_to_remind
from app.actions.people.tidying import archive_vehicle
from app.actions.people.vehicles import edit_vehicle, sold
from app.errors import Mendable
from app.records.models import Customer, Hours, Job, Judgement, LayerEvent, OwnerLink, Supply
from app.records.queries import protection as queries
from tests.shop import TODAY, Clock, new_desk
from tests.worn_layers import fill_with_layers

VEHICLES = 30


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    desk = new_desk(tmp_path / "shop.bayledger", Clock(TODAY))
    fill_with_layers(desk.book, 2 * VEHICLES, TODAY)
    yield desk
    desk.book.close()


def found(desk: Desk, day: date) -> tuple[object, ...]:
    """All that is known of the layers on a day, and what follows for the letters."""
    state, whom = protection(desk, day), whom_to_remind(desk, day)
    lives = [state.lives.summary(label.supply) for label in state.labels]
    households = frozenset(one.holder.household for one in state.candidates)
    return (
        state.dues, state.candidates, state.names, state.checks, state.observations,
        state.labels, lives, whom, choosing._facts_of_all(desk, day, households),
    )  # fmt: skip


def layer(desk: Desk, rng: random.Random) -> None:
    day = TODAY - timedelta(days=rng.randrange(400))
    with desk.book.change("a layer", day=day) as session:
        session.add(
            LayerEvent(
                vehicle_id=rng.randint(1, VEHICLES), day=day, supply_id=rng.randint(1, 6),
                at=datetime(day.year, day.month, day.day, rng.randrange(8, 20), tzinfo=UTC),
                kind=rng.choice(("applied", "applied", "stripped")),
                surface_group=rng.choice(("upper sides", "wheels", "leather")),
            )
        )  # fmt: skip


def judgement(desk: Desk, rng: random.Random) -> None:
    with desk.book.change("seen", day=TODAY) as session:
        put_on = rng.choice(queries.layer_events(session))
        session.add(
            Judgement(
                vehicle_id=put_on.vehicle_id, layer_event_id=put_on.id,
                day=put_on.day + timedelta(days=rng.randrange(5, 300)),
                surface_group=put_on.surface_group, after=rng.choice(("holding", "fading", "gone")),
            )
        )  # fmt: skip


def another_word(desk: Desk, rng: random.Random) -> None:
    with desk.book.change("another word", day=TODAY) as session:
        rows = session.query(Judgement).all()
        if rows:
            rng.choice(rows).after = rng.choice(("holding", "fading", "gone"))


def taken_out(desk: Desk, rng: random.Random) -> None:
    with desk.book.change("taken out", day=TODAY) as session:
        rows = session.query(Judgement).all()
        if rows:
            session.delete(rng.choice(rows))


def lives_elsewhere(desk: Desk, rng: random.Random) -> None:
    stands = rng.choice(("garage", "desert or high sun", "outdoors"))
    edit_vehicle(desk, rng.randint(1, VEHICLES), exposure={"stands": stands})


def another_owner(desk: Desk, rng: random.Random) -> None:
    (sold if rng.random() < 0.5 else lambda d, v, _: archive_vehicle(d, v))(
        desk, rng.randint(1, VEHICLES), TODAY
    )


def customer(desk: Desk, rng: random.Random) -> None:
    with desk.book.change("a customer", day=TODAY) as session:
        one = session.get_one(Customer, rng.randint(1, VEHICLES))
        one.household, one.may_remind = rng.choice(("", "oak", "elm")), rng.random() < 0.9


def label(desk: Desk, rng: random.Random) -> None:
    with desk.book.change("a label", day=TODAY) as session:
        one = session.get_one(Supply, rng.randint(1, 6))
        one.life_low_days, one.life_high_days = 60, rng.randrange(90, 400)


def visit(desk: Desk, rng: random.Random) -> None:
    customer, day = rng.randint(1, VEHICLES), TODAY - timedelta(days=rng.randrange(-9, 90))
    with desk.book.change("a visit", day=TODAY) as session:
        number = (session.scalar(select(func.max(Job.number))) or 0) + 1
        job = Job(number=number, customer_id=customer, first_day=day, state="booked")
        session.add(job)
        session.flush()
        if day <= TODAY and rng.random() < 0.5:
            job.state, job.done_on = "done", day
        elif day <= TODAY:
            session.add(Hours(day=day, job_id=job.id, minutes=60))


def letter_sent(desk: Desk, rng: random.Random) -> None:
    waiting = [one.prepared_id for one in whom_to_remind(desk, TODAY).letters if one.prepared_id]
    if waiting:
        mark_sent(desk, TODAY, [rng.choice(waiting)])


def letter(desk: Desk, rng: random.Random) -> None:
    new = [one for one in whom_to_remind(desk, TODAY).letters if one.prepared_id is None]
    if new:
        prepare(desk, TODAY, rng.choice(new))


def loaded(desk: Desk, rng: random.Random) -> None:
    with desk.book.load() as session:
        session.add(Customer(name="Someone loaded"))
        session.get_one(Customer, rng.randint(1, VEHICLES)).may_remind = rng.random() < 0.5


def failed(desk: Desk, rng: random.Random) -> None:
    def change() -> None:
        with desk.book.change("failed", day=TODAY) as session:
            session.get_one(Supply, 1).life_low_days = 1
            session.add(OwnerLink(vehicle_id=10**6, customer_id=1))

    with pytest.raises(IntegrityError):
        change()


CHANGES: tuple[Callable[[Desk, random.Random], Any], ...] = (
    layer, layer, judgement, judgement, another_word, taken_out, lives_elsewhere, another_owner,
    customer, label, letter, letter_sent, visit, visit, loaded, failed,
    lambda desk, _: undoing.undo(desk), lambda desk, _: undoing.redo(desk),
)  # fmt: skip


@pytest.mark.parametrize("seed", range(4))
def test_after_any_changes_what_was_mended_is_what_is_found_anew(desk: Desk, seed: int) -> None:
    rng = random.Random(seed)
    found(desk, TODAY)
    for _ in range(14):
        for change in rng.choices(CHANGES, k=rng.randint(1, 3)):
            with suppress(Mendable):  # nothing to undo, sold already
                change(desk, rng)
        day = TODAY - timedelta(days=rng.choice((0, 0, 0, 1, 30)))
        assert found(desk, day) == found(Desk(desk.book, desk.clock), day)


def test_after_one_judgement_one_vehicle_is_read_and_reckoned_anew(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    protection(desk, TODAY)
    reckoned, read = [], []
    standing, of_vehicle = protection_state.standing, queries.layer_events

    def watched(events: list[Any]) -> object:
        reckoned.append(len(events))
        return standing(events)

    def watched_reading(session: Any, since: date, vehicle: int | None = None) -> object:
        read.append(vehicle)
        return of_vehicle(session, since, vehicle)

    monkeypatch.setattr(protection_state, "standing", watched)
    monkeypatch.setattr(histories.queries, "layer_events", watched_reading)
    with desk.book.change("seen", day=TODAY) as session:
        put_on = of_vehicle(session)[-1]
        session.add(
            Judgement(
                vehicle_id=put_on.vehicle_id, layer_event_id=put_on.id, day=TODAY,
                surface_group=put_on.surface_group, after="holding",
            )
        )  # fmt: skip
    protection(desk, TODAY)
    assert len(reckoned) == 1
    assert read == [put_on.vehicle_id]


def test_lives_are_learnt_anew_from_new_evidence_and_from_nothing_else(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    learnt, fit = [], protection_state.fit
    monkeypatch.setattr(
        protection_state, "fit", lambda *read: (learnt.append(len(read[0])), fit(*read))[1]
    )
    rng = random.Random(1)
    protection(desk, TODAY)
    for change in (customer, layer, letter):
        change(desk, rng)
        protection(desk, TODAY)
    assert len(learnt) == 1
    judgement(desk, rng)
    protection(desk, TODAY + timedelta(days=300))
    assert len(learnt) == 2

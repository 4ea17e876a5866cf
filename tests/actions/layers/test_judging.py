"""Judging a vehicle that is back: both looks are kept, and what recovered was dirty, not gone."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.actions.desk.desk import Desk
from app.actions.layers.judging import (
    AFTER,
    BEFORE,
    judging,
    read_verdict,
    set_judged,
    what_it_says,
)
from app.actions.letters import renewing
from app.calculations.layers.bodies import Body
from app.errors import Mendable
from app.records.models import Judgement, LayerEvent, Supply, Vehicle
from tests.shop import TODAY, SmallShop

PUT_ON = TODAY - timedelta(days=120)


@pytest.fixture
def sealed(desk: Desk, shop: SmallShop) -> int:
    """Tolk's wagon: a sealant on the hood and the sides, a wax over it on the hood."""
    wagon = shop.vehicles["wagon"]
    with desk.book.load() as session:
        session.get_one(Supply, shop.supplies["wax"]).protection = "carnauba wax"
        sealant = Supply(name="Sealant", kind="liquid", protection="synthetic sealant")
        session.add(sealant)
        session.flush()
        for supply, group, hour in (
            (sealant.id, "upper sides", 12),
            (sealant.id, "upper horizontals", 12),
            (shop.supplies["wax"], "upper horizontals", 18),
        ):
            at = datetime(PUT_ON.year, PUT_ON.month, PUT_ON.day, hour, tzinfo=UTC)
            session.add(
                LayerEvent(
                    vehicle_id=wagon,
                    day=PUT_ON,
                    at=at,
                    kind="applied",
                    surface_group=group,
                    supply_id=supply,
                )
            )
    return wagon


def judged(desk: Desk) -> list[tuple[str, str, str, date]]:
    with desk.book.reading() as session:
        rows = session.query(Judgement).order_by(Judgement.id)
        return [(row.surface_group, row.before, row.after, row.day) for row in rows]


def test_each_group_is_one_row_with_what_protects_and_what_lies_over_it(
    desk: Desk, sealed: int
) -> None:
    view = judging(desk, TODAY, sealed)
    assert [(row.group, row.layer, row.over) for row in view.rows] == [
        ("upper horizontals", "Sealant", ("Paste wax",)),
        ("upper sides", "Sealant", ()),
    ]


def test_the_body_that_is_drawn_follows_the_words_and_the_size(desk: Desk, sealed: int) -> None:
    assert judging(desk, TODAY, sealed).body is Body.WAGON
    with desk.book.load() as session:
        session.get_one(Vehicle, sealed).size_outside = "XL"
        session.get_one(Vehicle, sealed).description = "the old one"
    assert judging(desk, TODAY, sealed).body is Body.VAN
    with desk.book.load() as session:
        session.get_one(Vehicle, sealed).description = "grey pickup"
    assert judging(desk, TODAY, sealed).body is Body.PICKUP


def test_before_and_after_make_one_judgement_and_dull_was_dirty_not_gone(
    desk: Desk, sealed: int
) -> None:
    set_judged(desk, TODAY, sealed, "upper sides", BEFORE, "g")
    changed = set_judged(desk, TODAY, sealed, "upper sides", AFTER, "Hold")
    assert changed.name == "Judged the upper sides of the grey wagon: holding"
    assert judged(desk) == [("upper sides", "gone", "holding", TODAY)]
    row = judging(desk, TODAY, sealed).rows[1]
    assert (row.before, row.after, row.meaning) == ("gone", "holding", "it was dirty, not gone")
    layer = next(r for r in renewing.renewals(desk, TODAY).rows if "upper sides" in r.groups)
    assert layer.checks == (TODAY,), "what was seen after the cleaning counts"


def test_a_cell_is_taken_back_by_emptying_it_and_each_cell_is_one_undo(
    desk: Desk, sealed: int
) -> None:
    set_judged(desk, TODAY, sealed, "upper sides", BEFORE, "f")
    set_judged(desk, TODAY, sealed, "upper sides", AFTER, "h")
    desk.book.undo(today=TODAY)
    assert judged(desk) == [("upper sides", "fading", "", TODAY)]
    set_judged(desk, TODAY, sealed, "upper sides", BEFORE, " ")
    assert judged(desk) == []
    assert set_judged(desk, TODAY, sealed, "upper sides", AFTER, "").name == ""
    desk.book.undo(today=TODAY)
    assert judged(desk) == [("upper sides", "fading", "", TODAY)]


def test_another_day_is_another_judgement_and_stands_as_seen_last(desk: Desk, sealed: int) -> None:
    earlier = TODAY - timedelta(days=30)
    set_judged(desk, earlier, sealed, "upper sides", AFTER, "h")
    set_judged(desk, TODAY, sealed, "upper sides", AFTER, "f")
    assert [row[2] for row in judged(desk)] == ["holding", "fading"]
    assert judging(desk, TODAY, sealed).rows[1].last.endswith(": holding")


def test_what_is_no_judgement_and_where_nothing_stands_is_one_plain_sentence(
    desk: Desk, sealed: int
) -> None:
    with pytest.raises(Mendable, match="h, f or g"):
        set_judged(desk, TODAY, sealed, "upper sides", AFTER, "shiny")
    with pytest.raises(Mendable, match="No layer stands on the wheels"):
        set_judged(desk, TODAY, sealed, "wheels", AFTER, "h")
    assert judged(desk) == []


@given(st.text(max_size=30))
def test_whatever_is_typed_is_a_verdict_nothing_or_a_sentence(typed: str) -> None:
    known = ("", "holding", "fading", "gone")
    plain = typed.strip().casefold()
    if plain and not any(word.startswith(plain) for word in known):
        with pytest.raises(Mendable, match="say holding, fading or gone"):
            read_verdict(typed)
    else:
        assert read_verdict(typed) in known


@pytest.mark.parametrize(
    ("before", "after", "words"),
    [
        ("fading", "holding", "it was dirty, not worn"),
        ("gone", "gone", "it is gone"),
        ("holding", "gone", "it did not outlast the cleaning"),
        ("", "gone", ""),
    ],
)
def test_the_two_looks_together_say(before: str, after: str, words: str) -> None:
    assert what_it_says(before, after) == words

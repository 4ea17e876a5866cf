"""A supply's life beside its label, from what was seen here; the rest stays the label's word."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from app.actions.desk.desk import Desk
from app.actions.layers.life_page import age_words, life_page, span_words
from app.actions.layers.protection_state import protection
from app.records.models import Judgement, LayerEvent, Supply
from tests.shop import TODAY, SmallShop


def seen_gone(desk: Desk, vehicle: int, supply: int, count: int, age: int) -> None:
    """So many layers of a supply, one after the other, each seen gone at that age."""
    with desk.book.load() as session:
        for number in range(count):
            day = TODAY - timedelta(days=(count - number) * (age + 1))
            event = LayerEvent(
                vehicle_id=vehicle, day=day, kind="applied", surface_group="upper sides",
                at=datetime(day.year, day.month, day.day, 12, tzinfo=UTC), supply_id=supply,
            )  # fmt: skip
            session.add(event)
            session.flush()
            for at, word in ((age - 10, "holding"), (age, "gone")):
                session.add(
                    Judgement(
                        vehicle_id=vehicle, layer_event_id=event.id, after=word,
                        day=day + timedelta(days=at), surface_group="upper sides",
                    )
                )  # fmt: skip


@pytest.fixture
def wax(desk: Desk, shop: SmallShop) -> int:
    number = shop.supplies["wax"]
    with desk.book.load() as session:
        supply = session.get_one(Supply, number)
        supply.protection = "carnauba wax"
        supply.life_low_days, supply.life_high_days = 100, 140
    return number


def test_nothing_seen_yet_leaves_the_label_alone(desk: Desk, wax: int) -> None:
    life = life_page(desk, TODAY, wax)
    assert life is not None
    assert (life.label, life.summary.layers, life.since) == ((100, 140), 0, None)
    assert not life.summary.differs
    assert 100 < life.median < 140
    assert life.result == "by its label alone"
    assert "has been seen again here yet" in life.voice[1]


def test_a_supply_that_leaves_no_layer_has_no_life(desk: Desk, shop: SmallShop) -> None:
    assert life_page(desk, TODAY, shop.supplies["soap"]) is None


def test_what_fails_far_too_early_here_differs_and_since_when_is_said(
    desk: Desk, shop: SmallShop, wax: int
) -> None:
    seen_gone(desk, shop.vehicles["wagon"], wax, 14, 40)
    life = life_page(desk, TODAY, wax)
    assert life is not None
    assert (life.summary.layers, life.summary.gone) == (14, 14)
    assert life.summary.differs
    assert life.median_band[1] < 100
    assert life.since is not None
    assert life.since <= TODAY
    assert life.voice[2].startswith("Here it lasts shorter than its label says since ")


def test_the_curve_is_that_of_the_renewals_laid_over_the_label(desk: Desk, wax: int) -> None:
    life = life_page(desk, TODAY, wax)
    assert life is not None
    lives = protection(desk, TODAY).lives
    factor = lives.summary(wax).label.at_factor
    for age, still, low, high in zip(life.ages, life.still, life.low, life.high, strict=True):
        assert low - 1e-9 <= still <= high + 1e-9 or abs(still - low) < 0.1
        assert still == pytest.approx(float(lives.survival(wax, age / factor)), abs=1e-6)
    assert list(life.still) == sorted(life.still, reverse=True)
    assert len(life.rows) == 8


@pytest.mark.parametrize(("days", "words"), [(21, "21 days"), (98, "14 weeks"), (365, "12 months")])
def test_ages_are_said_in_the_unit_of_the_shop(days: float, words: str) -> None:
    assert age_words(days) == words


def test_a_span_is_said_in_one_unit() -> None:
    assert span_words(170, 548) == "6 to 18 months"
    assert span_words(91, 98) == "13 to 14 weeks"
    assert span_words(97, 98) == "14 weeks"

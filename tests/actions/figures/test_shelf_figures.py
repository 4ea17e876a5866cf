"""Prices, stock and deliveries: the sentence over each figure is true of what it stands over."""

from __future__ import annotations

from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.actions.desk.desk import Desk
from app.actions.figures.shelf_figures import because_of, deliveries_figure, stock_figure
from app.actions.shelf.stock_worth import dead_stock
from app.calculations.figures.charging import YearAgo
from app.records.queries.work_figures import Delivery
from tests.actions.figures.conftest import TODAY

NAMES = {1: "Iron remover", 2: "Wheel cleaner", 3: "Clay", 4: "Tape"}


def change(charged: int, *prices: int, use: int = 0) -> YearAgo:
    """A kind that is charged so much more, whose supplies are so much dearer, a job."""
    grown = sorted(enumerate(prices, 1), key=lambda one: (-one[1], one[0]))
    dearer = sum(prices)
    return YearAgo(charged - dearer - use, charged, dearer, use, tuple(grown))


def test_the_sentence_names_the_supplies_that_make_most_of_it() -> None:
    assert because_of(change(-200, 400, 200), NAMES, "USD") == (
        "6 of it is two supplies: Iron remover 4 and Wheel cleaner 2"
    )
    assert because_of(change(0, 600, 50), NAMES, "USD") == "6 of it is one supply: Iron remover 6"
    assert because_of(change(400, 900), NAMES, "USD") == "one supply costs 9 more: Iron remover 9"
    assert because_of(change(-900, 20), NAMES, "USD") == "9 less was charged a job"
    assert because_of(change(900, 20), NAMES, "USD") == "", "it leaves more: nothing to explain"


@given(
    st.integers(-5000, 5000), st.lists(st.integers(-3000, 3000), max_size=4),
    st.integers(-2000, 2000),
)  # fmt: skip
def test_what_is_said_to_be_of_it_is_no_more_than_it(
    charged: int, prices: list[int], use: int
) -> None:
    found = change(charged, *prices, use=use)
    said = because_of(found, NAMES, "JPY")  # no decimals: what is read is what was counted
    if " of it is " in said:
        part = int(said.partition(" ")[0].replace(",", ""))
        named = [int(word) for word in said.replace(",", "").split() if word.isdigit()][1:]
        assert sum(named) == part <= -found.left
        assert all(more > 0 for more in named)
        assert 10 * found.prices >= -found.left
    if "less was charged" in said:
        assert -2 * found.charged > -found.left > 0


def came(supplier: int, name: str, promised: int | None, *days: int) -> list[Delivery]:
    """Deliveries that took so many days, all of them in time."""
    return [Delivery(supplier, name, promised, at, one, True) for at, one in enumerate(days)]


@pytest.mark.parametrize(
    ("deliveries", "said"),
    [
        ([], "No order came in this time."),
        (came(1, "Depot", 2, 3, 3, 4), "3 deliveries: too few for a middle."),
        (came(1, "Depot", 3, 2, 3, 3, 3, 9), "The middle delivery keeps what was promised."),
        (came(1, "Depot", 2, 2, 3, 3, 3, 9), "Depot takes 1 day more than promised."),
        (came(1, "Depot", 1, 2, 2, 2, 3, 3, 3), "Depot takes 1.5 days more than promised."),
        (came(1, "Depot", None, 2, 3, 3, 3, 9), "Depot takes 3 days in the middle."),
    ],
)
def test_deliveries_are_held_to_what_was_promised(deliveries: list[Delivery], said: str) -> None:
    assert deliveries_figure(deliveries, []).spans.finding == said


def test_few_deliveries_stand_last_and_hollow_and_open_the_supplier() -> None:
    found = deliveries_figure(
        came(7, "Rare", 1, 30) + came(8, "Often", 9, 4, 4, 5, 5, 6), came(8, "Often", 9, 2)
    )
    often, rare = found.spans.bars
    assert (often.name, often.job_ids, often.few) == ("Often", (8,), False)
    assert (rare.name, rare.job_ids, rare.few) == ("Rare", (7,), True)
    assert found.spans.finding == "The middle delivery keeps what was promised."


def test_the_stock_adds_up_and_its_dead_part_is_what_the_shelf_calls_dead(demo: Desk) -> None:
    figure = stock_figure(demo, TODAY)
    worth = {row.name: int(row.cells[1] or 0) for row in figure.rows}
    dead = sum(one.value for one in dead_stock(demo, TODAY))
    assert worth.get("dead: idle, or past its life", 0) == dead
    said = "none of it dead" if not dead else "on the shelf is dead"
    assert said in figure.finding
    whole = sum(worth.values())
    assert sum(float(row.cells[2] or 0) for row in figure.rows) == pytest.approx(100)
    assert dict(figure.facts)["On the shelf"] == f"{whole / 100:,.2f}"
    assert all(row.ids for row in figure.rows)
    later = stock_figure(demo, TODAY + timedelta(days=200))
    idle = {row.name: int(row.cells[1] or 0) for row in later.rows}["dead: idle, or past its life"]
    assert idle > dead, "nothing is used after the book ends"

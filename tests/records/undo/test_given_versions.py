"""A given version stays; what the customer answers to it may come."""

from __future__ import annotations

from pathlib import Path

import pytest

from app.errors import Refused
from app.records.book import Book
from app.records.models import Estimate, EstimateCall, EstimateLine, HoldPoint
from tests.shop import TODAY, Clock, small_desk


@pytest.fixture
def book(tmp_path: Path) -> Book:
    desk, shop = small_desk(tmp_path / "shop.bayledger", Clock())
    with desk.book.load() as session:
        session.add(
            Estimate(
                id=1, job_id=next(iter(shop.jobs.values())), version=1, made_on=TODAY,
                at=Clock().now, state="given", given_on=TODAY,
            )
        )  # fmt: skip
        session.add(EstimateLine(id=1, estimate_id=1, position=1, text="Polish", likely=100))
        session.add(HoldPoint(id=1, estimate_id=1, position=1, text="Call first."))
    return desk.book


@pytest.mark.parametrize(
    ("model", "column", "value"),
    [(Estimate, "likely", 5), (EstimateLine, "likely", 5), (HoldPoint, "text", "Never.")],
)
def test_what_it_says_is_refused_to_change_or_go(
    book: Book, model: type, column: str, value: object
) -> None:
    with (
        book,
        pytest.raises(Refused, match="version instead"),
        book.change("Changed", day=TODAY) as session,
    ):
        setattr(session.get_one(model, 1), column, value)


def test_neither_comes_a_line_nor_goes_one(book: Book) -> None:
    with book:
        with pytest.raises(Refused), book.change("More", day=TODAY) as session:
            session.add(EstimateLine(estimate_id=1, position=2, text="Travel"))
        with pytest.raises(Refused), book.change("Less", day=TODAY) as session:
            session.delete(session.get_one(HoldPoint, 1))


def test_an_answer_a_yes_and_a_call_may_come(book: Book) -> None:
    with book, book.change("Answers", day=TODAY) as session:
        session.get_one(HoldPoint, 1).answer = "go on"
        session.get_one(Estimate, 1).state = "approved"
        session.add(EstimateCall(estimate_id=1, day=TODAY, at=Clock().now, said="yes", reached=5))

"""Estimates: the list until five jobs of a kind are closed, then the shop's own middle."""

from __future__ import annotations

from datetime import timedelta

import pytest

from app.actions.desk.desk import Desk
from app.actions.jobs.booking_jobs import NewJob, book_job
from app.actions.jobs.estimates import estimate, lines_of
from app.actions.jobs.job_card import job_card
from app.actions.jobs.services import add_service, edit_service
from app.actions.people.customers import add_customer
from app.records.models import Hours, Job, JobService
from app.records.queries import settings
from tests.shop import TODAY


@pytest.fixture
def desk(empty: Desk) -> Desk:
    """A new book."""
    return empty


@pytest.fixture
def polish(desk: Desk) -> int:
    service = add_service(desk, "One-step polish")[1]
    edit_service(desk, service, minutes="5:00", price="450")
    return service


def closed(desk: Desk, service: int, minutes: list[int], state: str = "confirmed") -> None:
    """Closed jobs of average condition on medium vehicles that took so many minutes."""
    with desk.book.load() as session:
        for at, taken in enumerate(minutes):
            job = Job(number=900 + at, state="done", done_on=TODAY - timedelta(days=at + 1))
            session.add(job)
            session.flush()
            session.add(JobService(job_id=job.id, service_id=service))
            session.add(
                Hours(day=TODAY - timedelta(days=at + 1), job_id=job.id, minutes=taken, state=state)
            )


def test_before_five_jobs_the_list_stands_with_a_guessed_span(desk: Desk, polish: int) -> None:
    closed(desk, polish, [600, 600, 600, 600])
    guess = estimate(desk, [(polish, 1)])
    assert (guess.minutes, guess.own, guess.n, guess.own_span) == (300, False, 0, None)
    assert guess.low < guess.minutes < guess.high
    assert "common practice" in guess.voice


def test_after_five_jobs_both_are_shown_and_a_setting_chooses(desk: Desk, polish: int) -> None:
    closed(desk, polish, [330, 360, 375, 390, 900])
    guess = estimate(desk, [(polish, 1)])
    assert guess.own_span is not None
    low, likely, high = guess.own_span
    # Between the list's 5 h and the median of the five, 6 h 15 min: five are drawn toward the list.
    assert 300 < likely <= 375
    assert low < likely < high
    assert (guess.low, guess.minutes, guess.high) == guess.own_span
    assert (guess.by_list, guess.own, guess.n) == (300, True, 5)
    assert "5 h" in guess.voice
    # The price is the list's; only its span follows the hours.
    assert guess.price == 45000
    with desk.book.load() as session:
        settings.write(session, {"hours_from": "list"})
    desk.reload()
    listed = estimate(desk, [(polish, 1)])
    assert (listed.minutes, listed.own, listed.own_span) == (300, False, guess.own_span)
    assert "as your setting has it" in listed.voice


def test_hours_that_nobody_confirmed_teach_nothing(desk: Desk, polish: int) -> None:
    closed(desk, polish, [600] * 8, state="expected")
    assert estimate(desk, [(polish, 1)]).minutes == 300


def test_what_medium_cars_took_is_scaled_to_a_large_one(desk: Desk, polish: int) -> None:
    closed(desk, polish, [360] * 40)
    # Common practice, no source: a large vehicle takes 1.2 times the hours outside. Of the shift
    # a small part is taken for the size's own, as no other size says otherwise.
    assert 400 <= estimate(desk, [(polish, 1)], "L").minutes <= 430


def test_two_layers_take_and_cost_twice(desk: Desk, polish: int) -> None:
    once, twice = (lines_of(desk, [(polish, layers)])[0] for layers in (1, 2))
    assert (twice.minutes, twice.price) == (2 * once.minutes, 2 * once.price)


def test_what_was_agreed_is_the_likely_price(desk: Desk, polish: int) -> None:
    guess = estimate(desk, [(polish, 1)], agreed=40000)
    assert guess.price == 40000
    assert guess.price_low < 40000 < guess.price_high


def test_nothing_sold_expects_nothing(desk: Desk) -> None:
    guess = estimate(desk, [])
    assert (guess.minutes, guess.price, guess.lines) == (0, 0, ())


def test_the_list_price_typed_is_the_price_charged(desk: Desk) -> None:
    """Only a price that is worked out, for another size, is rounded to whole units."""
    service = add_service(desk, "Ceramic, two years", minutes="6:00", price="1,549.50")[1]
    assert estimate(desk, [(service, 1)]).lines[0].price == 154_950
    assert estimate(desk, [(service, 2)]).lines[0].price == 309_900
    new = NewJob(customer_id=add_customer(desk, name="Ida Morrow")[1], services=((service, 1),))
    card = job_card(desk, book_job(desk, new)[1])
    assert [one.amount for one in card.money.charges] == [154_950]
    large = estimate(desk, [(service, 1)], "L", "L").lines[0].price
    assert large > 154_950
    assert large % 100 == 0

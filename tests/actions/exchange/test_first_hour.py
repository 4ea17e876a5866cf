"""A new book in three steps: how far each is, what passes one, and when they are over."""

from __future__ import annotations

from pathlib import Path

import pytest

from app.actions.day.closing import close_day
from app.actions.desk import undoing
from app.actions.desk.desk import Desk
from app.actions.exchange.bringing_in import bring_in, preview, read
from app.actions.exchange.first_hour import FirstHour, Sort, first_hour, pass_steps
from app.actions.jobs.booking_jobs import NewJob, book_job
from app.actions.jobs.services import add_service, edit_service
from app.actions.people.customers import add_customer
from tests.shop import SmallShop


def standing(desk: Desk) -> FirstHour:
    found = first_hour(desk)
    assert found is not None
    return found


def sort(found: FirstHour | None, name: str) -> Sort:
    assert found is not None
    return next(one for one in found.sorts if one.name == name)


@pytest.fixture
def people(tmp_path: Path) -> Path:
    path = tmp_path / "people.csv"
    path.write_text("Name,Phone\nAnn Marlow,555 0101\nBo Quell,555 0102\n", encoding="utf-8")
    return path


def test_an_empty_book_has_all_three_steps_before_it(empty: Desk) -> None:
    found = standing(empty)
    assert found.left == ("bring", "sell", "book")
    assert [found.result(step) for step in found.left] == [
        "no file yet", "no service yet", "0 of 1 booked",
    ]  # fmt: skip


def test_lines_that_were_looked_at_wait_until_they_are_brought_in(
    empty: Desk, people: Path
) -> None:
    plan = preview(empty, [read(empty, people)])
    waiting = sort(first_hour(empty, plan), "Customers")
    assert (waiting.read, waiting.brought, waiting.waits) == (2, 0, 2)
    assert waiting.files == ("people.csv",)
    bring_in(empty, plan)
    found = sort(standing(empty), "Customers")
    assert found.all_in
    assert (found.read, found.brought, found.files) == (2, 2, ("people.csv",))
    assert "bring" not in standing(empty).left


def test_the_same_file_brought_in_again_with_a_line_more_counts_once(
    empty: Desk, people: Path
) -> None:
    bring_in(empty, preview(empty, [read(empty, people)]))
    with people.open("a", encoding="utf-8") as file:
        file.write("Cy Tolk,555 0103\n")
    plan = preview(empty, [read(empty, people)])
    again = sort(first_hour(empty, plan), "Customers")
    assert (again.read, again.brought, again.waits) == (3, 2, 1)
    bring_in(empty, plan)
    assert sort(standing(empty), "Customers").brought == 3


def test_undoing_what_was_brought_in_takes_the_step_back_too(empty: Desk, people: Path) -> None:
    bring_in(empty, preview(empty, [read(empty, people)]))
    undoing.undo(empty)
    assert standing(empty).result("bring") == "no file yet"


def test_what_you_sell_is_said_when_every_service_has_a_time_and_a_price(empty: Desk) -> None:
    _changed, wash = add_service(empty, "Upkeep wash", minutes="1:30", price="90")
    add_service(empty, "Full interior")
    found = standing(empty)
    assert found.result("sell") == "1 of 2 services with time and price"
    assert found.share("sell") == 0.5
    assert "sell" in found.left
    edit_service(empty, wash + 1, minutes="3h", price="200")
    assert "sell" not in standing(empty).left


def test_a_passed_step_is_not_left_and_can_be_taken_up_again(empty: Desk) -> None:
    changed = pass_steps(empty, "bring")
    assert changed.name == "Passed: bring in what you have"
    assert standing(empty).left == ("sell", "book")
    assert standing(empty).result("bring") == "nothing to bring in"
    pass_steps(empty, "bring")
    assert standing(empty).left == ("bring", "sell", "book")


def test_the_first_booked_job_is_the_third_step(empty: Desk) -> None:
    _changed, tolk = add_customer(empty, name="Tolk")
    book_job(empty, NewJob(customer_id=tolk))
    assert standing(empty).result("book") == "1 of 1 booked"


def test_the_steps_are_over_with_the_first_closed_day(desk: Desk, shop: SmallShop) -> None:
    assert first_hour(desk) is not None
    close_day(desk, desk.today)
    assert first_hour(desk) is None


def test_past_jobs_that_were_brought_in_are_not_the_first_booking(
    empty: Desk, tmp_path: Path
) -> None:
    past = tmp_path / "past.csv"
    past.write_text(
        "Date,Customer,Service,Total\n2025-03-04,Ann Marlow,Upkeep wash,90.00\n",
        encoding="utf-8",
    )
    bring_in(empty, preview(empty, [read(empty, past)]))
    assert sort(standing(empty), "Past jobs").brought == 1
    assert "book" in standing(empty).left

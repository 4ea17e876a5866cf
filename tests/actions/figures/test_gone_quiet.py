"""Who is in the list of the quiet, and who never is."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from app.actions.desk.desk import Desk
from app.actions.figures import charging, gone_quiet
from app.calculations.figures import charging as pure
from app.calculations.figures import rhythms
from app.records.models import Customer, Job
from tests import ROOT
from tests.actions.figures.conftest import TODAY as DEMO_DAY
from tests.shop import TODAY, SmallShop, small_desk

EVERY = 30  # days


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[tuple[Desk, SmallShop]]:
    """Both customers came every month, the last time half a year ago; nobody is booked."""
    desk, shop = small_desk(tmp_path / "shop.bayledger")
    with desk.book.load() as session:
        for job in session.query(Job):
            job.state = "cancelled"
        number = 900
        for customer in shop.customers.values():
            for back in range(5):
                number += 1
                day = TODAY - timedelta(days=180 + EVERY * back)
                session.add(
                    Job(number=number, customer_id=customer, state="done", done_on=day,
                        first_day=day, last_day=day)
                )  # fmt: skip
    yield desk, shop
    desk.book.close()


def names(found: gone_quiet.GoneQuiet) -> set[str]:
    return {one.name for one in (*found.past, *found.long, *found.few)}


def test_who_came_monthly_and_not_for_half_a_year_is_in_it_with_why(
    desk: tuple[Desk, SmallShop],
) -> None:
    found = gone_quiet.gone_quiet(desk[0], TODAY)
    assert names(found) == {"Mara Tolk", "Jonas Quell"}
    assert found.finding.startswith("Two customers are past their own rhythm")
    one = found.long[0]
    assert one.rhythm.visits == 5
    assert one.why.startswith("Came about every 30 days, four times in five after")
    assert one.why.endswith("; now 26 weeks.")
    assert not names(gone_quiet.gone_quiet(desk[0], TODAY - timedelta(days=160))), "in time then"


def test_where_nobody_at_all_came_the_page_says_that_the_shop_rested(
    desk: tuple[Desk, SmallShop],
) -> None:
    """The shop, not its customers, stayed away: until a job of anybody is done."""
    found = gone_quiet.gone_quiet(desk[0], TODAY)
    last = TODAY - timedelta(days=180)
    words = f"{last.day} {last:%B}"
    assert found.finding == (f"Two customers are past their own rhythm; nobody came since {words}.")
    assert found.left_out[0].startswith(f"No job was done since {words} {last.year}.")
    day = TODAY - timedelta(days=gone_quiet.REST)
    with desk[0].book.load() as session:
        session.add(Job(number=990, state="done", done_on=day, first_day=day, last_day=day))
    found = gone_quiet.gone_quiet(desk[0], TODAY)
    assert found.finding == "Two customers are past their own rhythm."
    assert not found.left_out


@pytest.mark.parametrize(
    ("column", "value"),
    [("deceased", True), ("stopped_on", TODAY), ("may_remind", False), ("archived_on", TODAY)],
)
def test_the_dead_and_those_who_said_stop_are_never_in_it(
    desk: tuple[Desk, SmallShop], column: str, value: object
) -> None:
    with desk[0].book.load() as session:
        setattr(session.get_one(Customer, desk[1].customers["tolk"]), column, value)
    found = gone_quiet.gone_quiet(desk[0], TODAY)
    assert names(found) == {"Jonas Quell"}
    assert not found.out, "nor are they counted"


def test_nor_is_anyone_of_a_household_that_said_stop_or_who_is_booked(
    desk: tuple[Desk, SmallShop],
) -> None:
    book, shop = desk[0].book, desk[1]
    with book.load() as session:
        session.add(Customer(name="Ida Tolk", household="tolk", stopped_on=TODAY))
        day = TODAY + timedelta(days=3)
        session.add(
            Job(number=990, customer_id=shop.customers["quell"], state="booked", first_day=day,
                last_day=day)
        )  # fmt: skip
    found = gone_quiet.gone_quiet(desk[0], TODAY)
    assert not names(found)
    assert sum(found.out.values()) == 2
    assert found.left_out[-1].startswith("Past theirs and not listed: one ")
    assert " one is booked" in found.left_out[-1]
    assert "asked to be left alone" in " ".join(found.left_out)


def test_few_visits_are_a_guess_and_say_so(desk: tuple[Desk, SmallShop]) -> None:
    with desk[0].book.load() as session:
        mara = desk[1].customers["tolk"]
        first = session.query(Job).filter(Job.customer_id == mara, Job.state == "done")
        for job in first.order_by(Job.done_on).limit(3):
            job.state = "cancelled"
    found = gone_quiet.gone_quiet(desk[0], TODAY)
    assert [one.name for one in found.few] == ["Mara Tolk"]
    assert found.few[0].why.endswith("Too few for a rhythm.")
    assert found.finding.startswith("One customer is past their own rhythm")


def test_a_letter_is_offered_only_where_one_is_due(demo: Desk) -> None:
    """On the demo, against the day's own letters and manners."""
    from app.actions.letters.choosing import household_facts
    from app.actions.letters.reminders import whom_to_remind

    found = gone_quiet.gone_quiet(demo, DEMO_DAY)
    due = {letter.key for letter in whom_to_remind(demo, DEMO_DAY).letters}
    for one in (*found.past, *found.long, *found.few):
        assert one.household == household_facts(demo, DEMO_DAY, one.customer_id).household
        assert one.letter == (one.household in due)
        assert one.may_write.startswith(
            "A letter" if one.letter else "No letter now" if one.against else "The manners"
        )


def test_the_page_of_definitions_says_what_the_code_does() -> None:
    page = (ROOT / "docs/figures.md").read_text(encoding="utf-8")
    numbers = ("two", "three", "four", "five")
    assert f"that chance is below {rhythms.QUIET:.0%}".replace("%", " %") in page
    assert f"fewer than {numbers[rhythms.ENOUGH - 2]} gaps" in page
    assert f"a spread of {rhythms.SPREAD} until gaps" in page
    assert f"the weight of {numbers[int(rhythms.USUAL_WEIGHS) - 2]}, {rhythms.BETWEEN}" in page
    assert gone_quiet.LONG == 2
    assert "away more than twice the far end" in page
    assert f"fewer than {numbers[pure.ENOUGH - 2]} jobs" in page
    assert f"the last {charging.DAYS} days" in page
    assert charging.OF_LIFE == 0.75
    assert "within\nthree quarters of its shelf life" in page

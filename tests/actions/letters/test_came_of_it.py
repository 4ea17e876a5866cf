"""What came of the reminders, from the book: the answers, the visits, the money, the lives."""

from __future__ import annotations

from datetime import timedelta

import pytest

from app.actions.desk.desk import Desk
from app.actions.letters.came_of_it import came_of_it
from app.records.models import Charge, Job, Reminder
from tests.shop import TODAY, SmallShop


@pytest.fixture
def written(desk: Desk, shop: SmallShop) -> Desk:
    """Tolk was reminded forty days ago and booked ten days later; Quell asked to stop."""
    sent = TODAY - timedelta(days=40)
    with desk.book.load() as session:
        for job in session.query(Job):
            job.state, job.booked_on = "cancelled", None
        for customer, answer in (("tolk", ""), ("quell", "stop")):
            session.add(
                Reminder(
                    customer_id=shop.customers[customer],
                    day=sent,
                    sent_on=sent,
                    channel="mail",
                    state="answered" if answer else "sent",
                    answer=answer,
                    uid=f"reminder-{customer}",
                )
            )
        job = Job(
            number=900,
            customer_id=shop.customers["tolk"],
            vehicle_id=shop.vehicles["wagon"],
            state="done",
            booked_on=sent + timedelta(days=10),
            first_day=sent + timedelta(days=20),
            done_on=sent + timedelta(days=20),
        )
        session.add(job)
        session.flush()
        session.add(Charge(job_id=job.id, position=0, text="Wash", amount=12_500))
    return desk


def test_each_figure_has_what_is_behind_it(written: Desk, shop: SmallShop) -> None:
    view = came_of_it(written, TODAY)
    figures = {figure.label: figure for figure in view.figures}
    assert figures["delivered"].value == "2 of 2"
    booked = figures["booked within 45 days"]
    assert [item.text for item in booked.items] == ["Mara Tolk"]
    assert booked.items[0].item == shop.customers["tolk"]
    earned = figures["earned on their jobs"]
    assert "125.00" in earned.value
    assert [item.text for item in earned.items] == ["Job 0900, Mara Tolk"]
    assert figures["asked to stop"].look, "one of two is far above three in a hundred"
    assert "1 of 2 that arrived brought a visit" in view.voice[1]


def test_a_time_without_reminders_says_so(written: Desk) -> None:
    view = came_of_it(written, TODAY, days=30)
    assert view.voice[1] == "No reminder was sent in this time."
    assert [figure.value for figure in view.figures[1:7]] == ["0"] * 6

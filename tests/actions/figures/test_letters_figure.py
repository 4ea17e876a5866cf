"""What letters brought, as steps from sent to earned."""

from __future__ import annotations

from datetime import timedelta

from app.actions.desk.desk import Desk
from app.actions.figures.letters_figure import letters_figure
from app.records.models import Charge, Job, Reminder
from tests.shop import TODAY, SmallShop

SENT = TODAY - timedelta(days=40)


def write(desk: Desk, shop: SmallShop) -> None:
    """Tolk had two letters and booked after the second; Quell asked to stop."""
    with desk.book.load() as session:
        for job in session.query(Job):
            job.state, job.booked_on = "cancelled", None
        for at, (customer, days, answer) in enumerate(
            (("tolk", -20, ""), ("tolk", 0, ""), ("quell", 0, "stop"))
        ):
            day = SENT + timedelta(days=days)
            state = "answered" if answer else "sent"
            session.add(Reminder(customer_id=shop.customers[customer], day=day, sent_on=day,
                                 channel="mail", state=state, answer=answer,
                                 uid=f"r{at}"))  # fmt: skip
        day = SENT + timedelta(days=10)
        job = Job(number=900, customer_id=shop.customers["tolk"], state="done", booked_on=day,
                  first_day=day, done_on=day)  # fmt: skip
        session.add(job)
        session.flush()
        session.add(Charge(job_id=job.id, position=0, text="Wash", amount=12_500))


def test_each_step_holds_those_that_came_so_far_and_what_became_of_the_others(
    desk: Desk, shop: SmallShop
) -> None:
    write(desk, shop)
    shown = letters_figure(desk, SENT - timedelta(days=30), TODAY)
    assert [(one.name, one.count, one.lost) for one in shown.steps] == [
        ("sent", 3, ((1, "silent"),)),
        ("answered", 2, ((1, "stop"),)),
        ("booked", 1, ()),
        ("done", 1, ()),
    ]
    assert shown.steps[2].customers == (shop.customers["tolk"],)
    assert shown.earned == 12_500
    assert shown.finding == "3 letters brought 1 booking."


def test_a_visit_that_a_letter_after_the_period_brought_is_not_an_earlier_one_s_doing(
    desk: Desk, shop: SmallShop
) -> None:
    write(desk, shop)
    shown = letters_figure(desk, SENT - timedelta(days=30), SENT - timedelta(days=1))
    assert [one.count for one in shown.steps] == [1, 0, 0, 0]
    assert letters_figure(desk, TODAY, TODAY).finding == "No letter was sent in this time."


def test_a_letter_that_may_still_be_answered_is_not_called_silent(
    desk: Desk, shop: SmallShop
) -> None:
    day = TODAY - timedelta(days=3)
    with desk.book.load() as session:
        session.add(Reminder(customer_id=shop.customers["tolk"], day=day, sent_on=day,
                             channel="mail", state="sent", answer="", uid="r9"))  # fmt: skip
    shown = letters_figure(desk, day, TODAY)
    assert shown.steps[0].lost == ((1, "no answer yet"),)
    assert shown.finding == "1 letter brought no booking yet."

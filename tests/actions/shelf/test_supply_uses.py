"""Uses of a supply by the kind of job, and how long its deliveries took."""

from __future__ import annotations

from datetime import timedelta

from app.actions.day.closing import close_day
from app.actions.day.supplies_used import set_use
from app.actions.orders.receiving import mark_order_sent, receive
from app.actions.orders.supplier_page import lead_sentence
from app.actions.plan.learnt_uses import corrections
from app.actions.shelf.supply_uses import days_taken, supply_leads, supply_uses
from tests.actions.orders.test_ordering import ordered
from tests.shop import TODAY


def test_uses_stand_by_service_and_size_with_the_middle_the_span_and_of_how_many(desk, shop):
    wheel = shop.supplies["wheel"]
    set_use(desk, TODAY, shop.jobs["0411"], wheel, "200 ml")
    close_day(desk, TODAY)
    (kind,) = supply_uses(desk, wheel).kinds
    (line,) = kind.lines
    assert (line.use.quantity, line.use.state) == (200_000, "confirmed")
    assert line.use.job_id == shop.jobs["0411"]
    # What it shows is what the next such job is filled in with.
    recipe = round(kind.recipe * 1000)
    with desk.book.reading() as session:
        from app.records.models import JobService

        service = session.query(JobService).filter_by(job_id=shop.jobs["0411"]).first().service_id
    size = kind.title.rsplit(", ")[-1]
    expected = corrections(desk).expect(wheel, service, size, recipe)
    assert (round(kind.middle * 1000), round(kind.low * 1000), round(kind.high * 1000)) == (
        expected.amount, expected.low, expected.high,
    )  # fmt: skip
    assert kind.n == 1
    assert "four in five use" in kind.note
    assert "from one confirmed job" in kind.note


def test_what_was_booked_from_the_recipe_stands_there_and_teaches_nothing(desk, shop):
    wheel = shop.supplies["wheel"]
    close_day(desk, TODAY)
    (kind,) = supply_uses(desk, wheel).kinds
    assert kind.n == 0
    assert kind.lines[0].use.state == "recipe"
    assert "none was confirmed yet" in kind.note


def test_each_delivery_has_its_days_and_a_part_has_its_own(desk, shop):
    wheel = shop.supplies["wheel"]
    order_id, lines = ordered(desk, shop, ("wheel", 2))
    mark_order_sent(desk, TODAY, order_id)
    for days, packs in ((4, 1), (11, 1)):
        day = TODAY + timedelta(days=days)
        desk.clock.go_to(day)
        receive(desk, day, order_id, {lines[wheel]: packs})
    found = supply_leads(desk, wheel)
    assert [days_taken(one) for one in found.lines] == [11, 4]
    assert found.lines[0].quantity == 5_000_000
    assert found.leads.n == 2
    assert "two deliveries" in lead_sentence(found.leads)
    desk.book.undo(today=desk.today)
    assert [days_taken(one) for one in supply_leads(desk, wheel).lines] == [4]

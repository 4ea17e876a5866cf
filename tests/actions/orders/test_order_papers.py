"""An order on paper and in a mail draft; damaged packs, and when the rest comes."""

from __future__ import annotations

from datetime import timedelta
from email import policy
from email.parser import BytesParser

import pytest

from app.actions.desk.papers import file_name, papers_folder
from app.actions.orders.deliveries import (
    LineTyped,
    due_orders,
    price_question,
    read_delivery,
    still_due,
)
from app.actions.orders.order_papers import order_draft, order_files, order_mail
from app.actions.orders.receiving import cancel_order, expect_rest, receive, rest_will_not_come
from app.actions.shop.shop_settings import change_settings
from app.actions.stock.stock import on_hand
from app.errors import Mendable
from app.records.contents import contents
from app.records.models import Pack, Supplier
from tests.actions.orders.test_ordering import ordered
from tests.shop import TODAY


def test_the_draft_goes_to_the_supplier_with_the_sheets_and_is_not_sent(desk, shop, tmp_path):
    order_id, _ = ordered(desk, shop, ("soap", 2))
    path = order_draft(desk, order_id, tmp_path)
    mail = BytesParser(policy=policy.default).parsebytes(path.read_bytes())
    assert mail["To"] == "Tuesday van <orders@van.example>"
    assert mail["X-Unsent"] == "1"
    assert mail["Subject"].startswith("Order 0001")
    assert "2 x 1 L  Wash soap" in mail.get_body().get_content()
    names = [part.get_filename() for part in mail.iter_attachments()]
    assert names == ["order 0001 Tuesday van.xlsx", "order 0001 Tuesday van.pdf"]
    assert mail["From"] is None, "the shop has no mail address yet; the mail program knows one"


def test_a_supplier_without_a_mail_address_still_gets_a_draft(desk, shop, tmp_path):
    with desk.book.load() as session:
        session.get_one(Supplier, shop.suppliers["van"]).email = ""
    order_id, _ = ordered(desk, shop, ("soap", 1))
    mail = BytesParser(policy=policy.default).parsebytes(
        order_draft(desk, order_id, tmp_path).read_bytes()
    )
    assert mail["To"] is None


def test_papers_lie_in_a_folder_beside_the_book(desk):
    folder = papers_folder(desk, "orders")
    assert folder == desk.book.path.parent / "shop papers" / "orders"
    assert folder.is_dir()


@pytest.mark.parametrize(
    ("text", "name"),
    [("Brell & Sons / East", "Brell Sons East"), ("..\\..\\x", "x"), ("***", "paper")],
)
def test_no_name_leads_out_of_the_folder(text, name):
    assert file_name(text) == name


def test_the_codes_of_packs_stand_in_the_text(desk, shop, tmp_path):
    with desk.book.load() as session:
        session.get_one(Pack, shop.packs["soap"]).code = "WS-1"
    order_id, _ = ordered(desk, shop, ("soap", 2))
    assert "2 x 1 L  Wash soap  (WS-1)" in order_mail(desk, order_id)
    copied = order_files(desk, order_id, tmp_path)[2].read_text()
    assert copied.startswith("To: Tuesday van, orders@van.example\nSubject: Order 0001")


def test_the_words_of_an_order_greet_its_supplier_and_say_where_an_answer_goes(desk, shop):
    change_settings(desk, shop_name="Lindmoor Finish", shop_email="desk@lindmoor.example")
    change_settings(desk, shop_address="4 Mill Lane", shop_phone="+13125550187")
    with desk.book.load() as session:
        session.get_one(Supplier, shop.suppliers["van"]).account_no = "C-118"
    order_id, _ = ordered(desk, shop, ("soap", 2))
    lines = order_mail(desk, order_id).splitlines()
    assert lines[0] == "Hello Tuesday van,"
    assert "Please send us, as our order 0001 of 14 August 2025, account C-118:" in lines
    assert lines[-3:] == [
        "Lindmoor Finish",
        "4 Mill Lane",
        "(312) 555-0187, desk@lindmoor.example",
    ]


def test_damaged_packs_stay_due_and_are_noted(desk, shop):
    wheel = shop.supplies["wheel"]
    before = on_hand(desk, wheel)
    order_id, lines = ordered(desk, shop, ("wheel", 3))
    done = receive(desk, TODAY, order_id, {lines[wheel]: 2}, damaged={lines[wheel]: 1})
    assert "1 x 5 L of Wheel cleaner came damaged: still due." in done.sentence
    assert on_hand(desk, wheel) == before + 5_000_000
    (order,) = due_orders(desk, TODAY)
    assert still_due(order.row.lines[0]) == 2
    assert order.note == "1 x 5 L of Wheel cleaner came damaged 14 August 2025."
    whole = contents(desk.book)
    rest_will_not_come(desk, TODAY, order_id)
    assert due_orders(desk, TODAY) == ()
    desk.book.undo(today=TODAY)
    assert contents(desk.book) == whole


def test_a_delivery_all_of_which_is_damaged_brings_nothing(desk, shop):
    wheel = shop.supplies["wheel"]
    before = on_hand(desk, wheel)
    order_id, lines = ordered(desk, shop, ("wheel", 1))
    receive(desk, TODAY, order_id, {lines[wheel]: 1}, damaged={lines[wheel]: 1})
    assert on_hand(desk, wheel) == before
    (order,) = due_orders(desk, TODAY)
    assert (order.row.state, still_due(order.row.lines[0])) == ("part", 1)


def test_more_damaged_than_came_is_refused(desk, shop):
    order_id, lines = ordered(desk, shop, ("wheel", 1))
    with pytest.raises(Mendable, match="cannot be damaged where 1 came"):
        receive(desk, TODAY, order_id, {lines[shop.supplies["wheel"]]: 1},
                damaged={lines[shop.supplies["wheel"]]: 2})  # fmt: skip
    with pytest.raises(Mendable, match="cannot be damaged where 0 came"):
        read_delivery(desk, {1: LineTyped("0", "1")})


def test_the_rest_comes_on_a_day_that_is_typed(desk, shop):
    order_id, lines = ordered(desk, shop, ("wheel", 2))
    receive(desk, TODAY, order_id, {lines[shop.supplies["wheel"]]: 1})
    done = expect_rest(desk, TODAY, order_id, "wed")
    assert done.name == "The rest of order 0001 comes 20 August"
    (order,) = due_orders(desk, TODAY)
    assert order.row.expected_on == TODAY + timedelta(days=6)
    with pytest.raises(Mendable, match="is past"):
        expect_rest(desk, TODAY + timedelta(days=9), order_id, "2025-08-15")
    desk.book.undo(today=TODAY)
    assert due_orders(desk, TODAY)[0].row.expected_on != TODAY + timedelta(days=6)


def test_nothing_is_expected_of_a_cancelled_order(desk, shop):
    order_id, _ = ordered(desk, shop, ("wheel", 1))
    cancel_order(desk, TODAY, order_id)
    with pytest.raises(Mendable, match="nothing is due"):
        expect_rest(desk, TODAY, order_id, "tue")


def test_another_price_is_asked_about(desk, shop):
    ordered(desk, shop, ("wheel", 1))
    line = due_orders(desk, TODAY)[0].row.lines[0]
    assert price_question(desk, line, LineTyped("1", price="38.00")) == ""
    asked = price_question(desk, line, LineTyped("1", price="39.50"))
    assert asked.startswith("Wheel cleaner, 5 L: 39.50 instead of 38.00.")

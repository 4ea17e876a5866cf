"""A letter lies for days or months before it goes: its words are those of the day on which it goes.

The mail server is a real one on this machine (aiosmtpd).
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

import pytest

from app.actions.desk.desk import Desk
from app.actions.desk.undoing import undo
from app.actions.letters.reminder_files import draft_files
from app.actions.letters.reminders import (
    change_text,
    mark_sent,
    prepare,
    prepare_all,
    whom_to_remind,
)
from app.actions.letters.sending import send
from app.actions.people import customers, vehicles
from app.errors import Mendable
from app.records.models import Reminder
from app.records.queries import settings as setting_queries
from tests.mailserver import Box, serving
from tests.shop import Clock, new_desk
from tests.waxed import waxed

DAY = date(2025, 11, 14)
NEXT_YEAR = date(2026, 2, 3)


@pytest.fixture
def clock() -> Clock:
    found = Clock()
    found.go_to(DAY)
    return found


@pytest.fixture
def desk(tmp_path: Path, clock: Clock) -> Iterator[Desk]:
    found = new_desk(tmp_path / "shop.bayledger", clock, shop_email="shop@lindmoor.example")
    with found.book.load() as session:
        waxed(session, 1, DAY, may_remind=True)
    yield found
    found.book.close()


def written(desk: Desk) -> int:
    _, (number,) = prepare_all(desk, DAY)
    return number


def kept(desk: Desk, number: int) -> Reminder:
    with desk.book.reading() as session:
        return session.get_one(Reminder, number)


def text_of_draft(desk: Desk, number: int, out: Path) -> str:
    files = draft_files(desk, DAY, [number], out).files
    return next(path for path in files if path.suffix == ".txt").read_text(encoding="utf-8")


def test_a_letter_that_lay_over_new_year_names_the_year_of_the_work(
    desk: Desk, clock: Clock, tmp_path: Path
) -> None:
    number = written(desk)
    assert "In September we put" in kept(desk, number).text
    clock.go_to(NEXT_YEAR)
    text = text_of_draft(desk, number, tmp_path / "out")
    assert "In September 2025 we put" in text
    assert "In September we put" not in text
    (shown,) = whom_to_remind(desk, NEXT_YEAR).letters
    assert "In September 2025 we put" in shown.text


def test_a_name_and_a_vehicle_that_were_mended_meanwhile_are_told_as_they_are(
    desk: Desk, tmp_path: Path
) -> None:
    number = written(desk)
    customers.edit_customer(desk, 1, name="Ida Lund")
    vehicles.edit_vehicle(desk, 1, description="red coupe")
    text = text_of_draft(desk, number, tmp_path / "out")
    assert "Hello Ida Lund" in text
    assert "Owner 1" not in text
    assert "blue wagon" not in text
    mark_sent(desk, DAY, [number])
    assert "red coupe" in kept(desk, number).subject, "the book keeps what went"


def test_a_mail_goes_in_the_words_of_the_day_and_they_are_kept(desk: Desk, clock: Clock) -> None:
    number = written(desk)
    clock.go_to(NEXT_YEAR)
    box = Box()
    with serving(box) as server:
        values = {"mail_host": server.host, "mail_port": server.port, "mail_security": "none"}
        with desk.book.change("Set the mail server", kinds=["settings"]) as session:
            setting_queries.write(session, values)
        desk.reload()
        send(desk, DAY, [number])
    assert b"In September 2025 we put" in box.taken[0]
    assert "In September 2025 we put" in kept(desk, number).text
    assert kept(desk, number).sent_on == NEXT_YEAR


@pytest.mark.parametrize("when", ["in writing it", "afterwards"])
def test_what_a_person_typed_goes_as_it_was_typed(
    desk: Desk, clock: Clock, tmp_path: Path, when: str
) -> None:
    words = "Dear Ida, come by on Monday."
    if when == "in writing it":
        (letter,) = whom_to_remind(desk, DAY).letters
        _, number = prepare(desk, DAY, letter, text=words)
    else:
        number = written(desk)
        change_text(desk, DAY, number, subject="Monday", text=words)
    clock.go_to(DAY + timedelta(days=20))
    customers.edit_customer(desk, 1, name="Ida Lund")
    assert words in text_of_draft(desk, number, tmp_path / "out")


def test_another_way_leaves_the_words_to_the_day(desk: Desk, tmp_path: Path) -> None:
    number = written(desk)
    customers.edit_customer(desk, 1, phone="+13125550101")
    change_text(desk, DAY, number, channel="phone")
    customers.edit_customer(desk, 1, name="Ida Lund")
    assert "Hello Ida Lund" in text_of_draft(desk, number, tmp_path / "out")


def test_a_letter_without_words_is_refused(desk: Desk) -> None:
    number = written(desk)
    with pytest.raises(Mendable, match="without words"):
        change_text(desk, DAY, number, text=" \n")
    assert "Hello" in kept(desk, number).text


def test_words_that_were_typed_and_undone_are_the_books_own_again(
    desk: Desk, tmp_path: Path
) -> None:
    number = written(desk)
    change_text(desk, DAY, number, subject="Monday", text="Come by on Monday.")
    undo(desk)
    customers.edit_customer(desk, 1, name="Ida Lund")
    assert "Hello Ida Lund" in text_of_draft(desk, number, tmp_path / "out")

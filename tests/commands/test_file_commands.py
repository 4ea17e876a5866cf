"""Erasing a customer by a command: said first, done with --yes."""

from __future__ import annotations

from pathlib import Path

import pytest

from app.__main__ import main
from app.actions.desk.desk import Desk
from app.actions.people.customers import add_customer
from app.actions.shop.shop_settings import change_settings
from app.commands.saying import DONE, MENDABLE
from app.records.book import Book
from app.records.models import Customer


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """A book with two people, and a second place of backups."""
    with Book.create(tmp_path / "shop.bayledger") as made:
        desk = Desk(made)
        add_customer(desk, name="Orla Nightjar")
        add_customer(desk, name="Bram Tolk")
        (tmp_path / "stick").mkdir()
        change_settings(desk, backup_folder=str(tmp_path / "stick"))
    return made.path


def people(path: Path) -> list[str]:
    with Book.open(path, write=False) as book, book.reading() as session:
        return [one.name for one in session.query(Customer).order_by(Customer.id)]


def test_what_erasing_takes_away_is_said_and_nothing_is_done(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["backup", str(book)]) == DONE
    assert main(["erase", str(book), "Orla"]) == MENDABLE
    said = capsys.readouterr()
    assert "This goes for good: Name, household" in said.out
    assert f"1 backup in the second place, {book.parent / 'stick'}" in said.out
    assert said.err == "Add --yes to erase customer 1; nothing was changed.\n"
    assert people(book) == ["Orla Nightjar", "Bram Tolk"]


def test_a_second_place_that_is_not_there_is_named_all_the_same(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (book.parent / "stick").rmdir()
    assert main(["erase", str(book), "Orla"]) == MENDABLE
    assert f"the backups in the second place, {book.parent / 'stick'}" in capsys.readouterr().out


def test_a_customer_is_erased_with_a_yes_also_from_the_files_bytes(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["erase", str(book), "1", "--yes"]) == DONE
    assert "Nightjar" not in " ".join(people(book))
    assert b"Nightjar" not in book.read_bytes()
    assert "stands there now" in capsys.readouterr().out
    assert main(["check", str(book)]) == DONE


def test_the_plan_goes_out_as_a_calendar_and_as_a_week_on_paper(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = book.parent
    assert main(["calendar", str(book), str(folder / "jobs.ics"), "--without-holds"]) == DONE
    assert (folder / "jobs.ics").read_bytes().startswith(b"BEGIN:VCALENDAR")
    assert main(["week", str(book), str(folder / "week.pdf"), "--date", "2027-03-01"]) == DONE
    assert (folder / "week.pdf").read_bytes().startswith(b"%PDF")
    assert main(["calendar", str(book), str(folder / "jobs.txt")]) == MENDABLE
    assert "ends in .ics" in capsys.readouterr().err

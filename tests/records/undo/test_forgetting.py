"""Images too old for anyone to undo are dropped; the actions stay named."""

from __future__ import annotations

from pathlib import Path

import pytest
from sqlalchemy import func, select

from app.records.book import Book
from app.records.contents import contents
from app.records.models import Image
from app.records.undo import forgetting
from tests.records.shop import MONDAY, add_customer


def test_the_last_actions_can_be_undone_and_no_others(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(forgetting.forget_images, "__defaults__", (3,))
    with Book.open(path) as book:
        for number in range(5):
            add_customer(book, f"customer {number}")
        before = contents(book)
        assert len(book.history()) == 6
    with Book.open(path) as book:
        assert contents(book) == before
        assert [one.name for one in book.history()][-1] == "Found the shop"
        with book.reading() as session:
            assert session.scalar(select(func.count()).select_from(Image)) == 3
        undone = []
        while book.next_undo() is not None:
            undone.append(book.undo(today=MONDAY).name)
        assert undone == ["Add customer 4", "Add customer 3", "Add customer 2"]
        assert book.check() == []


def test_a_usual_year_is_kept(path: Path) -> None:
    with Book.open(path) as book:
        add_customer(book, "Bram")
    with Book.open(path) as book:
        assert book.next_undo() == "Add Bram"
        book.undo(today=MONDAY)
        assert book.next_undo() == "Found the shop"

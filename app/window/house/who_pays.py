"""Who pays for a job or a customer: chosen from the customers by their names."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from app.actions.desk.desk import Changed, Desk
from app.actions.people.customers import list_customers
from app.window.house.acting import on_book
from app.window.house.office import Office
from app.window.paper.finder import FoundLine

OFFERED = 8


def payers_to_choose(
    office: Office, put: Callable[[Desk, int | None], Changed], nobody: str
) -> Callable[[str], list[FoundLine]]:
    """What finds customers by what is typed and puts one as who pays; `nobody` says who pays where
    none is chosen."""

    def line(words: str, detail: str, customer: int | None) -> FoundLine:
        return FoundLine("Who pays", words, detail, partial(on_book, office, put, customer))

    def look_up(text: str) -> list[FoundLine]:
        if not text.strip():
            return [line(nobody, "", None)]
        rows, _ = list_customers(office.desk, text, OFFERED)
        return [line(row.name, row.city, row.id) for row in rows]

    return look_up

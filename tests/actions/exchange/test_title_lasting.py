"""How long a title says that its layer lasts: kept with the supply, or asked about."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from app.actions.desk.desk import Desk
from app.actions.exchange.bringing_in import bring_in, preview, read
from app.actions.exchange.preview_lines import Choices, Preview
from app.actions.letters.reminders import whom_to_remind
from app.records.queries import everything
from tests.shop import TODAY

JOBS = "Date,Customer,Email,Vehicle,Plate,Services,Total,Status\n"
SHELF = "Supply,Kind,Pack,Protection class,Lasts\n"


@pytest.fixture
def desk(empty: Desk) -> Desk:
    """A new book."""
    return empty


def look(desk: Desk, folder: Path, jobs: str, shelf: str = "") -> Preview:
    paths = []
    for name, text in (("shelf", shelf and SHELF + shelf), ("jobs", JOBS + jobs)):
        if text:
            paths.append(folder / f"{name}.csv")
            paths[-1].write_text(text, encoding="utf-8")
    tables = [read(desk, path) for path in paths]
    return preview(desk, tables, choices=Choices(accepts=True))


def job(title: str, who: str, day: str = "2/3/2025") -> str:
    return f'{day},{who},{who[:3]}@tarn.example,grey van of {who},,"{title}",100,done\n'


def supplies(desk: Desk) -> dict[str, dict[str, Any]]:
    with desk.book.reading() as session:
        return {row["name"]: row for row in everything.rows(session, "supplies")}


def test_a_sealant_of_a_year_is_not_reminded_of_after_half_a_year(
    desk: Desk, tmp_path: Path
) -> None:
    jobs = job("Sealant", "Ann Marlow") + job("12 mo sealant", "Bob Hill")
    bring_in(desk, look(desk, tmp_path, jobs))
    made = supplies(desk)
    assert {name: row["life_high_days"] for name, row in made.items()} == {
        "Synthetic sealant": None,
        "Synthetic sealant 1 year": 365,
    }
    letters = whom_to_remind(desk, TODAY).letters
    assert [letter.name for letter in letters] == ["Ann Marlow"]
    assert desk.book.check() == []


@pytest.mark.parametrize("first", ["Sealant", "12 mo sealant"])
def test_in_which_order_they_come_does_not_matter(desk: Desk, tmp_path: Path, first: str) -> None:
    for title in (first, "Sealant", "12 mo sealant"):
        bring_in(desk, look(desk, tmp_path, job(title, f"Zoe {title}")))
    assert set(supplies(desk)) == {"Synthetic sealant", "Synthetic sealant 1 year"}


def test_the_supply_on_the_shelf_is_meant_where_its_label_lasts_so_long(
    desk: Desk, tmp_path: Path
) -> None:
    shelf = (
        "Clear six,liquid,500 ml,synthetic sealant,6 months\n"
        "Clear twelve,liquid,500 ml,synthetic sealant,12 months\n"
    )
    jobs = job("6 month sealant", "Ann Marlow") + job("12 mo sealant", "Bob Hill")
    plan = look(desk, tmp_path, jobs, shelf)
    assert {one.what: one.layers for one in plan.proposals} == {
        "6 month sealant": ("clear six on paint",),
        "12 mo sealant": ("clear twelve on paint",),
    }


def test_a_supply_without_a_label_is_asked_about(desk: Desk, tmp_path: Path) -> None:
    shelf = "Clear coat,liquid,500 ml,synthetic sealant,\n"
    (one,) = look(desk, tmp_path, job("12 mo sealant", "Bob Hill"), shelf).proposals
    assert one.state == "asks"
    assert one.why == "it is not known whether Clear coat lasts for 1 year"
    (plain,) = look(desk, tmp_path, job("Sealant", "Bob Hill"), shelf).proposals
    assert plain.layers == ("clear coat on paint",)


def test_a_sealant_of_two_years_is_asked_about(desk: Desk, tmp_path: Path) -> None:
    (one,) = look(desk, tmp_path, job("Sealant 2yr", "Bob Hill")).proposals
    assert (one.state, one.why) == ("asks", "no synthetic sealant lasts for 2 years")
    assert one.services == ("Synthetic sealant",)  # and not one of two years


def test_a_supply_of_the_shelf_without_a_pack_is_meant_though_it_is_called_like_its_class(
    desk: Desk, tmp_path: Path
) -> None:
    shelf = "Synthetic sealant blue,liquid,,synthetic sealant,\n"
    (one,) = look(desk, tmp_path, job("Sealant", "Bob Hill"), shelf).proposals
    assert one.layers == ("synthetic sealant blue on paint",)

"""Towels by the dozen brought in: proposed as a pool, which becomes one where a person says so."""

from __future__ import annotations

from pathlib import Path

import pytest

from app.actions.desk.desk import Desk
from app.actions.desk.undoing import undo
from app.actions.exchange.bringing_in import bring_in, preview, read
from app.actions.exchange.preview_lines import Choices, Preview
from app.actions.exchange.title_proposals import Answer
from app.actions.shelf.pool_view import pools
from app.records.contents import contents

SHELF = "Supply,Kind,On hand,Pack,Price\n"
TOWELS = SHELF + "Microfiber towels,piece,200 pcs,100 pcs,$40\n"


@pytest.fixture
def desk(empty: Desk) -> Desk:
    """A new book."""
    return empty


def look(desk: Desk, text: str, folder: Path, choices: Choices | None = None) -> Preview:
    path = folder / "shelf.csv"
    path.write_text(text, encoding="utf-8")
    return preview(desk, [read(desk, path)], choices=choices)


def test_towels_by_the_hundred_are_proposed_and_taken_as_a_pool_with_all_that_stand_there(
    desk: Desk, tmp_path: Path
) -> None:
    before = contents(desk.book)
    (one,) = look(desk, TOWELS, tmp_path).proposals
    assert (one.kind, one.state) == ("pool", "proposed")
    said = Choices(answers={one.key: Answer()})
    bring_in(desk, look(desk, TOWELS, tmp_path, said))
    (pool,) = pools(desk)
    assert (pool.name, pool.first.rung, pool.first.clean) == ("Microfiber towels", "paint", 200)
    assert pool.uses == 100
    assert desk.book.check() == []
    assert look(desk, TOWELS, tmp_path).proposals == ()
    undo(desk)
    assert contents(desk.book) == before


def test_without_a_word_and_where_it_is_refused_towels_stay_what_is_used_up(
    desk: Desk, tmp_path: Path
) -> None:
    (one,) = look(desk, TOWELS, tmp_path).proposals
    said = Choices(answers={one.key: Answer(takes=False)})
    refused = look(desk, TOWELS, tmp_path, said)
    assert refused.proposals[0].state == "none"
    bring_in(desk, refused)
    assert pools(desk) == ()
    again = look(desk, TOWELS, tmp_path, Choices(accepts=True))  # and is not asked about again
    assert again.proposals[0].state == "none"
    assert not again.changes_something()


def test_towels_that_stood_on_the_shelf_before_become_a_pool_later(
    desk: Desk, tmp_path: Path
) -> None:
    bring_in(desk, look(desk, TOWELS, tmp_path))
    bring_in(desk, look(desk, TOWELS, tmp_path, Choices(accepts=True)))
    assert pools(desk)[0].first.clean == 200
    assert desk.book.check() == []


@pytest.mark.parametrize(
    ("name", "rung"),
    [
        ("Drying towels", "paint"),
        ("Glass cloths", "interior"),
        ("Wheel microfibres", "wheels"),
        ("Paper towels", None),
        ("Lint free cloths", None),
        ("Nitrile gloves", None),
        ("Towel detergent tabs", None),
    ],
)
def test_only_what_comes_back_from_the_wash_is_proposed(
    desk: Desk, tmp_path: Path, name: str, rung: str | None
) -> None:
    plan = look(desk, SHELF + f"{name},piece,100 pcs,50 pcs,$20\n", tmp_path)
    assert [rung in one.why for one in plan.proposals if rung] == ([True] if rung else [])
    assert bool(plan.proposals) == (rung is not None)


def test_a_few_towels_are_no_pool(desk: Desk, tmp_path: Path) -> None:
    plan = look(desk, SHELF + "Drying towels,piece,6 pcs,3 pcs,$20\n", tmp_path)
    assert plan.proposals == ()


def test_a_pool_of_ten_thousand_is_asked_about_and_not_taken_with_the_rest(
    desk: Desk, tmp_path: Path
) -> None:
    text = SHELF + "Drying towels,piece,200 packs,pack of 50,$20\n"
    (one,) = look(desk, text, tmp_path, Choices(accepts=True)).proposals
    assert (one.state, one.word) == ("asks", "so many?")
    assert one.why == "10,000 pieces? The list may count packs"
    said = Choices(answers={one.key: Answer()})
    assert look(desk, text, tmp_path, said).proposals[0].state == "accepted"


@pytest.mark.parametrize(("stands", "pack", "pieces"), [("30", "10", 30), ("120", "50 pcs", 120)])
def test_a_bare_number_of_towels_counts_towels_and_no_packs_and_says_so(
    desk: Desk, tmp_path: Path, stands: str, pack: str, pieces: int
) -> None:
    plan = look(desk, SHELF + f"Towels,piece,{stands},{pack},$20\n", tmp_path)
    (one,) = plan.proposals
    assert one.why.startswith(f"{pieces} pieces, clean")
    (said,) = plan.lines[0].problems
    assert f"“{stands}” was taken for so many pieces" in said
    assert f"type “{stands} packs” if packs are meant" in said

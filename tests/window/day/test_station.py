"""Each station by its own keys: what is typed stands in the book, what is wrong is said."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFileDialog

from app.actions.day.closing import closing
from app.actions.day.day import confirm
from app.actions.day.jobs_worked import jobs_worked
from app.actions.day.money_taken import money_taken
from app.actions.day.supplies_used import supplies_used
from app.actions.desk.desk import Desk
from app.actions.orders.order_proposal import what_to_order
from app.actions.orders.order_writing import set_packs
from app.actions.orders.suppliers import add_supplier, edit_supplier
from app.actions.stock.stock import count
from app.actions.stock.supply_facts import add_pack
from app.window.paper.cells import Cell, GroupRow, State
from app.window.paper.notes import Alert, Voice
from tests.shop import TODAY, SmallShop
from tests.window.day.conftest import CONTROL, Hands

Key = Qt.Key


def cell(hands: Hands, key: object, column: str) -> Cell:
    found = hands.cell(key, column)
    assert isinstance(found, Cell)
    return found


def into_table(hands: Hands, key: object, column: str) -> None:
    table = hands.sheet.station().table
    table.setFocus()
    assert table.go(key, column)  # type: ignore[arg-type]
    hands.settle()


def use(desk: Desk, shop: SmallShop, job: str, supply: str) -> object:
    view = supplies_used(desk, TODAY)
    at = [head.job.job_id for head in view.heads].index(shop.jobs[job])
    rows = {row.supply_id: row for row in view.rows}
    return rows[shop.supplies[supply]].cells[at] if shop.supplies[supply] in rows else None


# supplies ------------------------------------------------------------------------------------
def test_a_number_typed_over_stands_beside_the_old_one_and_escape_puts_that_back(
    hands: Hands, desk: Desk, shop: SmallShop
) -> None:
    hands.open(2)
    key, column = shop.supplies["wheel"], f"job {shop.jobs['0411']}"
    filled = cell(hands, key, column).text
    into_table(hands, key, column)
    hands.type("150")
    hands.press(Key.Key_Return)
    changed = cell(hands, key, column)
    assert (changed.state, changed.old, changed.text) == (State.CHANGED, filled, "150")
    assert "150" in hands.foot
    into_table(hands, key, column)
    hands.press(Key.Key_Escape)
    assert cell(hands, key, column).text == filled
    assert use(desk, shop, "0411", "wheel").state == "recipe"  # type: ignore[attr-defined]


@pytest.mark.parametrize("typed", ["1/4 bottle", "0.05 l", "50"])
def test_amounts_are_typed_as_people_say_them(
    hands: Hands, desk: Desk, shop: SmallShop, typed: str
) -> None:
    hands.open(2)
    into_table(hands, shop.supplies["soap"], f"job {shop.jobs['0411']}")
    hands.type(typed)
    hands.press(Key.Key_Return)
    found = use(desk, shop, "0411", "soap")
    assert found.state == "confirmed"  # type: ignore[attr-defined]
    assert found.amount > 0  # type: ignore[attr-defined]


def test_an_unreadable_amount_keeps_the_focus_and_the_foot_says_it_in_full(
    hands: Hands, desk: Desk, shop: SmallShop
) -> None:
    hands.open(2)
    into_table(hands, shop.supplies["soap"], f"job {shop.jobs['0411']}")
    hands.type("6x")
    hands.press(Key.Key_Return)
    table = hands.sheet.station().table
    assert table.writing is not None
    assert table.writing.wrong
    assert hands.foot == table.writing.wrong
    hands.press(Key.Key_Return, CONTROL)
    hands.open(3)
    assert hands.sheet.open_key == "supplies"
    hands.press(Key.Key_Escape)
    assert table.writing is None
    assert table.writing is None
    assert hands.foot != "6x"
    hands.open(3)
    assert hands.sheet.open_key == "money"


def test_a_number_far_off_the_usual_is_kept_and_asked_about(
    hands: Hands, desk: Desk, shop: SmallShop
) -> None:
    hands.open(2)
    into_table(hands, shop.supplies["wheel"], f"job {shop.jobs['0411']}")
    hands.type("1200")
    hands.press(Key.Key_Return)
    assert hands.foot.startswith("Wheel cleaner on 0411: 1,200 mL is more than three times the ")
    assert "usual" in hands.foot
    assert "Keep it?" in hands.foot
    assert use(desk, shop, "0411", "wheel").amount == 1_200_000  # type: ignore[attr-defined]
    assert cell(hands, shop.supplies["wheel"], f"job {shop.jobs['0411']}").mark == "look"


def asked(hands: Hands) -> list[str]:
    return [
        block.text
        for block in hands.sheet.margin.note.blocks
        if isinstance(block, Alert) and "Keep it?" in block.text
    ]


def test_the_question_stands_with_its_row_has_a_key_and_goes_with_the_day(
    hands: Hands, shop: SmallShop
) -> None:
    hands.open(2)
    key, column = shop.supplies["wheel"], f"job {shop.jobs['0411']}"
    into_table(hands, key, column)
    hands.type("1200")
    hands.press(Key.Key_Return)
    hands.press(Key.Key_Up)
    hands.press(Key.Key_Up)
    others = asked(hands) if hands.sheet.station().table.current_key() != key else []
    into_table(hands, key, column)
    assert (len(asked(hands)), others) == (1, [])
    hands.press(Key.Key_K, Qt.KeyboardModifier.AltModifier)
    assert "Keep it?" not in hands.foot
    assert cell(hands, key, column).text == "1,200"
    hands.type("1300")
    hands.press(Key.Key_Return)
    assert "Keep it?" in hands.foot
    hands.shell.office.open_day(TODAY - timedelta(days=1))
    hands.settle()
    assert "Keep it?" not in hands.foot


def test_ins_adds_a_supply_that_no_recipe_foresaw(
    hands: Hands, desk: Desk, shop: SmallShop
) -> None:
    hands.open(2)
    into_table(hands, shop.supplies["soap"], f"job {shop.jobs['0411']}")
    hands.press(Key.Key_Insert)
    hands.type("paste")
    hands.press(Key.Key_Return)
    table = hands.sheet.station().table
    assert table.current_key() == shop.supplies["wax"]
    assert table.writing is not None
    hands.type("8 g")
    hands.press(Key.Key_Return)
    assert use(desk, shop, "0411", "wax").amount == 8000  # type: ignore[attr-defined]
    assert shop.supplies["wax"] in {row.key for row in table.rows}


def test_the_margin_says_where_a_number_comes_from_and_cautions_once(
    hands: Hands, shop: SmallShop
) -> None:
    hands.open(2)
    into_table(hands, shop.supplies["wheel"], f"job {shop.jobs['0411']}")
    note = hands.sheet.margin.note
    assert note.title.startswith("Wheel cleaner")
    spoken = [block.text for block in note.blocks if isinstance(block, Voice)]
    assert spoken[0].startswith("Filled in with")
    cautions = [block.text for block in note.blocks if isinstance(block, Alert)]
    assert len(cautions) == 1
    assert "override" in cautions[0]


# jobs ----------------------------------------------------------------------------------------
def test_steps_unfold_and_one_that_was_not_done_gets_its_reason(
    hands: Hands, desk: Desk, shop: SmallShop
) -> None:
    into_table(hands, shop.jobs["0411"], "hours")
    hands.press(Key.Key_S)
    table = hands.sheet.station().table
    steps = [row.key for row in table.rows if isinstance(row.key, tuple)]
    assert len(steps) == 3
    into_table(hands, steps[1], "work")
    hands.type("no time left")
    hands.press(Key.Key_Return)
    job = next(row for row in jobs_worked(desk, TODAY).rows if row.job.job_id == shop.jobs["0411"])
    assert (job.steps[1].state, job.steps[1].because) == ("not done", "no time left")
    into_table(hands, steps[1], "work")
    hands.press(Key.Key_Space)
    job = next(row for row in jobs_worked(desk, TODAY).rows if row.job.job_id == shop.jobs["0411"])
    assert job.steps[1].state == "done"
    into_table(hands, shop.jobs["0411"], "hours")
    hands.press(Key.Key_S)
    assert not [row for row in table.rows if isinstance(row.key, tuple)]


def test_hours_are_typed_as_people_say_them(hands: Hands, desk: Desk, shop: SmallShop) -> None:
    for typed, minutes in (("90m", 90), ("6:30", 390), ("1 1/2", 90)):
        into_table(hands, shop.jobs["0412"], "hours")
        hands.type(typed)
        hands.press(Key.Key_Return)
        rows = {row.job.job_id: row for row in jobs_worked(desk, TODAY).rows}
        assert rows[shop.jobs["0412"]].minutes == minutes


def test_f_says_that_a_job_is_finished_and_again_that_it_goes_on(
    hands: Hands, desk: Desk, shop: SmallShop
) -> None:
    def finished() -> bool:
        rows = {row.job.job_id: row for row in jobs_worked(desk, TODAY).rows}
        return rows[shop.jobs["0412"]].finished

    into_table(hands, shop.jobs["0412"], "hours")
    assert not finished()
    hands.press(Key.Key_F)
    assert finished()
    hands.press(Key.Key_F)
    assert not finished()


def test_x_takes_a_job_off_the_day_and_j_brings_it_back(
    hands: Hands, desk: Desk, shop: SmallShop
) -> None:
    into_table(hands, shop.jobs["0411"], "hours")
    hands.press(Key.Key_X)
    assert [row.job.job_id for row in jobs_worked(desk, TODAY).rows] == [shop.jobs["0412"]]
    hands.press(Key.Key_J)
    hands.type("0411")
    hands.press(Key.Key_Return)
    assert shop.jobs["0411"] in [row.job.job_id for row in jobs_worked(desk, TODAY).rows]


# money ---------------------------------------------------------------------------------------
def test_money_is_typed_with_a_word_for_how_it_came_and_m_changes_that(
    hands: Hands, desk: Desk, shop: SmallShop
) -> None:
    hands.open(3)
    into_table(hands, shop.jobs["0411"], "taken")
    hands.type("80 check")
    hands.press(Key.Key_Return)
    row = next(r for r in money_taken(desk, TODAY).rows if r.job.job_id == shop.jobs["0411"])
    assert (row.taken, row.method) == (8000, "check")
    into_table(hands, shop.jobs["0411"], "taken")
    hands.press(Key.Key_M)
    row = next(r for r in money_taken(desk, TODAY).rows if r.job.job_id == shop.jobs["0411"])
    assert (row.taken, row.method) == (8000, "card")
    hands.press(Key.Key_Escape)
    row = next(r for r in money_taken(desk, TODAY).rows if r.job.job_id == shop.jobs["0411"])
    assert row.state == "expected"


# orders --------------------------------------------------------------------------------------
def test_what_comes_too_late_is_taken_from_someone_else_with_one_key(
    hands: Hands, desk: Desk, shop: SmallShop
) -> None:
    soap = shop.supplies["soap"]
    count(desk, TODAY, soap, "1 ml")
    _, store = add_supplier(desk, "Pell Street", promised_days=1)
    _, near_by = add_pack(desk, soap, "500 mL", "9.00", supplier_id=store)
    hands.open(4)
    view = what_to_order(desk, TODAY)
    ordered = {line.supply_id for one in view.suppliers for line in one.lines}
    key = ("line" if soap in ordered else "sooner", soap)
    into_table(hands, key, "packs")
    words = [block.text for block in hands.sheet.margin.note.blocks if isinstance(block, Voice)]
    assert any(one.startswith("Pell Street has it by tomorrow: ") for one in words)
    hands.press(Key.Key_I)
    lines = [
        (one.name, line.pack_id)
        for one in what_to_order(desk, TODAY).suppliers
        for line in one.lines
        if line.supply_id == soap
    ]
    assert lines == [("Pell Street", near_by)]
    hands.shell.office.undo()
    hands.settle()
    assert {one.name for one in what_to_order(desk, TODAY).suppliers for line in one.lines
            if line.supply_id == soap} != {"Pell Street"}  # fmt: skip


def test_what_must_wait_for_an_order_day_stands_below_the_orders(
    hands: Hands, desk: Desk, shop: SmallShop
) -> None:
    count(desk, TODAY, shop.supplies["soap"], "0 ml")
    edit_supplier(desk, shop.suppliers["van"], order_weekdays="mon")
    hands.open(4)
    heads = [row for row in hands.sheet.station().table.rows if isinstance(row, GroupRow)]
    assert any(
        row.title == "Tuesday van" and "orders go out on Monday" in row.note for row in heads
    )


def test_packs_are_typed_over_and_written_now_with_their_sheets(
    hands: Hands, desk: Desk, shop: SmallShop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    set_packs(desk, TODAY, shop.supplies["wax"], shop.packs["wax"], 1)
    hands.open(4)
    into_table(hands, ("line", shop.supplies["wax"]), "packs")
    hands.type("3")
    hands.press(Key.Key_Return)
    lines = {
        line.supply_id: line.packs
        for one in what_to_order(desk, TODAY).suppliers
        for line in one.lines
    }
    assert lines[shop.supplies["wax"]] == 3
    into_table(hands, ("line", shop.supplies["wax"]), "packs")
    hands.type("a few")
    hands.press(Key.Key_Return)
    assert "whole number" in hands.foot
    hands.press(Key.Key_Escape)  # leaves the field, and the number goes back to the proposal: none
    assert shop.supplies["wax"] not in {
        line.supply_id for one in what_to_order(desk, TODAY).suppliers for line in one.lines
    }
    hands.shell.office.act(
        lambda: set_packs(desk, TODAY, shop.supplies["wax"], shop.packs["wax"], 2)
    )
    hands.settle()
    out = tmp_path / "out"
    out.mkdir()
    monkeypatch.setattr(QFileDialog, "getExistingDirectory", lambda *_: str(out))
    hands.press(Key.Key_F4)
    assert any(path.suffix == ".xlsx" for path in out.iterdir())
    assert any(path.suffix == ".pdf" for path in out.iterdir())
    view = what_to_order(desk, TODAY)
    assert view.waiting
    waiting = ("order", view.waiting[0].order_id)
    into_table(hands, waiting, "name")
    hands.press(Key.Key_S)
    assert what_to_order(desk, TODAY).waiting[0].state == "sent"
    asked: list[tuple[str, object]] = []
    hands.shell.office.go_asked.disconnect()
    hands.shell.office.go_asked.connect(lambda place, item: asked.append((place, item)))
    hands.press(Key.Key_R)
    assert asked == [("shelf", waiting)]


def test_letters_are_keys_of_the_open_station_only(hands: Hands, desk: Desk) -> None:
    hands.open(3)
    before = jobs_worked(desk, TODAY)
    for key in (Key.Key_X, Key.Key_F, Key.Key_S):
        hands.press(key)
    assert jobs_worked(desk, TODAY) == before


# closing -------------------------------------------------------------------------------------
def test_what_is_marked_unconfirmed_is_what_nobody_confirmed_whatever_a_name_says(
    hands: Hands, desk: Desk, shop: SmallShop
) -> None:
    edit_supplier(desk, shop.suppliers["van"], name="The unconfirmed van")
    set_packs(desk, TODAY, shop.supplies["soap"], shop.packs["soap"], 2)
    confirm(desk, TODAY, "jobs")
    hands.shell.office.changed.emit(frozenset({"orders", "days", "suppliers"}))
    hands.open(6)
    lines = range(len(closing(desk, TODAY).lines))
    shown = [cell(hands, ("line", at), "what") for at in lines]
    marks = {one.text: one.mark for one in shown}
    (van,) = [text for text in marks if "The unconfirmed van" in text]
    assert marks[van] == "done"
    (supplies,) = [text for text in marks if "off the shelf" in text]
    assert marks[supplies] == "few jobs"
    (jobs,) = [text for text in marks if text.startswith("2 jobs")]
    assert marks[jobs] == "done"

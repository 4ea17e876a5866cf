"""Near names are asked about, never put together without a word, whatever comes first."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from app.actions.desk.desk import Desk
from app.actions.exchange.bringing_in import bring_in, preview, read
from app.actions.exchange.near_names import NearName
from app.actions.exchange.preview_lines import Choices, Preview
from app.records.queries import everything
from tests.steps import steps

Look = Callable[..., Preview]
JOBS = "Date,Customer,Service,Price\n3/14/2025,Marlow & Sons,Wash,80\n"


@pytest.fixture
def look(empty: Desk, tmp_path: Path) -> Look:
    """The preview of text tables, with a person's choices."""

    def do(*texts: str, choices: Choices | None = None) -> Preview:
        readings = []
        for at, text in enumerate(texts):
            path = tmp_path / f"list {at}.csv"
            path.write_text(text, encoding="utf-8")
            readings.append(read(empty, path))
        return preview(empty, readings, choices=choices)

    return do


def asked(plan: Preview) -> list[NearName]:
    return list(dict.fromkeys(line.asks for line in plan.lines if line.asks))


def rows(desk: Desk, kind: str) -> list[dict[str, Any]]:
    with desk.book.reading() as session:
        return list(everything.rows(session, kind))


def names(desk: Desk) -> list[str]:
    return sorted(row["name"] for row in rows(desk, "customers"))


@pytest.mark.parametrize(
    "people", ["Name,Phone\nMarlow,2125550142\n", "Name\nMarlow\n", "Name,City\nMarlow,Tarn\n"]
)
def test_a_firm_and_sons_is_kept_apart_and_asked_though_the_jobs_came_first(
    empty: Desk, look: Look, people: str
) -> None:
    bring_in(empty, look(JOBS))
    plan = look(people)
    (line,) = [line for line in plan.lines if line.kind == "customer"]
    assert line.asks is not None
    assert line.asks.sentence().startswith("Is Marlow the same as Marlow & Sons?")
    assert line.asks.sentence() in plan.notes
    bring_in(empty, plan)
    assert names(empty) == ["Marlow", "Marlow & Sons"]


def test_an_answer_puts_them_together_and_is_remembered(empty: Desk, look: Look) -> None:
    bring_in(empty, look(JOBS))
    people = "Name,Phone\nMarlow,2125550142\n"
    (asked,) = [line.asks for line in look(people).lines if line.asks]
    plan = look(people, choices=Choices().with_answer(asked.pair, same=True))
    assert not any("Is Marlow" in note for note in plan.notes)
    bring_in(empty, plan)
    assert names(empty) == ["Marlow & Sons"]
    again = look(people)
    assert not again.changes_something()
    assert not any(line.asks for line in again.lines)


def test_a_near_spelling_at_one_number_is_asked_and_can_be_kept_apart(
    empty: Desk, look: Look
) -> None:
    text = "Name,Phone\nRobert Hill,2125550143\nBob Hill,2125550143\n"
    (asked,) = [line.asks for line in look(text).lines if line.asks]
    assert asked.same
    assert "share a telephone number" in asked.sentence()
    bring_in(empty, look(text, choices=Choices().with_answer(asked.pair, same=False)))
    assert names(empty) == ["Bob Hill", "Robert Hill"]


def test_a_near_spelling_without_a_number_is_kept_apart_until_it_is_answered(
    empty: Desk, look: Look
) -> None:
    plan = look("Name,City\nRobert Hill,Tarn\nBob Hill,Tarn\n")
    (asked,) = [line.asks for line in plan.lines if line.asks]
    assert not asked.same
    bring_in(empty, plan)
    assert names(empty) == ["Bob Hill", "Robert Hill"]


def test_a_supply_with_the_code_of_another_is_asked_about(empty: Desk, look: Look) -> None:
    bring_in(empty, look("Product,Code,Pack size,Price\nGlass cleaner,A12,32 oz,9.50\n"))
    near = look("Product,Code,Pack size,Price\nGlass cleaner blue,A12,32 oz,9.90\n")
    assert [line.asks.same for line in near.lines if line.asks] == [True]
    other = look("Product,Code,Pack size,Price\nSpray wax,A12,32 oz,9.90\n")
    assert [line.asks.same for line in other.lines if line.asks] == [False]
    bring_in(empty, other)
    assert sorted(row["name"] for row in rows(empty, "supplies")) == ["Glass cleaner", "Spray wax"]


def test_a_supply_whose_name_hardly_differs_is_asked_about(empty: Desk, look: Look) -> None:
    bring_in(empty, look("Product,Pack size,Price\nGlass cleaner,32 oz,9.50\n"))
    plan = look("Product,Pack size,Price\nGlass cleaners,32 oz,9.50\n")
    assert [line.asks.same for line in plan.lines if line.asks] == [False]


@pytest.mark.parametrize("last", ["Jr.", "Jr", "Snr", "III", "junior"])
@pytest.mark.parametrize("phone", ["2125550142", ""])
def test_a_father_and_his_son_are_two_and_are_asked_about(
    empty: Desk, look: Look, last: str, phone: str
) -> None:
    bring_in(empty, look("Name,Phone\nDan Frost,2125550142\n"))
    plan = look(f"Name,Phone\nDan Frost {last},{phone}\n")
    assert [one.sentence().split(";")[1].strip() for one in asked(plan)] == [
        "so far they are kept apart."
    ]
    bring_in(empty, plan)
    assert len(names(empty)) == 2


@pytest.mark.parametrize(
    "names_of_one",
    [("Tom Pell", "Pell, Thomas"), ("Jim Orr", "James Orr"), ("Nick Ash", "Nicholas Ash")],
)
def test_short_forms_of_names_that_end_in_s_are_known(
    empty: Desk, look: Look, names_of_one: tuple[str, str]
) -> None:
    short, whole = names_of_one
    bring_in(empty, look(f'Name,Phone\n"{short}",2125550142\n'))
    plan = look(f'Name,Phone\n"{whole}",2125550142\n')
    assert [one.same for one in asked(plan)] == [True]


def test_a_short_name_that_several_may_have_is_asked_about(empty: Desk, look: Look) -> None:
    bring_in(empty, look("Name,Phone\nTom Pell,2125550142\nTina Pell,2125550143\n"))
    plan = look("Date,Customer,Service,Price\n3/14/2025,T. Pell,Wash,80\n")
    assert [(one.told, one.known, one.same) for one in asked(plan)] == [
        ("T. Pell", "Tom Pell", False)
    ]


def test_a_persons_own_remark_is_no_number_and_no_mark(empty: Desk, look: Look) -> None:
    people = (
        "Name,Notes\nAnn Marlow,Other phone: ask her first\nAda Quell,Other phone: ask her first\n"
    )
    jobs = "Job no.,Date,Customer,Service,Price,Notes\nT-1,3/14/2025,Ann Marlow,Wash,80,No. 3 bay\n"
    bring_in(empty, look(people, jobs))
    assert names(empty) == ["Ada Quell", "Ann Marlow"]
    plan = look(people, jobs)
    assert plan.total("new") == 0
    bring_in(empty, plan)
    assert len(rows(empty, "jobs")) == 1


def test_a_last_name_of_two_words_alone_is_the_same_person_and_is_asked_about(look: Look) -> None:
    plan = look(
        "Customer,Phone,Address,City\n"
        "Mrs O'Hara-Lane,312 555 0187,3 Cobb St,Lindmoor\n"
        "Siobhán O’Hara Lane,312 555 0187,3 Cobb Street,Lindmoor\n"
        "Siobhan OHara Lane,,,\n"
    )
    (one,) = asked(plan)
    assert (one.told, one.known, one.same) == ("Siobhán O’Hara Lane", "Mrs O'Hara-Lane", True)
    assert [line.outcome for line in plan.lines].count("new") == 1


def test_a_remark_that_begins_like_an_alias_is_no_name_and_is_not_lost(
    empty: Desk, look: Look
) -> None:
    head = "Customer,Phone,Notes\n"
    bring_in(empty, look(head + "Ida Lark,,Also called: on Monday about the wax\n"))
    bring_in(empty, look(head + "Monday,,\nOn Monday about the wax,,\n"))
    assert len(names(empty)) == 3
    (ida,) = (one for one in rows(empty, "customers") if one["name"] == "Ida Lark")
    assert ida["notes"] == "Also called: on Monday about the wax"
    bring_in(empty, look(head + "Tom Pell,,Also called: Thomas Q. Pell-Ashby\n"))
    assert look(head + "Thomas Q. Pell-Ashby,,\n").lines[0].outcome == "same"


def listed(count: int, phone: str, last: str) -> str:
    """So many customers whose first names are not near each other."""
    letters = str.maketrans("0123456789abcdef", "ghijklmnopqrstuv")
    told = (
        f"{at * 7919 % 99991:x} {at * 7817 % 99991:x}".translate(letters) for at in range(count)
    )
    pairs = (one.title().split() for one in told)
    return "Name,Phone\n" + "".join(f"{a} {last or b},{phone}\n" for a, b in pairs)


@pytest.mark.parametrize(("phone", "last"), [("2125550142", ""), ("", "Miller")])
def test_four_times_the_rows_with_one_number_or_family_name_take_no_more_than_six_times_the_steps(
    look: Look, phone: str, last: str
) -> None:
    look(listed(30, phone, last))  # what is imported and read once
    few, many = (steps(lambda rows=rows: look(listed(rows, phone, last))) for rows in (150, 600))
    assert many < 6 * few


def test_a_number_that_many_have_is_nobody_s_own_and_tells_nothing_of_near_names(
    empty: Desk, look: Look
) -> None:
    near = "Marlow Miller,2125550142\nMarlo Miler,2125550142\n"
    few, many = (look(listed(count, "2125550142", "") + near) for count in (5, 50))
    assert [(one.told, one.known) for one in asked(few)] == [("Marlo Miler", "Marlow Miller")]
    assert not asked(many)
    bring_in(empty, many)
    bring_in(empty, look(listed(50, "2125550142", "")))  # the same name is the same customer
    assert len(names(empty)) == 52

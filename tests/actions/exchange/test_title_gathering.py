"""Titles of past jobs brought in: services, steps and layers, once a person said so."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from app.actions.day.closing import close_day, reopen_day
from app.actions.desk.desk import Desk
from app.actions.desk.undoing import undo
from app.actions.exchange.bringing_in import bring_in, preview, read
from app.actions.exchange.preview_lines import Choices, Preview
from app.actions.exchange.title_proposals import Answer, ChosenLayer
from app.actions.jobs.services import add_service, add_service_step
from app.actions.letters.reminders import whom_to_remind
from app.actions.letters.renewing import renewals
from app.records.contents import contents
from app.records.queries import everything
from tests.files.titles import titles
from tests.shop import TODAY

ALL = Choices(accepts=True)
HEAD = "Date,Customer,Email,Vehicle,Plate,Services,Total,Status,Notes\n"
Rows = list[dict[str, Any]]


@pytest.fixture
def desk(empty: Desk) -> Desk:
    """A new book."""
    return empty


Look = Callable[..., Preview]


@pytest.fixture
def look(desk: Desk, tmp_path: Path) -> Look:
    """Preview tables (name to text) with what a person said."""

    def do(choices: Choices | None = None, **tables: str) -> Preview:
        paths = []
        for name, text in tables.items():
            paths.append(tmp_path / f"{name}.csv")
            paths[-1].write_text(text, encoding="utf-8")
        return preview(desk, [read(desk, path) for path in paths], choices=choices)

    return do


def job(
    title: str, day: str = "3/5/2025", who: str = "Ann Marlow", car: str = "2014 blue wagon",
    plate: str = "7KLM 204", status: str = "done", notes: str = "",
) -> str:  # fmt: skip
    mail = who.split()[0].lower() + "@tarn.example"
    return f'{day},{who},{mail},{car},{plate},"{title}",100,{status},"{notes}"\n'


def rows(desk: Desk, kind: str) -> Rows:
    with desk.book.reading() as session:
        return list(everything.rows(session, kind))


def layers(desk: Desk) -> set[tuple[str, str, date]]:
    """Each layer put on: its class, its surface, its day."""
    leaves = {row["id"]: row["protection"] for row in rows(desk, "supplies")}
    return {
        (leaves[row["supply_id"]], row["surface_group"], row["day"])
        for row in rows(desk, "layer_events")
        if row["kind"] == "applied"
    }


def states(plan: Preview) -> dict[str, str]:
    return {one.what: one.state for one in plan.proposals}


def test_a_title_confirmed_makes_services_links_the_jobs_and_puts_the_layer_on_with_its_day(
    desk: Desk, look: Look
) -> None:
    plan = look(jobs=HEAD + job("Two-step, ceramic 2yr"))
    assert states(plan) == {"Two-step, ceramic 2yr": "proposed"}
    (one,) = plan.proposals
    bring_in(desk, look(Choices(answers={one.key: Answer()}), jobs=HEAD + job(one.what)))
    services = {row["name"]: row["id"] for row in rows(desk, "services")}
    assert set(services) == {"Two-step polish", "Ceramic 2 year"}
    assert {row["service_id"] for row in rows(desk, "job_services")} == set(services.values())
    steps = {row["service_id"]: row["effect"] for row in rows(desk, "service_steps")}
    assert steps == {services["Two-step polish"]: "abrades", services["Ceramic 2 year"]: "applies"}
    assert layers(desk) == {
        ("ceramic 2 year", group, date(2025, 3, 5))
        for group in ("upper horizontals", "upper sides", "lowers")
    }
    assert desk.book.check() == []


def test_what_nobody_confirmed_makes_nothing(desk: Desk, look: Look) -> None:
    plan = look(jobs=HEAD + job("Two-step, ceramic 2yr"))
    bring_in(desk, plan)
    for kind in ("services", "job_services", "job_steps", "layer_events", "supplies"):
        assert rows(desk, kind) == []
    assert any("to be confirmed" in note for note in plan.notes)


def test_renewals_stand_and_a_letter_is_due_on_the_first_evening(desk: Desk, look: Look) -> None:
    text = HEAD + job("Ceramic 2yr", "8/1/2024") + job("Wash & wax", "6/30/2025", "Bob Hill",
                                                       "2018 grey van", "8KLM 204")  # fmt: skip
    bring_in(desk, look(jobs=text))
    assert renewals(desk, TODAY).rows == ()
    assert whom_to_remind(desk, TODAY).letters == ()
    bring_in(desk, look(ALL, jobs=text))  # the same file again, confirmed late
    assert len(renewals(desk, TODAY).rows) == 2
    assert [letter.name for letter in whom_to_remind(desk, TODAY).letters] == ["Bob Hill"]


def test_one_undo_takes_it_all_back_with_the_import(desk: Desk, look: Look) -> None:
    before = contents(desk.book)
    bring_in(desk, look(ALL, jobs=HEAD + "".join(job(title) for title, _ in titles()[:40])))
    assert layers(desk)
    undo(desk)
    assert contents(desk.book) == before
    assert desk.book.check() == []


def test_the_same_file_twice_changes_nothing(desk: Desk, look: Look) -> None:
    text = HEAD + job("Full detail", notes="Applied carnauba wax.") + job("Ceramic 2yr", "4/5/2025")
    bring_in(desk, look(ALL, jobs=text))
    again = look(ALL, jobs=text)
    assert not again.changes_something()
    assert again.proposals == ()


def test_a_title_confirmed_once_is_not_asked_about_in_a_later_list_and_leaves_its_layer(
    desk: Desk, look: Look
) -> None:
    bring_in(desk, look(ALL, jobs=HEAD + job("2 yr ceramic")))
    plan = look(jobs=HEAD + job("2 yr ceramic", "5/5/2025", "Bob Hill", "grey van", "8KLM 204"))
    assert states(plan) == {"2 yr ceramic": "known"}
    bring_in(desk, plan)
    assert {day for _, _, day in layers(desk)} == {date(2025, 3, 5), date(2025, 5, 5)}
    assert len(rows(desk, "services")) == 1


def test_a_title_refused_once_is_not_asked_about_again_until_it_is_taken(
    desk: Desk, look: Look
) -> None:
    text = HEAD + job("Wash & wax")
    (one,) = look(jobs=text).proposals
    bring_in(desk, look(Choices(answers={one.key: Answer(takes=False)}), jobs=text))
    assert desk.settings.refused_proposals == ["wash wax; Carnauba wax"]
    assert states(look(ALL, jobs=text)) == {"Wash & wax": "none"}
    assert not look(ALL, jobs=text).changes_something()
    bring_in(desk, look(Choices(answers={one.key: Answer()}), jobs=text))
    assert desk.settings.refused_proposals == []
    assert len(layers(desk)) == 3
    undo(desk)
    assert desk.settings.refused_proposals == ["wash wax; Carnauba wax"]


def test_of_218_titles_brought_in_and_accepted_no_layer_is_another_than_a_reader_hears(
    desk: Desk, look: Look
) -> None:
    said = dict(titles())
    text = "".join(job(title, plate=f"{at:04} KLM", car=f"van {at}")
                   for at, title in enumerate(said))  # fmt: skip
    bring_in(desk, look(ALL, jobs=HEAD + text))
    leaves = {row["id"]: row["protection"] for row in rows(desk, "supplies")}
    title_of = {row["id"]: row["title"] for row in rows(desk, "jobs")}
    put: dict[str, set[str]] = {}
    for event in rows(desk, "layer_events"):
        if event["kind"] == "applied":
            put.setdefault(title_of[event["job_id"]], set()).add(leaves[event["supply_id"]])
    wrong = {
        title: found
        for title, found in put.items()
        if found != {one.partition(" @ ")[0] for one in said[title].split(", ")}
    }
    assert wrong == {}
    assert len(put) == 83
    assert desk.book.check() == []


def test_the_only_supply_of_the_class_on_the_shelf_is_the_layer(desk: Desk, look: Look) -> None:
    shelf = "Supply,Kind,Pack,Protection class\nHard coat,liquid,50 ml,ceramic 2 year\n"
    plan = look(ALL, shelf=shelf, jobs=HEAD + job("Ceramic 2yr"))
    assert plan.proposals[0].layers == ("hard coat on paint",)
    bring_in(desk, plan)
    assert [row["name"] for row in rows(desk, "supplies")] == ["Hard coat"]


def test_which_of_two_supplies_is_asked_and_one_choice_holds_for_the_other_titles(
    desk: Desk, look: Look
) -> None:
    tables = {
        "shelf": "Supply,Kind,Pack,Protection class\nHard coat,liquid,50 ml,ceramic 2 year\n"
        "Soft coat,liquid,50 ml,ceramic 2 year\n",
        "jobs": HEAD + job("Ceramic 2yr") + job("Two-step, ceramic 2yr", "4/5/2025"),
    }
    plan = look(ALL, **tables)
    assert set(states(plan).values()) == {"asks"}
    key = next(one.key for one in plan.proposals if one.what == "Ceramic 2yr")
    chosen = Answer(layer=ChosenLayer("ceramic 2 year", "Soft coat"))
    plan = look(Choices(answers={key: chosen}), **tables)
    assert states(plan) == {"Ceramic 2yr": "accepted", "Two-step, ceramic 2yr": "proposed"}
    assert plan.proposals[-1].layers == plan.proposals[0].layers == ("soft coat on paint",)
    both = Choices(answers={key: chosen} | {one.key: Answer() for one in plan.proposals[:1]})
    assert set(states(look(both, **tables)).values()) == {"accepted"}


def test_a_ceramic_of_unknown_years_is_never_taken_unless_the_layer_is_said(
    desk: Desk, look: Look
) -> None:
    text = HEAD + job("Ceramic coating")
    plan = look(ALL, jobs=text)
    assert states(plan) == {"Ceramic coating": "asks"}
    key = plan.proposals[0].key
    none = look(Choices(answers={key: Answer(layer=ChosenLayer(""))}), jobs=text)
    assert (none.proposals[0].state, none.proposals[0].layers) == ("accepted", ())
    three = Choices(answers={key: Answer(layer=ChosenLayer("ceramic 3 year"))})
    bring_in(desk, look(three, jobs=text))
    assert {one for one, _, _ in layers(desk)} == {"ceramic 3 year"}


def test_notes_say_which_layer_where_the_title_leaves_it_open(desk: Desk, look: Look) -> None:
    text = (
        HEAD
        + job("Ceramic coating", notes="Applied 5yr ceramic.")
        + job("Full detail", "4/5/2025", notes="wants ceramic 2yr next spring")
    )
    bring_in(desk, look(ALL, jobs=text))
    assert {one for one, _, _ in layers(desk)} == {"ceramic 5 year"}


def test_a_layer_that_a_list_tells_of_itself_is_not_put_on_twice(desk: Desk, look: Look) -> None:
    told = HEAD.strip() + ",Protection applied\n"
    line = job("Two-step, ceramic 2yr").strip() + ",Hard coat ceramic 3 year\n"
    bring_in(desk, look(ALL, jobs=told + line))
    assert {one for one, _, _ in layers(desk)} == {"ceramic 3 year"}
    assert len(renewals(desk, TODAY).rows) == 1  # the polish of that job came before it


def test_correction_takes_off_what_an_earlier_job_put_on(desk: Desk, look: Look) -> None:
    text = HEAD + job("Ceramic 2yr", "1/5/2025") + job("Two-step", "3/5/2025")
    bring_in(desk, look(ALL, jobs=text))
    assert renewals(desk, TODAY).rows == ()


def test_a_booked_job_gets_its_steps_and_closing_its_day_puts_the_layer_on(
    desk: Desk, look: Look
) -> None:
    text = HEAD + job("Wash & wax", "8/14/2025", status="booked")
    bring_in(desk, look(ALL, jobs=text))
    assert layers(desk) == set()
    assert {row["state"] for row in rows(desk, "job_steps")} == {"to do"}
    close_day(desk, TODAY)
    assert {(one, day) for one, _, day in layers(desk)} == {("carnauba wax", TODAY)}


def test_closing_a_past_day_again_leaves_its_layers_standing(desk: Desk, look: Look) -> None:
    bring_in(desk, look(ALL, jobs=HEAD + job("Ceramic 2yr", "8/12/2025")))
    before = layers(desk)
    close_day(desk, date(2025, 8, 12))
    reopen_day(desk, date(2025, 8, 12), "looked again")
    close_day(desk, date(2025, 8, 12))
    assert layers(desk) == before
    assert [row["kind"] for row in rows(desk, "layer_events")] == ["applied"] * 3


def test_without_a_vehicle_and_on_a_cancelled_job_no_layer_is_put_on(
    desk: Desk, look: Look
) -> None:
    text = (
        HEAD
        + job("Wash & wax", who="Bob Hill", car="", plate="")
        + job("Ceramic 2yr", status="cancelled")
    )
    plan = look(ALL, jobs=text)
    assert any("its vehicle is not known" in "; ".join(one.details) for one in plan.lines)
    bring_in(desk, plan)
    assert layers(desk) == set()
    assert len(rows(desk, "job_services")) == 3


def test_a_service_of_the_book_called_like_a_layer_that_it_does_not_leave_stays_as_it_is(
    desk: Desk, look: Look
) -> None:
    add_service(desk, "Carnauba wax")
    plan = look(ALL, jobs=HEAD + job("Polish & wax"))
    assert plan.proposals[0].services == ("Polish", "Carnauba wax (carnauba wax)")
    bring_in(desk, plan)
    steps = rows(desk, "service_steps")
    assert [row["service_id"] for row in steps] == [
        row["id"] for row in rows(desk, "services") if row["name"].endswith("(carnauba wax)")
    ]


def test_a_title_of_which_the_book_knows_only_a_part_sells_nothing_of_itself(
    desk: Desk, look: Look
) -> None:
    bring_in(desk, look(ALL, jobs=HEAD + job("Carnauba wax")))
    add_service(desk, "Dog hair")
    before = layers(desk)
    told = {
        "Carnauba wax, dog hair": "known",
        "Carnauba wax, customer declined": "unread",
        "Carnauba wax?": "unread",
    }
    plan = look(ALL, jobs=HEAD + "".join(job(one, "4/5/2025") for one in list(told)[1:]))
    bring_in(desk, plan)
    assert layers(desk) == before
    plan = look(jobs=HEAD + "".join(job(one, "5/5/2025") for one in told))
    assert states(plan) == told


def test_a_service_of_the_book_that_leaves_more_than_the_title_says_is_asked_about(
    desk: Desk, look: Look
) -> None:
    _, service = add_service(desk, "Full detail")
    bring_in(desk, look(shelf="Supply,Kind,Protection class\nTop,liquid,spray sealant\n"))
    add_service_step(desk, service, "Spray it", "applies", 1, ("upper sides",))
    plan = look(ALL, jobs=HEAD + job("Int/ext") + job("Full detail", "4/5/2025"))
    assert states(plan) == {"Int/ext": "asks", "Full detail": "known"}
    bring_in(desk, plan)
    assert layers(desk) == {("spray sealant", "upper sides", date(2025, 4, 5))}


def test_two_spellings_that_are_read_otherwise_are_asked_about_apart(
    desk: Desk, look: Look
) -> None:
    text = HEAD + job("Wash, ceramic 2yr") + job("Wash ceramic 2yr", "4/5/2025")
    plan = look(ALL, jobs=text)
    assert states(plan) == {"Wash, ceramic 2yr": "accepted", "Wash ceramic 2yr": "unread"}


def test_each_row_of_a_job_that_stands_already_is_sold_when_it_is_confirmed_late(
    desk: Desk, look: Look
) -> None:
    text = "Job no.,Date,Customer,Vehicle,Services,Total\n" + "".join(
        f"7,3/5/2025,Ann Marlow,blue wagon,{title},100\n" for title in ("Two-step", "Ceramic 2yr")
    )
    bring_in(desk, look(jobs=text))
    bring_in(desk, look(ALL, jobs=text))
    assert len(rows(desk, "jobs")) == 1
    assert len(rows(desk, "job_services")) == 2
    assert not look(ALL, jobs=text).changes_something()


def test_another_service_is_sold_where_a_person_says_so(desk: Desk, look: Look) -> None:
    text = HEAD + job("As discussed")
    key = look(jobs=text).proposals[0].key
    said = Answer(service="Hood and roof", layer=ChosenLayer("synthetic sealant"))
    bring_in(desk, look(Choices(answers={key: said}), jobs=text))
    assert [row["name"] for row in rows(desk, "services")] == ["Hood and roof"]
    assert {one for one, _, _ in layers(desk)} == {"synthetic sealant"}

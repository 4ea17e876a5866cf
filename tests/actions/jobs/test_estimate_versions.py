"""Versions of an estimate: written from the job, frozen once given, approved, answered."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.actions.desk.desk import Desk
from app.actions.jobs import estimate_versions as does
from app.actions.jobs import estimate_writing as writes
from app.actions.jobs.booking_jobs import NewJob, book_job
from app.actions.jobs.enquiries import note_enquiry
from app.actions.jobs.estimate_calls import calls_due
from app.actions.jobs.job_changes import add_charge, cancel_job, expect
from app.actions.jobs.services import add_service
from app.actions.people.customers import edit_customer
from app.errors import Mendable, Refused
from app.records.contents import contents
from tests.shop import TODAY, Clock, SmallShop, small_desk


@pytest.fixture
def job(desk: Desk, shop: SmallShop) -> int:
    """A booked polish of 5 hours at 450.00 and a discount of 20.00; the rate is 90.00 an hour."""
    polish = add_service(desk, "One-step polish", minutes="5:00", price="450")[1]
    new = NewJob(customer_id=shop.customers["quell"], services=((polish, 1),))
    made = book_job(desk, new)[1]
    add_charge(desk, made, "Discount", "-20", 0)
    return made


def newest(desk: Desk, job: int) -> does.Version:
    return does.versions(desk, job)[-1]


def test_a_draft_is_prefilled_from_the_job_and_undone_in_one_step(desk: Desk, job: int) -> None:
    before = contents(desk.book)
    made = does.make_version(desk, job)[1]
    version = newest(desk, job)
    assert [line.text for line in version.lines] == ["One-step polish", "Discount"]
    polish, discount = version.lines
    # Common practice, no source: -5 and +25 % before five closed jobs; 15 min and 75 min at 90.00.
    assert (polish.low_minutes, polish.minutes, polish.high_minutes) == (285, 300, 375)
    assert (polish.low, polish.likely, polish.high) == (42_750, 45_000, 56_250)
    assert (discount.low, discount.likely, discount.high) == (-2_000, -2_000, -2_000)
    assert version.row.valid_until == TODAY + timedelta(days=30)
    assert len(version.holds) == 1
    assert does.make_version(desk, job)[1] == made  # the draft that stands
    desk.book.undo(today=TODAY)
    assert contents(desk.book) == before


def test_what_is_expected_of_the_job_is_likely_so_that_no_call_is_due_at_once(
    desk: Desk, job: int
) -> None:
    expect(desk, job, "6:00")
    made = does.make_version(desk, job)[1]
    row = newest(desk, job).row
    assert (row.low_minutes, row.minutes, row.high_minutes) == (342, 360, 450)
    does.approve(desk, made, "Jonas Quell", "phone")
    assert calls_due(desk, [job]) == {}


def test_the_sums_have_their_tax_last(desk: Desk, job: int) -> None:
    made = does.make_version(desk, job)[1]
    version = newest(desk, job)
    for name in ("low", "likely", "high"):
        by_rate: dict[int, int] = {}
        for line in version.lines:
            by_rate[line.tax_rate] = by_rate.get(line.tax_rate, 0) + getattr(line, name)
        # Half away from zero, each rate on its total (EN 16931, BR-S-09).
        tax = sum((net * rate * 2 + 100_000) // 200_000 for rate, net in by_rate.items())
        assert getattr(version.row, name) == sum(by_rate.values()) + tax
    writes.add_line(desk, made, "Supplies", "38 46 60")
    assert (newest(desk, job).lines[-1].low, newest(desk, job).lines[-1].high) == (3_800, 6_000)
    with pytest.raises(Mendable, match="does not rise"):
        writes.add_line(desk, made, "Risk", "60 46 38")


def test_an_enquiry_without_a_service_has_its_words_as_a_line(desk: Desk, shop: SmallShop) -> None:
    job = note_enquiry(desk, "Mara Tolk", "a coating")[1]
    made = does.make_version(desk, job)[1]
    (line,) = newest(desk, job).lines
    assert line.text == "a coating"
    with pytest.raises(Mendable, match="comes to nothing yet"):
        does.give(desk, made)
    writes.edit_line(desk, line.line_id, "minutes", "4:00 5:00 7:00")
    writes.edit_line(desk, line.line_id, "likely", "400 500 700")
    does.give(desk, made)
    row = newest(desk, job).row
    assert (row.low_minutes, row.minutes, row.high_minutes) == (240, 300, 420)


def test_a_given_version_never_changes_and_the_next_begins_from_the_job(
    desk: Desk, job: int
) -> None:
    made = does.make_version(desk, job)[1]
    does.edit_version(desk, made, assumptions="It rolls.\n\nThe gauge reads steel.")
    does.add_hold_point(desk, made, "After the test spots.")
    does.give(desk, made)
    first = newest(desk, job)
    line, point = first.lines[0], first.holds[0]
    for change in (
        lambda: does.edit_version(desk, made, reason="seals"),
        lambda: writes.edit_line(desk, line.line_id, "likely", "1"),
        lambda: writes.add_line(desk, made, "Travel", "30"),
        lambda: writes.remove_line(desk, line.line_id),
        lambda: does.add_hold_point(desk, made, "Another"),
        lambda: does.remove_hold_point(desk, point.hold_id),
    ):
        with pytest.raises(Refused, match="Make the next version"):
            change()
    assert newest(desk, job) == first
    add_charge(desk, job, "Odor", "60", 0)
    second = does.make_version(desk, job)[1]
    assert second != made
    again = does.versions(desk, job)
    assert again[0] == first
    assert again[1].row.assumptions == "It rolls.\nThe gauge reads steel."
    assert [one.text for one in again[1].holds] == [one.text for one in first.holds]
    assert "New: Odor." in again[1].differs


def test_a_draft_that_lay_stands_from_the_day_on_which_it_is_given(
    desk: Desk, job: int, clock: Clock
) -> None:
    made = does.make_version(desk, job)[1]
    clock.go_to(TODAY + timedelta(days=90))
    does.give(desk, made)
    assert newest(desk, job).row.valid_until == TODAY + timedelta(days=120)


def test_a_last_day_that_was_typed_and_passed_is_asked_for_again(
    desk: Desk, job: int, clock: Clock
) -> None:
    made = does.make_version(desk, job)[1]
    does.edit_version(desk, made, valid_until="20 Aug")
    clock.go_to(TODAY + timedelta(days=20))
    with pytest.raises(Mendable, match="20 August 2025, which is past"):
        does.give(desk, made)
    does.edit_version(desk, made, valid_until="")
    does.give(desk, made)
    assert newest(desk, job).given


@pytest.mark.parametrize("given_first", [True, False])
def test_of_a_job_that_was_called_off_nothing_is_given_or_agreed(
    desk: Desk, job: int, given_first: bool
) -> None:
    made = does.make_version(desk, job)[1]
    if given_first:
        does.give(desk, made)
    cancel_job(desk, job)
    with pytest.raises(Mendable, match="was called off"):
        does.approve(desk, made, "", "phone") if given_first else does.give(desk, made)


def test_the_next_version_of_an_enquiry_keeps_what_was_typed(desk: Desk, shop: SmallShop) -> None:
    job = note_enquiry(desk, "Jonas Quell 312 555 0177", "a coating")[1]
    made = does.make_version(desk, job)[1]
    writes.edit_line(desk, newest(desk, job).lines[0].line_id, "likely", "400 500 700")
    writes.edit_line(desk, newest(desk, job).lines[0].line_id, "minutes", "4:00 5:00 7:00")
    writes.add_line(desk, made, "Discount", "-25")
    does.give(desk, made)
    first = newest(desk, job)
    does.make_version(desk, job)
    second = newest(desk, job)
    assert second.differs == ()
    assert (second.row.low, second.row.likely, second.row.high) == (
        first.row.low, first.row.likely, first.row.high,
    )  # fmt: skip
    assert second.row.high_minutes == first.row.high_minutes == 420


def test_the_next_version_of_a_job_keeps_its_spans_and_lines_of_its_own(
    desk: Desk, job: int
) -> None:
    made = does.make_version(desk, job)[1]
    polish = newest(desk, job).lines[0]
    writes.edit_line(desk, polish.line_id, "low", "300")
    writes.add_line(desk, made, "Travel", "20 30 50")
    does.give(desk, made)
    add_charge(desk, job, "Odor", "60", 0)
    does.make_version(desk, job)
    lines = {one.text: (one.low, one.likely, one.high) for one in newest(desk, job).lines}
    assert list(lines) == ["One-step polish", "Discount", "Odor", "Travel"]
    assert lines["One-step polish"] == (30_000, 45_000, 56_250)
    assert lines["Travel"] == (2_000, 3_000, 5_000)
    assert newest(desk, job).differs[-1] == "New: Odor."


def test_who_is_exempt_from_tax_is_estimated_without_it(desk: Desk, shop: SmallShop) -> None:
    edit_customer(desk, shop.customers["quell"], tax_exempt_no="TX-1")
    job = note_enquiry(desk, "Jonas Quell", "a coating")[1]
    does.make_version(desk, job)
    assert newest(desk, job).lines[0].tax_rate == 0


def test_a_yes_has_who_when_how_and_a_ceiling_that_stays_with_the_job(desk: Desk, job: int) -> None:
    made = does.make_version(desk, job)[1]
    does.give(desk, made)
    row = newest(desk, job).row
    with pytest.raises(Mendable, match="less than the likely"):
        does.approve(desk, made, "Jonas Quell", "phone", row.likely - 1)
    does.approve(desk, made, "Jonas Quell", "phone")
    yes = does.approved(does.versions(desk, job))
    assert yes is not None
    assert (yes.row.approved_by, yes.row.approved_how, yes.row.approved_on, yes.ceiling) == (
        "Jonas Quell", "phone", TODAY, row.high,
    )  # fmt: skip
    with pytest.raises(Mendable, match="approved already"):
        does.approve(desk, made, "Jonas Quell", "phone")
    second = does.make_version(desk, job)[1]
    with pytest.raises(Mendable, match="is newer"):
        does.approve(desk, made, "Jonas Quell", "phone")
    assert does.approved(does.versions(desk, job)) == yes  # until the next is said yes to
    does.approve(desk, second, "Jonas Quell", "mail")
    desk.book.undo(today=TODAY)
    assert does.approved(does.versions(desk, job)) == yes


def test_a_hold_point_is_answered_once_it_was_given(desk: Desk, job: int) -> None:
    made = does.make_version(desk, job)[1]
    (point,) = newest(desk, job).holds
    with pytest.raises(Mendable, match="Give the estimate first"):
        does.answer(desk, point.hold_id, "go on")
    does.give(desk, made)
    does.answer(desk, point.hold_id, "go on", "phone")
    (point,) = newest(desk, job).holds
    assert (point.answer, point.answered_on, point.channel) == ("go on", TODAY, "phone")
    desk.book.undo(today=TODAY)
    assert newest(desk, job).holds[0].answer == ""


STEPS = ("make", "text", "line", "point", "give", "yes", "charge", "undo", "redo")


@settings(max_examples=25, deadline=None)
@given(st.lists(st.sampled_from(STEPS), min_size=4, max_size=16))
def test_whatever_is_done_a_given_version_says_what_it_said(steps: list[str]) -> None:
    """Undo of the giving itself aside, which is then the newest thing that was done."""
    with TemporaryDirectory() as folder:
        desk, shop = small_desk(Path(folder) / "shop.bayledger", Clock())
        _many(desk, shop, steps)
        desk.book.close()


def _many(desk: Desk, shop: SmallShop, steps: list[str]) -> None:
    job = book_job(desk, NewJob(customer_id=shop.customers["quell"]))[1]
    add_charge(desk, job, "Polish", "450", 0)
    held: dict[int, tuple[object, ...]] = {}
    for step in steps:
        found = does.versions(desk, job)
        made = found[-1].row.estimate_id if found else 0
        try:
            if step in ("undo", "redo"):
                getattr(desk.book, step)(today=TODAY)
            elif step == "charge":
                add_charge(desk, job, "More", "10", 0)
            elif step == "make":
                does.make_version(desk, job)
            elif made:
                {
                    "text": lambda key: does.edit_version(desk, key, reason="seals"),
                    "line": lambda key: writes.add_line(desk, key, "Travel", "30"),
                    "point": lambda key: does.add_hold_point(desk, key, "Call first."),
                    "give": lambda key: does.give(desk, key),
                    "yes": lambda key: does.approve(desk, key, "Quell", "phone"),
                }[step](made)
        except (Mendable, Refused):
            pass
        now = {one.row.estimate_id: one for one in does.versions(desk, job)}
        for key, said in held.items():
            assert key not in now or not now[key].given or _said(now[key]) == said
        held = {key: _said(one) for key, one in now.items() if one.given}
        for one in now.values():
            assert one.row.low <= one.row.likely <= one.row.high


def _said(version: does.Version) -> tuple[object, ...]:
    row = version.row
    return (
        row.version, row.made_on, row.low, row.likely, row.high, row.minutes, row.reason,
        version.lines, tuple(one.text for one in version.holds),
    )  # fmt: skip

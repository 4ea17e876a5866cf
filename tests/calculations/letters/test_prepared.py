"""A prepared letter judged again: by the rule that chose it, never by a second one."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given, settings

from app.calculations.layers.layers import Verdict
from app.calculations.letters.letters import Addressee, HouseholdFacts, Sent, choose_letters
from app.calculations.letters.prepared import PreparedItem, PreparedLetter, judge_again
from tests.calculations.letters.test_letters import ago, ahead, facts, households, layer, layers

TODAY = date(2026, 8, 12)


def letter(*numbers: int, day: date = TODAY, held: bool = True, **more: object) -> PreparedLetter:
    items = tuple(PreparedItem(number, "blue wagon", held) for number in numbers)
    return PreparedLetter(1, day, items, **more)


def why(prepared, dues, known=None):
    return judge_again(prepared, dues, known or facts()["Ferrowe"], TODAY).why_not


def test_a_letter_that_the_rule_would_write_today_goes_with_todays_reason():
    found = judge_again(letter(1), [layer()], facts()["Ferrowe"], TODAY)
    assert found.why_not == ""
    assert found.letter is not None
    assert found.letter.reason.startswith("Synthetic sealant on upper sides")


def test_a_letter_is_not_thrown_away_when_other_vehicles_taught_a_few_days_more():
    assert why(letter(1, day=ago(2)), [layer(3)]) == ""


def test_a_layer_seen_since_must_ask_for_a_letter_anew():
    seen = layer(3, judged=ago(1), verdict=Verdict.HOLDING)
    assert why(letter(1, day=ago(2)), [seen]) == (
        "the layer on the blue wagon was judged holding on 11 August 2026"
    )
    gone = layer(0, judged=ago(1), verdict=Verdict.GONE)
    assert why(letter(1, day=ago(2)), [gone]) == ""


@pytest.mark.parametrize(
    ("held", "words"),
    [(True, "the layer on the blue wagon was renewed or taken off"),
     (False, "the blue wagon is not theirs any more")],
)  # fmt: skip
def test_one_layer_of_several_that_is_no_more_keeps_the_whole_letter(held, words):
    both = PreparedLetter(
        1, TODAY, (PreparedItem(1, "gray van"), PreparedItem(2, "blue wagon", held))
    )
    assert why(both, [layer()]) == words


def test_it_goes_to_the_person_and_by_the_way_it_was_written_for_or_not_at_all():
    known = HouseholdFacts("Ferrowe", (Addressee(1), Addressee(2)))
    items = [layer(), layer(customer=2, vehicle=2, number=2)]
    assert why(letter(1, 2), items, known) == ""
    assert "no good address" in why(letter(1, 2, reachable=False), items, known)
    dead = HouseholdFacts("Ferrowe", (Addressee(1, deceased=True), Addressee(2)))
    assert "has died" in why(letter(2), items, dead)
    assert "not in the book" in why(replace(letter(1), customer=9), items, known)


def test_a_promise_that_a_visit_kept_meanwhile_is_no_reason_any_more():
    promise = HouseholdFacts("Ferrowe", (Addressee(1, later_until=ago(3)),))
    assert why(letter(), [], promise) == ""
    assert "was here on" in why(letter(), [], replace(promise, last_visit=ago(1)))
    assert "was written to" in why(letter(), [], replace(promise, letters=(Sent(ago(1), False),)))


@settings(max_examples=400)
@given(layers, households)
def test_what_the_rule_chooses_may_go_on_the_same_day_and_nothing_else_may(items, known):
    """Numbered, so that each layer is one; the same facts must give the same answer."""
    items = [
        replace(due, candidate=replace(due.candidate, layer=number))
        for number, due in enumerate(items)
    ]
    (chosen,) = choose_letters(items, {"Ferrowe": known}, TODAY).letters or (None,)
    for person in known.people:
        numbers = [due.candidate.layer for due in (chosen.items if chosen else items)]
        written = PreparedLetter(
            person.customer,
            TODAY - timedelta(days=1),
            tuple(PreparedItem(number, "blue wagon") for number in numbers),
        )
        judged = judge_again(written, items, known, TODAY)
        if chosen is not None and chosen.customer == person.customer:
            assert judged.why_not == ""
        if judged.why_not == "":
            assert judged.letter is not None
            assert judged.letter.customer == person.customer
            assert not person.deceased
            assert person.consent
            assert known.booked is None or known.booked < TODAY
            assert not any(one.stopped_on for one in known.people if not one.deceased)


def test_nothing_is_due_any_more_where_nothing_else_is_known():
    assert why(letter(), []) == "nothing of theirs is due any more"
    assert why(letter(1), [layer(90)]) == "the layer on the blue wagon is due 10 November 2026"
    assert ahead(90) == date(2026, 11, 10)


def test_what_was_seen_on_the_day_of_the_letter_was_seen_since():
    """On that day or later, as the rule has it; the day before is what the letter was about."""
    day = ago(2)
    since = layer(3, judged=day, verdict=Verdict.HOLDING)
    before = layer(3, judged=ago(3), verdict=Verdict.HOLDING)
    assert "was judged holding on 10 August 2026" in why(letter(1, day=day), [since])
    assert why(letter(1, day=day), [before]) == ""


def test_a_layer_that_waits_is_told_by_its_letter_day():
    assert why(letter(1), [layer(90)]) == "the layer on the blue wagon is due 10 November 2026"

"""The last day on which each reason not to write holds, and the first on which it does not.

The days follow from the sentences of `Rules` (up to and including 30 days after a visit, 21 after a
letter, four in a year, two unanswered and a year's rest, 56 days before a lease ends): common
practice, no source.
"""

from __future__ import annotations

from datetime import date

import pytest

from app.calculations.letters.letters import Addressee, Rules, Sent, Why, choose_letters
from tests.calculations.letters.test_letters import TODAY, ago, ahead, facts, layer, whys

ANSWERED, SILENT = True, False


def person(**more):
    return {"people": [Addressee(1, **more)]}


def letters(*days, answered=ANSWERED):
    return {"letters": tuple(Sent(ago(one), answered) for one in days)}


HOUSEHOLD = [
    (Why.RECENT_VISIT, {"last_visit": ago(30)}, {"last_visit": ago(31)}),
    (Why.RECENT_LETTER, letters(21), letters(22)),
    (Why.FOUR_A_YEAR, letters(364, 300, 200, 100), letters(365, 300, 200, 100)),
    (
        Why.RESTING,
        letters(400, 364, answered=SILENT),
        letters(400, 365, answered=SILENT),
    ),
    (Why.BOOKED, {"booked": TODAY}, {"booked": ago(1)}),
    (Why.LATER, person(later_until=ahead(1)), person(later_until=TODAY)),
    (Why.NOT_NOW, person(not_before=ahead(1)), person(not_before=TODAY)),
]
LAYER = [
    (Why.SOLD, {"sold": TODAY}, {"sold": ahead(1)}),
    (Why.STORED, {"stored_until": ahead(1)}, {"stored_until": TODAY}),
    (Why.LEASE_ENDS, {"lease_ends": ahead(56)}, {"lease_ends": ahead(57)}),
]


@pytest.mark.parametrize(("why", "last", "first"), HOUSEHOLD)
def test_a_reason_about_the_household_holds_until_its_last_day(why, last, first):
    assert whys(choose_letters([layer()], facts(**last), TODAY)) == [[why]]
    assert len(choose_letters([layer()], facts(**first), TODAY).letters) == 1


def test_of_two_people_whom_you_said_not_now_of_the_later_day_is_told():
    people = [Addressee(1, not_before=ahead(5)), Addressee(2, not_before=ahead(20))]
    (one,) = choose_letters([layer()], facts(people), TODAY).suppressed
    assert one.why == "you said not now; asked again from 1 September 2026"


@pytest.mark.parametrize(("why", "last", "first"), LAYER)
def test_a_reason_about_the_vehicle_holds_until_its_last_day(why, last, first):
    assert whys(choose_letters([layer(**last)], facts(), TODAY)) == [[why]]
    assert len(choose_letters([layer(**first)], facts(), TODAY).letters) == 1


def test_a_lease_that_ends_today_ends_and_one_of_yesterday_ended():
    for day, word in ((TODAY, "ends"), (ago(1), "ended")):
        (one,) = choose_letters([layer(lease_ends=day)], facts(), TODAY).suppressed
        assert one.why.startswith(f"the lease of the blue wagon {word} on ")


@pytest.mark.parametrize("kept", [{"last_visit": ago(5)}, letters(5)])
def test_a_visit_or_a_letter_on_the_promised_day_itself_keeps_the_promise(kept):
    known = facts(**person(later_until=ago(5)), **kept)
    assert choose_letters([], known, TODAY).letters == ()


@pytest.mark.parametrize("early", [{"last_visit": ago(6)}, letters(6)])
def test_a_visit_or_a_letter_of_the_day_before_does_not_keep_it(early):
    known = facts(**person(later_until=ago(5)), **early)
    assert choose_letters([], known, TODAY).letters[0].promised


def test_a_visit_on_the_day_of_a_letter_answers_it():
    asked = letters(120, 100, answered=SILENT)
    assert whys(choose_letters([layer()], facts(**asked), TODAY)) == [[Why.RESTING]]
    assert choose_letters([layer()], facts(**asked, last_visit=ago(100)), TODAY).letters
    assert not choose_letters([layer()], facts(**asked, last_visit=ago(121)), TODAY).letters


def test_two_that_were_not_answered_are_the_last_two_in_whatever_order_they_are_told():
    told = (Sent(ago(100), SILENT), Sent(ago(300), ANSWERED), Sent(ago(200), SILENT))
    (one,) = choose_letters([layer()], facts(letters=told), TODAY).suppressed
    assert one.whys[0][0] is Why.RESTING
    assert one.why == "did not answer the last 2 letters; rests until 4 May 2027"


def test_one_letter_is_not_two():
    assert choose_letters([layer()], facts(**letters(100, answered=SILENT)), TODAY).letters
    strict = Rules(unanswered=1)
    (one,) = choose_letters(
        [layer()], facts(**letters(100, answered=SILENT)), TODAY, strict
    ).suppressed
    assert "the last letter;" in one.why


def test_a_layer_asks_on_its_letter_day_and_not_the_day_before():
    assert len(choose_letters([layer(0)], facts(), TODAY).letters) == 1
    assert choose_letters([layer(1)], facts(), TODAY).letters == ()


def test_what_is_due_in_three_weeks_goes_along_and_what_is_due_a_day_later_waits():
    items = [layer(), layer(61, number=2), layer(62, number=3)]  # due from 40 days before it
    (letter,) = choose_letters(items, facts(), TODAY).letters
    assert [due.candidate.layer for due in letter.items] == [1, 2]
    assert (letter.due_from, letter.due_to) == (ago(40), ahead(5))


def test_the_next_season_is_the_first_month_of_it_after_one_outside():
    """In November of a season of October and November that is 1 October of next year."""
    known = facts(season=(10, 11), season_title="before salt")
    november = date(2026, 11, 20)
    first = date(2027, 10, 1)
    days = (first - TODAY).days - 5  # `layer` is due five days after its letter day at the latest
    before, on_the_day = layer(days - 1), layer(days)
    assert before.due_to < first == on_the_day.due_to
    assert choose_letters([before], known, november).letters
    assert not choose_letters([on_the_day], known, november).letters


def test_where_every_month_is_in_season_nothing_is_drawn_forward():
    assert choose_letters([layer(30)], facts(season=tuple(range(1, 13))), TODAY).letters == ()


def test_out_of_season_the_months_are_named():
    (one,) = choose_letters([layer()], facts(season=(3, 10)), TODAY).suppressed
    assert one.why == "wishes to be written to in season, in March and October"


def test_several_days_of_later_are_told_by_the_last_and_stops_by_the_first():
    people = [Addressee(1, later_until=ahead(5)), Addressee(2, later_until=ahead(20))]
    (one,) = choose_letters([layer()], facts(people=people), TODAY).suppressed
    assert one.why.endswith("from 1 September 2026")
    people = [Addressee(1, stopped_on=ago(5)), Addressee(2, stopped_on=ago(7))]
    (one,) = choose_letters([layer()], facts(people=people), TODAY).suppressed
    assert one.why == "asked on 5 August 2026 not to be written to"


def test_letters_stand_by_the_day_from_which_they_are_due():
    items = [
        layer(-3, household="A", number=1),
        layer(-9, household="B", number=2),
        layer(-9, household="A1", number=3),
    ]
    known = {name: facts()["Ferrowe"] for name in ("A", "B", "A1")}
    households = [letter.due_from for letter in choose_letters(items, known, TODAY).letters]
    assert households == sorted(households)


def test_a_promise_names_one_layer_where_none_is_due_soon_and_all_that_are():
    promised = facts(**person(later_until=ago(1)))
    far = [layer(210, number=2), layer(200, number=1)]
    (letter,) = choose_letters(far, promised, TODAY).letters
    assert [due.candidate.layer for due in letter.items] == [1], "the soonest"
    near = [layer(50, number=1), layer(55, number=2), layer(200, number=3)]
    (letter,) = choose_letters(near, promised, TODAY).letters
    assert [due.candidate.layer for due in letter.items] == [1, 2]


def test_what_speaks_against_a_layer_is_told_from_its_letter_day_on():
    sold = {"sold": ago(3)}
    assert len(choose_letters([layer(1, **sold)], facts(), TODAY).waiting) == 1
    choice = choose_letters([layer(0, **sold)], facts(), TODAY)
    assert (whys(choice), choice.waiting) == ([[Why.SOLD]], ())


def test_layers_with_the_same_reasons_are_told_together_and_others_apart():
    items = [
        layer(0, number=1, sold=ago(3)),
        layer(-1, number=2, sold=ago(3)),
        layer(-2, number=3, sold=ago(4)),
    ]
    groups = choose_letters(items, facts(), TODAY).suppressed
    assert sorted(sorted(due.candidate.layer for due in one.items) for one in groups) == [
        [1, 2],
        [3],
    ]
    first = [min(due.due_from for due in one.items) for one in groups]
    assert first == sorted(first)


def test_what_is_put_off_for_the_household_is_about_all_that_it_would_name():
    items = [layer(0, number=1), layer(55, number=2), layer(200, number=3)]
    (one,) = choose_letters(items, facts(booked=ahead(4)), TODAY).suppressed
    assert [due.candidate.layer for due in one.items] == [1, 2]
    assert one.why == "is booked for 16 August 2026"


def test_of_two_promises_the_first_person_s_is_kept():
    people = [Addressee(1, later_until=ago(3)), Addressee(2, later_until=ago(9))]
    (letter,) = choose_letters([], facts(people=people), TODAY).letters
    assert letter.customer == 1
    dead = [Addressee(1, later_until=ago(3), deceased=True), Addressee(2, later_until=ago(9))]
    (letter,) = choose_letters([], facts(people=dead), TODAY).letters
    assert letter.customer == 2


def test_a_stop_holds_from_its_own_day_though_the_law_gives_ten_business_days():
    """15 U.S.C. 7704(a)(4) has it honored within ten business days; the shop does at once."""
    for stopped in (TODAY, ago(1), ago(4000)):
        choice = choose_letters([layer()], facts(**person(stopped_on=stopped)), TODAY)
        assert whys(choice) == [[Why.STOPPED]]
    promised = person(stopped_on=TODAY, later_until=ago(1))
    assert choose_letters([layer()], facts(**promised), TODAY).letters == ()


def test_a_stop_of_somebody_who_died_stops_nobody_else():
    people = [Addressee(1), Addressee(2, deceased=True, stopped_on=ago(90))]
    assert len(choose_letters([layer()], facts(people=people), TODAY).letters) == 1

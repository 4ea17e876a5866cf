"""Letters of a day: one for a household, and a reason for every one that is not written.

The manners checked here (30 days, 21 days, four a year, two unanswered): common practice, no
source.
"""

from __future__ import annotations

from collections import Counter
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.calculations.layers.layers import Verdict
from app.calculations.layers.protection import CLASSES, ProtectionClass, Reminding, SurfaceGroup
from app.calculations.letters.letters import (
    Addressee,
    HouseholdFacts,
    Rules,
    Sent,
    Why,
    choose_letters,
)
from app.calculations.letters.renewals import Due, WearingLayer

TODAY = date(2026, 8, 12)
SEALANT = ProtectionClass.SYNTHETIC_SEALANT


def ago(days):
    return TODAY - timedelta(days=days)


def ahead(days):
    return TODAY + timedelta(days=days)


def layer(write_in=0, kind=SEALANT, customer=1, household="Ferrowe", vehicle=1, number=1, **more):
    applied = ago(200)
    one = WearingLayer(
        household=household,
        customer=customer,
        vehicle=vehicle,
        layer=number,
        supply=1,
        protection_class=kind,
        group=more.pop("group", SurfaceGroup.UPPER_SIDES),
        applied=applied,
        vehicle_title=more.pop("vehicle_title", "blue wagon"),
        exposure=0.68,
        **more,
    )
    return Due(one, ahead(write_in - 40), ahead(write_in + 5), ahead(write_in), 0.55)


def facts(people=None, **more):
    return {"Ferrowe": HouseholdFacts("Ferrowe", tuple(people or [Addressee(1)]), **more)}


def whys(choice):
    return [[why for why, _ in one.whys] for one in choice.suppressed]


def test_a_layer_whose_letter_day_has_come_is_written_about():
    choice = choose_letters([layer()], facts(), TODAY)
    (letter,) = choice.letters
    assert (letter.household, letter.customer, len(letter.items)) == ("Ferrowe", 1, 1)
    assert letter.reason == (
        "Synthetic sealant on upper sides of the blue wagon, put on 24 January 2026 and not seen "
        "since, best seen again by 17 August 2026."
    )
    assert choice.suppressed == ()


def test_a_layer_whose_letter_day_is_to_come_waits():
    choice = choose_letters([layer(30)], facts(), TODAY)
    assert (choice.letters, choice.suppressed, len(choice.waiting)) == ((), (), 1)


def test_what_else_of_the_household_is_nearly_due_goes_in_the_same_letter():
    items = [layer(), layer(55, vehicle=2, number=2), layer(90, vehicle=3, number=3)]
    choice = choose_letters(items, facts(), TODAY)
    (letter,) = choice.letters
    assert [due.candidate.layer for due in letter.items] == [1, 2]
    assert [due.candidate.layer for due in choice.waiting] == [3]


def test_two_people_of_one_household_get_one_letter():
    items = [layer(), layer(customer=2, vehicle=2, number=2)]
    choice = choose_letters(items, facts(people=[Addressee(1), Addressee(2)]), TODAY)
    assert len(choice.letters) == 1
    assert len(choice.letters[0].items) == 2


def test_layers_alike_are_told_as_one_in_the_reason():
    items = [
        layer(judged=ago(101), verdict=Verdict.FADING),
        layer(judged=ago(101), verdict=Verdict.FADING, number=2, group=SurfaceGroup.LOWERS),
    ]
    (letter,) = choose_letters(items, facts(), TODAY).letters
    assert letter.reason == (
        "Synthetic sealant on upper sides and lowers of the blue wagon, judged fading on "
        "3 May 2026, best seen again by 17 August 2026."
    )


@pytest.mark.parametrize(
    ("refused", "said"),
    [("", ""), ("no such box", "; the mail server refuses theirs (“no such box”)")],
)
def test_that_a_mail_server_refuses_an_address_is_told_where_it_did(refused, said):
    nobody = [Addressee(1, reachable=False, mail_refused=refused)]
    (one,) = choose_letters([layer()], facts(nobody), TODAY).suppressed
    assert one.why == f"no good address on a channel they agreed to{said}"


def test_whom_nothing_is_written_to_stand_by_their_soonest_layer():
    """Nobody is known of them, so nobody is written to; Aldane's other layer is due far later."""
    dues = [
        layer(-3, household="Quell"),
        layer(-5, household="Aldane", number=2),
        layer(-1, household="Aldane", number=3),
    ]
    silent = choose_letters(dues, {}, TODAY).suppressed
    assert [one.household for one in silent] == ["Aldane", "Quell"]


SILENT = [
    (Why.STOPPED, {"people": [Addressee(1, stopped_on=ago(400))]}, "not to be written to"),
    (Why.NO_ADDRESS, {"people": [Addressee(1, reachable=False)]}, "no good address"),
    (Why.LATER, {"people": [Addressee(1, later_until=ahead(20))]}, "from 1 September 2026"),
    (Why.NOT_NOW, {"people": [Addressee(1, not_before=ahead(20))]}, "from 1 September 2026"),
    (Why.BOOKED, {"booked": ahead(3)}, "is booked for 15 August 2026"),
    (Why.MAY_HAVE_GONE, {"tried": ago(2)}, "the mail of 10 August 2026"),
    (Why.SOLD, {"sold_all": True}, "holds no vehicle"),
    (Why.RECENT_VISIT, {"last_visit": ago(30)}, "was here on 13 July 2026"),
    (Why.RECENT_LETTER, {"letters": (Sent(ago(21), True),)}, "was written to on 22 July 2026"),
    (
        Why.FOUR_A_YEAR,
        {"letters": tuple(Sent(ago(days), True) for days in (350, 250, 150, 50))},
        "4 times in a year",
    ),
    (
        Why.RESTING,
        {"letters": (Sent(ago(300), False), Sent(ago(100), False))},
        "rests until 4 May 2027",
    ),
    (
        Why.SEASON,
        {"season": (10, 11), "season_title": "before salt"},
        "before salt, in October and November",
    ),
]


@pytest.mark.parametrize(("why", "known", "words"), SILENT, ids=[row[0].value for row in SILENT])
def test_a_household_is_left_in_peace_with_its_reason(why, known, words):
    choice = choose_letters([layer()], facts(**known), TODAY)
    assert choice.letters == ()
    assert whys(choice) == [[why]]
    assert words in choice.suppressed[0].why


OPEN_AGAIN = [
    {"last_visit": ago(31)},
    {"letters": (Sent(ago(22), True),)},
    {"letters": tuple(Sent(ago(days), True) for days in (370, 250, 150, 50))},
    {"letters": (Sent(ago(600), False), Sent(ago(365), False))},
    {"letters": (Sent(ago(300), False), Sent(ago(100), True))},
    {"letters": (Sent(ago(300), False), Sent(ago(100), False)), "last_visit": ago(60)},
    {"season": (8, 9)},
    {"people": [Addressee(1, later_until=ago(1))], "letters": (Sent(ago(0), True),)},
    {"booked": ago(1)},
]


@pytest.mark.parametrize("known", OPEN_AGAIN[:7] + OPEN_AGAIN[8:])
def test_the_manners_end_when_they_say(known):
    assert len(choose_letters([layer()], facts(**known), TODAY).letters) == 1


def test_a_promise_that_was_kept_is_no_promise_any_more():
    choice = choose_letters([layer()], facts(**OPEN_AGAIN[7]), TODAY)
    assert whys(choice) == [[Why.RECENT_LETTER]]


ITEMS = [
    (Why.SOLD, {"sold": ago(10)}, "was sold on 2 August 2026"),
    (Why.STORED, {"stored_until": ahead(10)}, "stored until 22 August 2026"),
    (Why.LEASE_ENDS, {"lease_ends": ahead(50)}, "lease of the blue wagon ends on"),
    (Why.NEVER_REMINDED, {"kind": ProtectionClass.TIRE_DRESSING}, "no reason to write"),
]


@pytest.mark.parametrize(("why", "known", "words"), ITEMS, ids=[row[0].value for row in ITEMS])
def test_a_layer_is_left_out_and_the_rest_of_the_household_still_written_to(why, known, words):
    items = [layer(**known), layer(vehicle=2, number=2, vehicle_title="gray van")]
    choice = choose_letters(items, facts(), TODAY)
    (letter,) = choice.letters
    assert [due.candidate.layer for due in letter.items] == [2]
    assert whys(choice) == [[why]]
    assert words in choice.suppressed[0].why


def test_the_deceased_are_never_written_to_and_the_widow_only_about_her_own_car():
    people = [Addressee(1, deceased=True), Addressee(2)]
    items = [layer(), layer(customer=2, vehicle=2, number=2)]
    choice = choose_letters(items, facts(people=people), TODAY)
    (letter,) = choice.letters
    assert letter.customer == 2
    assert [due.candidate.layer for due in letter.items] == [2]
    assert whys(choice) == [[Why.DECEASED]]


def test_a_stop_of_one_person_stops_all_marketing_to_the_household():
    people = [Addressee(1), Addressee(2, stopped_on=ago(5))]
    assert whys(choose_letters([layer()], facts(people=people), TODAY)) == [[Why.STOPPED]]


def test_somebody_who_never_agreed_is_not_reminded_of_their_car():
    people = [Addressee(1, consent=False), Addressee(2)]
    choice = choose_letters([layer(), layer(customer=2, number=2)], facts(people=people), TODAY)
    assert [due.candidate.layer for due in choice.letters[0].items] == [2]
    assert whys(choice) == [[Why.NO_CONSENT]]


def test_a_household_that_is_not_known_is_not_written_to():
    choice = choose_letters([layer()], {}, TODAY)
    assert whys(choice) == [[Why.NO_CONSENT]]


def test_glass_alone_is_no_reason_but_goes_along_with_another():
    glass = layer(kind=ProtectionClass.GLASS_COATING, number=2)
    assert whys(choose_letters([glass], facts(), TODAY)) == [[Why.ALONE]]
    (letter,) = choose_letters([glass, layer()], facts(), TODAY).letters
    assert len(letter.items) == 2


def test_all_reasons_are_kept_and_the_gravest_is_shown():
    known = facts(people=[Addressee(1, stopped_on=ago(5))], last_visit=ago(3), booked=ahead(2))
    choice = choose_letters([layer()], known, TODAY)
    assert whys(choice) == [[Why.STOPPED, Why.BOOKED, Why.RECENT_VISIT]]
    assert choice.suppressed[0].why == choice.suppressed[0].whys[0][1]


def test_later_march_outranks_the_manners_when_march_has_come():
    known = facts(
        people=[Addressee(1, later_until=ago(2))],
        last_visit=ago(10),
        letters=tuple(Sent(ago(days), False) for days in (300, 100, 20)),
        season=(3,),
    )
    (letter,) = choose_letters([layer(200)], known, TODAY).letters
    assert letter.promised
    assert letter.reason.startswith("Asked to be written to from 10 August 2026; synthetic")


def test_a_promise_is_capped_by_the_letters_of_a_year_like_the_rest():
    letters = tuple(Sent(ago(days), True) for days in (300, 200, 100, 20))
    known = facts(people=[Addressee(1, later_until=ago(2))], letters=letters)
    choice = choose_letters([layer()], known, TODAY)
    assert choice.letters == ()
    assert whys(choice) == [[Why.FOUR_A_YEAR]]


def test_not_now_is_the_shops_own_wish_and_breaks_no_manners_when_its_day_has_come():
    wish = [Addressee(1, not_before=ago(1))]
    recent = choose_letters([layer()], facts(people=wish, last_visit=ago(10)), TODAY)
    assert whys(recent) == [[Why.RECENT_VISIT]]
    assert choose_letters([], facts(people=wish), TODAY).letters == ()
    (letter,) = choose_letters([layer()], facts(people=wish), TODAY).letters
    assert not letter.promised


def test_a_promise_that_nobody_kept_for_a_year_lapses():
    """A year: common practice, no source."""
    kept, lapsed = ([Addressee(1, later_until=ago(days))] for days in (365, 366))
    assert len(choose_letters([], facts(people=kept), TODAY).letters) == 1
    assert choose_letters([], facts(people=lapsed), TODAY).letters == ()


def test_a_promise_is_kept_though_no_layer_is_known():
    (letter,) = choose_letters([], facts(people=[Addressee(1, later_until=TODAY)]), TODAY).letters
    assert (letter.items, letter.customer, letter.due_from) == ((), 1, TODAY)


@pytest.mark.parametrize(
    ("known", "why"),
    [
        ({"people": [Addressee(1, later_until=ago(2), stopped_on=ago(1))]}, Why.STOPPED),
        ({"people": [Addressee(1, later_until=ago(2))], "booked": ahead(9)}, Why.BOOKED),
        ({"people": [Addressee(1, later_until=ago(2), reachable=False)]}, Why.NO_ADDRESS),
        ({"people": [Addressee(1, later_until=ago(2))], "tried": ago(1)}, Why.MAY_HAVE_GONE),
        ({"people": [Addressee(1, later_until=ago(2))], "sold_all": True}, Why.SOLD),
    ],
)
def test_a_promise_outranks_no_stop_no_booking_and_no_missing_address(known, why):
    choice = choose_letters([layer()], facts(**known), TODAY)
    assert choice.letters == ()
    assert whys(choice) == [[why]]


def test_a_visit_after_the_promised_day_keeps_the_promise():
    known = facts(people=[Addressee(1, later_until=ago(40))], last_visit=ago(35))
    (letter,) = choose_letters([layer()], known, TODAY).letters
    assert not letter.promised


def test_in_season_what_would_end_before_the_next_season_is_drawn_forward():
    october = date(2026, 10, 5)
    known = facts(season=(10, 11), season_title="before salt")
    choice = choose_letters([layer(150), layer(500, number=2)], known, october)
    assert [due.candidate.layer for due in choice.letters[0].items] == [1]


def test_a_shop_may_have_other_manners():
    known = facts(last_visit=ago(20), letters=(Sent(ago(15), False), Sent(ago(10), False)))
    loose = Rules(after_visit_days=7, between_letters_days=7, unanswered=0)
    assert choose_letters([layer()], known, TODAY).letters == ()
    assert len(choose_letters([layer()], known, TODAY, loose).letters) == 1


near = st.integers(-500, 60).map(ahead)
people = st.builds(
    Addressee,
    st.integers(1, 4),
    deceased=st.booleans(),
    stopped_on=st.one_of(st.none(), near),
    consent=st.booleans(),
    reachable=st.booleans(),
    later_until=st.one_of(st.none(), near),
    not_before=st.one_of(st.none(), near),
)
households = st.builds(
    HouseholdFacts,
    st.just("Ferrowe"),
    st.lists(people, max_size=3, unique_by=lambda person: person.customer).map(tuple),
    last_visit=st.one_of(st.none(), near),
    booked=st.one_of(st.none(), near),
    letters=st.lists(st.builds(Sent, near, st.booleans()), max_size=5).map(tuple),
    season=st.lists(st.integers(1, 12), max_size=3, unique=True).map(tuple),
)
layers = st.lists(
    st.builds(
        layer,
        st.integers(-100, 300),
        st.sampled_from(ProtectionClass),
        st.integers(1, 4),
        sold=st.one_of(st.none(), near),
        stored_until=st.one_of(st.none(), near),
        lease_ends=st.one_of(st.none(), near),
    ),
    max_size=6,
)


@settings(max_examples=400)
@given(layers, households)
def test_whatever_is_known_nobody_is_written_to_who_must_not_be(items, known):
    choice = choose_letters(items, {"Ferrowe": known}, TODAY)
    by_number = {person.customer: person for person in known.people}
    assert len(choice.letters) <= 1
    for letter in choice.letters:
        addressed = by_number[letter.customer]
        assert not addressed.deceased
        assert addressed.consent
        assert addressed.reachable
        living = [one for one in known.people if not one.deceased]
        assert not any(one.stopped_on for one in living)
        assert not any(one.not_before and one.not_before > TODAY for one in living)
        assert known.booked is None or known.booked < TODAY
        assert sum(sent.day > ago(365) for sent in known.letters) < 4
        for due in letter.items:
            one = due.candidate
            assert not by_number[one.customer].deceased
            assert one.sold is None or one.sold > TODAY
            assert CLASSES[one.protection_class].reminding is not Reminding.NEVER
        if not letter.promised:
            assert known.last_visit is None or (TODAY - known.last_visit).days > 30
            assert all((TODAY - sent.day).days > 21 for sent in known.letters)
            assert any(due.write_on <= TODAY for due in letter.items) or known.season


@settings(max_examples=300)
@given(layers, households)
def test_every_layer_is_written_about_left_out_with_a_reason_or_waiting(items, known):
    choice = choose_letters(items, {"Ferrowe": known}, TODAY)
    placed = Counter(
        id(due) for group in (*choice.letters, *choice.suppressed) for due in group.items
    )
    placed.update(id(due) for due in choice.waiting)
    assert placed == Counter(id(due) for due in items)
    for one in choice.suppressed:
        assert one.why
        assert one.items
    for due in choice.waiting:
        assert due.write_on > TODAY


@given(layers, households)
def test_choosing_twice_chooses_the_same(items, known):
    chosen = [choose_letters(items, {"Ferrowe": known}, TODAY) for _ in range(2)]
    assert chosen[0] == chosen[1]


def test_a_letter_goes_to_whoever_the_soonest_layer_belongs_to_if_they_can_be_reached():
    items = [layer(-2, customer=2, number=1), layer(0, customer=1, number=2)]
    able = [Addressee(1), Addressee(2), Addressee(3)]
    assert choose_letters(items, facts(people=able), TODAY).letters[0].customer == 2
    some = [Addressee(3), Addressee(1), Addressee(2, reachable=False)]
    assert choose_letters(items, facts(people=some), TODAY).letters[0].customer == 1
    none = [
        Addressee(3),
        Addressee(4),
        Addressee(1, reachable=False),
        Addressee(2, reachable=False),
    ]
    assert choose_letters(items, facts(people=none), TODAY).letters[0].customer == 3


def test_a_promise_is_kept_to_the_person_who_was_given_it():
    people = [Addressee(1), Addressee(2, later_until=ago(3))]
    assert choose_letters([layer()], facts(people=people), TODAY).letters[0].customer == 2

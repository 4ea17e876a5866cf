"""Which layers stand after what was done, and what is said about order and waits.

What takes off what, what goes over what and every wait here: common practice, no source.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.calculations.layers.layers import (
    Ground,
    GroupEvent,
    Happening,
    Means,
    Verdict,
    follow,
    layering_advice,
    standing,
)
from app.calculations.layers.protection import CERAMICS, PAINT, ProtectionClass, SurfaceGroup
from app.errors import Mendable

HOOD, SIDES = SurfaceGroup.UPPER_HORIZONTALS, SurfaceGroup.UPPER_SIDES
WAX, SEALANT, SPRAY = (
    ProtectionClass.CARNAUBA_WAX,
    ProtectionClass.SYNTHETIC_SEALANT,
    ProtectionClass.SPRAY_SEALANT,
)
CERAMIC = ProtectionClass.CERAMIC_2_YEAR
NOON = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)
SUPPLIES = {kind: number for number, kind in enumerate(ProtectionClass)}


def applied(kind, days=0.0, group=HOOD, layer=None):
    return GroupEvent(
        happening=Happening.APPLIED,
        group=group,
        at=NOON + timedelta(days=days),
        layer=layer,
        supply=SUPPLIES[kind],
        protection_class=kind,
    )


def stripped(days, means=None, group=HOOD):
    return GroupEvent(
        happening=Happening.STRIPPED, group=group, at=NOON + timedelta(days=days), means=means
    )


def abraded(days, means=None, group=HOOD):
    return GroupEvent(
        happening=Happening.ABRADED, group=group, at=NOON + timedelta(days=days), means=means
    )


def judged(days, verdict, layer=None, group=HOOD):
    at = NOON + timedelta(days=days)
    return GroupEvent(happening=Happening.JUDGED, group=group, at=at, layer=layer, verdict=verdict)


def kinds(*events, group=HOOD):
    return [layer.protection_class for layer in standing(events).get(group, ())]


def test_a_wax_over_a_sealant_adds_gloss_and_not_life():
    sealant, wax = standing([applied(SEALANT), applied(WAX, 1)])[HOOD]
    assert (sealant.protection_class, sealant.gloss_only) == (SEALANT, False)
    assert (wax.protection_class, wax.gloss_only) == (WAX, True)


def test_a_wax_over_a_sealant_that_is_gone_protects_again():
    _, wax = standing([applied(SEALANT), applied(WAX, 1), judged(200, Verdict.GONE)])[HOOD]
    assert not wax.gloss_only


@pytest.mark.parametrize(
    "means", [None, Means.STRIP_WASH, Means.SOLVENT, Means.PANEL_WIPE, Means.CLAY]
)
def test_any_strip_takes_a_wax(means):
    assert kinds(applied(WAX), stripped(10, means)) == []


def test_a_strip_wash_takes_the_wax_and_only_weakens_the_sealant_under_it():
    (left,) = standing([applied(SEALANT), applied(WAX, 1), stripped(10)])[HOOD]
    assert (left.protection_class, left.weakened, left.gloss_only) == (SEALANT, True, False)


def test_a_second_strip_wash_takes_the_sealant():
    assert kinds(applied(SEALANT), stripped(10), stripped(60)) == []


def test_a_weakened_sealant_that_was_seen_holding_is_whole_again():
    events = [applied(SEALANT), stripped(10), judged(11, Verdict.HOLDING), stripped(60)]
    assert kinds(*events) == [SEALANT]


@pytest.mark.parametrize("means", [Means.SOLVENT, Means.PANEL_WIPE])
def test_a_solvent_or_a_panel_wipe_takes_a_sealant_at_once(means):
    assert kinds(applied(SEALANT), stripped(10, means)) == []


@pytest.mark.parametrize("kind", sorted(CERAMICS))
def test_no_strip_takes_a_ceramic_but_a_polish_does(kind):
    washed = [
        stripped(day, means)
        for day, means in enumerate(Means, 1)
        if means is not Means.POLISH and means is not Means.SANDING
    ]
    assert kinds(applied(kind), *washed, *washed) == [kind]
    assert kinds(applied(kind), abraded(300)) == []


def test_a_polish_takes_everything_on_its_own_surface_group_only():
    found = standing(
        [applied(SEALANT), applied(SEALANT, group=SIDES), applied(WAX, 1), abraded(30)]
    )
    assert list(found) == [SIDES]


def test_a_sanding_that_was_noted_as_a_strip_still_takes_everything():
    assert kinds(applied(CERAMIC), stripped(30, Means.SANDING)) == []


def test_the_same_supply_again_within_three_days_is_a_further_coat():
    (layer,) = standing([applied(CERAMIC, layer=1), applied(CERAMIC, 0.1, layer=2)])[HOOD]
    assert (layer.layer, layer.coats, layer.applied_at) == (1, 2, NOON)


def test_a_judgement_of_the_further_coat_is_one_of_the_layer():
    events = [applied(CERAMIC, layer=1), applied(CERAMIC, 0.1, layer=2)]
    (layer,) = standing([*events, judged(90, Verdict.FADING, layer=2)])[HOOD]
    assert layer.verdict is Verdict.FADING


def test_the_same_supply_again_later_is_a_renewal():
    (layer,) = standing([applied(WAX, layer=1), applied(WAX, 60, layer=2)])[HOOD]
    assert (layer.layer, layer.coats, layer.verdict) == (2, 1, None)


def test_what_lies_under_something_longer_lived_no_longer_counts_by_itself():
    assert kinds(applied(WAX), applied(SEALANT, 1)) == [SEALANT]


def test_a_judgement_without_a_layer_speaks_of_the_lowest():
    sealant, wax = standing([applied(SEALANT), applied(WAX, 1), judged(30, Verdict.FADING)])[HOOD]
    assert sealant.verdict is Verdict.FADING
    assert sealant.judged_at == NOON + timedelta(days=30)
    assert wax.verdict is None


def test_a_judgement_of_a_layer_that_no_longer_stands_changes_nothing():
    events = [applied(WAX, layer=1), abraded(10), applied(SEALANT, 11, layer=2)]
    (layer,) = standing([*events, judged(20, Verdict.GONE, layer=1)])[HOOD]
    assert layer.verdict is None


def test_events_may_be_told_in_any_order():
    events = [applied(SEALANT), applied(WAX, 1), stripped(10), judged(12, Verdict.HOLDING)]
    assert standing(events[::-1]) == standing(events)


def test_an_applied_layer_without_a_class_is_refused_in_a_sentence():
    with pytest.raises(Mendable, match="no class of protection"):
        standing([GroupEvent(happening=Happening.APPLIED, group=HOOD, at=NOON, layer=1)])


events = st.lists(
    st.one_of(
        st.builds(applied, st.sampled_from(ProtectionClass), st.floats(0, 900)),
        st.builds(stripped, st.floats(0, 900), st.sampled_from(Means)),
        st.builds(judged, st.floats(0, 900), st.sampled_from(Verdict)),
    ),
    max_size=12,
)


@given(events)
def test_the_lowest_layer_always_protects_and_only_what_lies_over_it_may_be_gloss(done):
    for stack in standing(done).values():
        assert not stack[0].gloss_only
        assert all(layer.coats >= 1 for layer in stack)


@given(events, st.sampled_from([Means.POLISH, Means.SANDING]))
def test_nothing_survives_an_abrasion(done, means):
    assert standing([*done, abraded(1000, means)]) == {}


@given(events)
def test_a_strip_never_adds_a_layer(done):
    before = standing(done).get(HOOD, ())
    after = standing([*done, stripped(1000)]).get(HOOD, ())
    assert {layer.applied_at for layer in after} <= {layer.applied_at for layer in before}


def advice(*done, going_on, hours, ground=None, next_hours=None, group=HOOD):
    when = NOON + timedelta(hours=hours)
    return layering_advice(standing(done), going_on, group, when, ground, next_hours)


def test_a_wax_waits_twelve_hours_or_more_on_a_sealant():
    assert advice(applied(SEALANT), going_on=WAX, hours=5) == [
        "The synthetic sealant went on 5 hours ago; wait 12 hours or more before the next layer, "
        "better 24 hours."
    ]
    assert "better after 24 hours" in advice(applied(SEALANT), going_on=WAX, hours=13)[0]
    assert advice(applied(SEALANT), going_on=WAX, hours=24) == []


def test_a_cured_ceramic_asks_for_a_polish_and_no_longer_for_its_wait():
    (told,) = advice(
        applied(CERAMIC), going_on=CERAMIC, hours=30, next_hours={SUPPLIES[CERAMIC]: 48.0}
    )
    assert "light polish" in told


def test_a_wait_is_said_beside_what_else_is_to_be_said():
    over, wait = advice(applied(WAX), going_on=SEALANT, hours=0.2)
    assert over == "A synthetic sealant does not hold over wax; strip the wax first."
    assert wait.startswith("The carnauba wax went on just now; ")


def test_the_wait_on_a_label_replaces_the_usual_one():
    label = {SUPPLIES[SEALANT]: 2.0}
    assert advice(applied(SEALANT), going_on=WAX, hours=3, next_hours=label) == []


def test_a_sealant_does_not_hold_over_wax():
    assert advice(applied(WAX), going_on=SEALANT, hours=100) == [
        "A synthetic sealant does not hold over wax; strip the wax first."
    ]


@pytest.mark.parametrize("there", [WAX, SEALANT, SPRAY])
def test_a_ceramic_asks_for_bare_paint(there):
    (said,) = advice(applied(there), going_on=CERAMIC, hours=100)
    assert "bare polished paint" in said


def test_a_ceramic_on_bare_paint_needs_no_word():
    assert advice(going_on=CERAMIC, hours=0) == []


def test_a_further_coat_of_ceramic_in_its_window_needs_only_its_hour():
    assert advice(applied(CERAMIC), going_on=CERAMIC, hours=5) == []
    assert "wait 1 hour" in advice(applied(CERAMIC), going_on=CERAMIC, hours=0.5)[0]
    assert "light polish" in advice(applied(CERAMIC), going_on=CERAMIC, hours=24 * 40)[0]


def test_nothing_goes_over_a_ceramic_in_its_cure_week():
    (said,) = advice(applied(CERAMIC), going_on=SPRAY, hours=60)
    assert said.startswith("The ceramic 2 year went on 2 days ago and cures for 7 days")
    assert advice(applied(CERAMIC), going_on=SPRAY, hours=24 * 8) == []


def test_what_was_seen_gone_is_no_obstacle():
    done = [applied(WAX), judged(90, Verdict.GONE)]
    assert advice(*done, going_on=SEALANT, hours=24 * 91) == []


def test_a_class_on_a_surface_it_is_not_made_for_is_said():
    (said,) = advice(going_on=WAX, hours=0, group=SurfaceGroup.LEATHER)
    assert "not usual on leather" in said


@pytest.mark.parametrize(
    ("ground", "words"),
    [
        (Ground.FRESH_PAINT, "data sheet"),
        (Ground.GLAZE, "does not bond"),
        (Ground.PAINT_FILM, "On paint film only a coating that is made for it"),
        (Ground.WRAP, "On wrap only a coating that is made for it"),
    ],
)
def test_the_ground_is_spoken_of_before_a_ceramic(ground, words):
    (said,) = advice(going_on=CERAMIC, hours=0, ground=ground)
    assert words in said


def test_a_wax_may_go_over_a_glaze():
    assert advice(going_on=WAX, hours=0, ground=Ground.GLAZE) == []


@given(events, st.sampled_from(ProtectionClass), st.sampled_from(SurfaceGroup), st.floats(0, 30000))
def test_advice_is_whole_sentences_and_never_forbids(done, going_on, group, hours):
    when = NOON + timedelta(hours=hours)
    for said in layering_advice(standing(done), going_on, group, when):
        assert said[0].isupper()
        assert said.endswith(".")
        assert "must not" not in said


def test_paint_is_horizontals_sides_and_lowers():
    assert {HOOD, SIDES, SurfaceGroup.LOWERS} == PAINT


def test_the_third_day_still_takes_a_further_coat_and_the_fourth_is_a_renewal():
    for days, coats in ((3.0, 2), (3.01, 1)):
        (layer,) = standing([applied(WAX, layer=1), applied(WAX, days, layer=2)])[HOOD]
        assert layer.coats == coats


def test_a_coat_over_a_layer_that_was_seen_gone_is_a_new_layer():
    seen = [applied(WAX, layer=1), judged(1, Verdict.GONE), applied(WAX, 2, layer=2)]
    (layer,) = standing(seen)[HOOD]
    assert (layer.layer, layer.coats, layer.verdict) == (2, 1, None)


def test_what_was_seen_gone_makes_room_for_anything_new():
    assert kinds(applied(CERAMIC), judged(900, Verdict.GONE), applied(WAX, 901)) == [WAX]


@pytest.mark.parametrize(
    ("hours", "said"),
    [
        (0.5, "just now"),
        (1.5, "an hour ago"),
        (2.5, "2 hours ago"),
        (11.9, "11 hours ago"),
    ],
)
def test_how_long_ago_is_told_in_whole_hours(hours, said):
    (told,) = advice(applied(SEALANT), going_on=WAX, hours=hours)
    assert told.startswith(f"The synthetic sealant went on {said}; wait 12 hours or more")


def test_two_days_are_told_in_hours_until_they_are_full():
    for hours, said in ((47.9, "47 hours ago"), (48, "2 days ago"), (72.1, "3 days ago")):
        (told,) = advice(applied(CERAMIC), going_on=SPRAY, hours=hours)
        assert told.startswith(f"The ceramic 2 year went on {said} and cures for 7 days")


def test_a_cure_is_over_when_its_last_day_is():
    assert advice(applied(CERAMIC), going_on=SPRAY, hours=7 * 24 - 0.1)
    assert advice(applied(CERAMIC), going_on=SPRAY, hours=7 * 24) == []
    five = ProtectionClass.CERAMIC_5_YEAR
    assert advice(applied(five), going_on=SPRAY, hours=14 * 24 - 0.1)
    assert advice(applied(five), going_on=SPRAY, hours=14 * 24) == []


def test_a_wait_is_over_when_its_hours_are():
    assert "better after 24 hours" in advice(applied(SEALANT), going_on=WAX, hours=12)[0]
    assert "wait 12 hours" in advice(applied(SEALANT), going_on=WAX, hours=11.99)[0]
    assert advice(applied(SEALANT), going_on=WAX, hours=23.99)


def test_a_further_coat_of_ceramic_has_a_day_or_its_own_longer_window():
    """A day at least: ceramics of two years state 1 to 4 hours, those of three 1 to 24."""
    assert advice(applied(CERAMIC), going_on=CERAMIC, hours=24) == []
    assert "light polish" in advice(applied(CERAMIC), going_on=CERAMIC, hours=24.1)[0]


def test_a_label_s_wait_in_minutes_is_told_in_minutes():
    label = {SUPPLIES[SPRAY]: 0.5}
    (told,) = advice(applied(SPRAY), going_on=SPRAY, hours=0.2, next_hours=label)
    assert told == (
        "The spray sealant went on just now; wait 30 minutes or more before the next layer."
    )
    (told,) = advice(applied(SPRAY), going_on=SPRAY, hours=0.2, next_hours={SUPPLIES[SPRAY]: 1.5})
    assert "wait 1.5 hours or more" in told


@pytest.mark.parametrize(
    ("there", "going_on", "words"),
    [
        (WAX, SPRAY, "A spray sealant holds poorly over wax"),
        (SPRAY, WAX, "it adds gloss, not life"),
        (CERAMIC, WAX, "hides how the coating itself behaves"),
        (CERAMIC, SEALANT, "rarely of use"),
        (CERAMIC, ProtectionClass.CERAMIC_5_YEAR, "unless both makers allow it"),
    ],
)
def test_what_is_said_of_one_class_over_another(there, going_on, words):
    (said,) = advice(applied(there), going_on=going_on, hours=24 * 30)
    assert words in said


@pytest.mark.parametrize(
    ("kind", "takes", "weakens"),
    [
        (ProtectionClass.GLASS_COATING, (), (Means.STRIP_WASH,)),
        (ProtectionClass.WHEEL_COATING, (), (Means.SOLVENT,)),
        (ProtectionClass.TRIM_COATING, (Means.SOLVENT,), (Means.STRIP_WASH,)),
        (SEALANT, (Means.SOLVENT, Means.PANEL_WIPE), (Means.STRIP_WASH, Means.CLAY)),
    ],
)
def test_what_takes_a_coating_and_what_only_weakens_it(kind, takes, weakens):
    for means in (Means.STRIP_WASH, Means.SOLVENT, Means.PANEL_WIPE, Means.CLAY):
        after = standing([applied(kind), stripped(10, means)]).get(HOOD, ())
        assert bool(after) == (means not in takes)
        assert [layer.weakened for layer in after] == [means in weakens] * len(after)
        twice = kinds(applied(kind), stripped(10, means), stripped(20, means))
        assert bool(twice) == (means not in takes and means not in weakens)


@given(events, st.one_of(
    st.builds(applied, st.sampled_from(ProtectionClass), st.floats(901, 950)),
    st.builds(stripped, st.floats(901, 950), st.sampled_from(Means)),
    st.builds(judged, st.floats(901, 950), st.sampled_from(Verdict)),
))  # fmt: skip
def test_one_more_event_followed_is_all_of_them_told_at_once(done, more):
    assert follow(standing(done).get(HOOD, ()), more) == standing([*done, more]).get(HOOD, ())

"""Titles read whole or not at all: 218 of three made-up shops, written before the reader."""

from __future__ import annotations

from collections import Counter

import pytest

from app.calculations.layers.protection import PAINT
from app.documents.reading.title_reading import (
    ReadTitle,
    read_note,
    read_title,
    usual_groups,
    words_of_groups,
)
from tests.files.titles import hard_titles, titles
from tests.files.titles_reviewed import kept, misled, missed

Layers = frozenset[tuple[str, str]]


def layers_of(read: ReadTitle) -> Layers:
    return frozenset((one.protection, words_of_groups(one.groups)) for one in read.layers)


def as_written(layers: str) -> Layers | None:
    """The layers that a title's line says it left; None where it does not say which."""
    if layers == "?":
        return None
    found = set()
    for one in layers.split(", ") if layers != "-" else ():
        name, _, where = one.partition(" @ ")
        groups = where.replace(" ", " and ") if where.startswith("paint") else where
        found.add((name, groups or words_of_groups(usual_groups(name))))
    return frozenset(found)


def verdict(title: str, layers: str) -> str:
    """right: exactly the layers written; none: nothing is proposed, or it is asked; else wrong."""
    read = read_title(title)
    if read.doubt or read.asks:
        return "none"
    return "right" if layers_of(read) == as_written(layers) else "wrong"


def test_no_title_of_218_is_given_a_wrong_layer_and_three_of_four_are_read() -> None:
    found = {title: verdict(title, layers) for title, layers in titles()}
    assert [title for title, said in found.items() if said == "wrong"] == []
    assert Counter(found.values()) == {"right": 154, "none": 64}
    # Of those read as nothing so many cannot be told from the title alone.
    untold = [title for title, layers in titles() if layers == "?"]
    assert {found[title] for title in untold} == {"none"}
    assert len(untold) == 30


def test_no_title_that_was_written_to_mislead_is_given_a_wrong_layer() -> None:
    found = {title: verdict(title, layers) for title, layers in hard_titles()}
    assert [title for title, said in found.items() if said == "wrong"] == []
    assert Counter(found.values()) == {"right": 17, "none": 86}


@pytest.mark.parametrize(("title", "layers"), misled())
def test_a_layer_that_is_prepared_washed_with_or_put_elsewhere_is_not_taken(
    title: str, layers: str
) -> None:
    read = read_title(title)
    assert read.doubt or read.asks


@pytest.mark.parametrize(("title", "layers"), missed())
def test_prices_hours_coats_short_forms_and_one_wrong_letter_do_not_hide_what_was_done(
    title: str, layers: str
) -> None:
    assert verdict(title, layers) == "right"


def test_what_a_reviewer_found_right_stays_so() -> None:
    found = {title: verdict(title, layers) for title, layers in kept()}
    assert Counter(found.values()) == {"none": 20, "right": 3}


def test_what_a_shop_calls_one_thing_is_one_service() -> None:
    for title, service in (
        ("Pre-sale valet", "Pre-sale valet"),
        ("Polish stage 1", "One-step polish"),
        ("Paint correction stage 2", "Two-step polish"),
    ):
        assert [work.service for work in read_title(title).works] == [service]


def test_how_long_a_sealant_lasts_is_kept_where_the_title_says_so() -> None:
    for title in ("12 mo sealant", "Sealant (1 year)", "paint sealant, 12 months"):
        (layer,) = read_title(title).layers
        assert (layer.service, layer.months) == ("Synthetic sealant 1 year", 12)
    (plain,) = read_title("Sealant").layers
    assert plain.months is None


@pytest.mark.parametrize(
    ("title", "doubt"),
    [
        ("2yr ceramic wash", "it does not say what lasts so long"),
        ("Seal", "“seal”: it does not say what was sealed"),
        ("Wax?", "“?”: it leaves open which"),
        ("Ceramic prep", "“prep”: the layer may be still to come"),
    ],
)
def test_a_doubt_names_words_that_stand_in_the_title(title: str, doubt: str) -> None:
    assert read_title(title).doubt == doubt


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Tyre dressing", "Tire dressing"),
        ("Odour removal", "Odor removal"),
        ("Ceramic 2yr", "2 year ceramic coating"),
        ("cer. 2y", "Ceramic, two-year"),
        ("1-step + sealant", "One step polish with paint sealant"),
        ("Int/ext", "Interior and exterior detail"),
        ("24 mo ceramic", "Ceramic 2yr"),
        ("Windscreen coating", "Windshield coating"),
        ("two stage", "2-step"),
    ],
)
def test_spellings_of_both_sides_of_the_sea_and_short_forms_say_the_same(
    one: str, other: str
) -> None:
    assert not read_title(one).doubt
    assert read_title(one) == read_title(other)


@pytest.mark.parametrize(
    "more",
    ["quote", "?", "no", "declined", "removal", "or sealant", "prep", "boost", "coated", "xyz"],
)
def test_a_word_of_doubt_and_a_word_that_is_not_known_take_the_layer_away(more: str) -> None:
    assert layers_of(read_title("Ceramic 2yr")) == {("ceramic 2 year", "paint")}
    read = read_title(f"Ceramic 2yr {more}")
    assert read.doubt
    assert (read.works, read.layers) == ((), ())


def test_what_washes_a_coating_is_no_coating() -> None:
    assert layers_of(read_title("Ceramic wash")) == frozenset()
    assert read_title("Decon, ceramic 2yr").layers
    assert read_title("Wash ceramic 2yr").doubt  # of a coated vehicle, or before coating it


def test_a_ceramic_of_unknown_years_asks_for_them() -> None:
    for title in ("Ceramic coating", "Ceramic 10 year", "18 month ceramic"):
        (layer,) = read_title(title).layers
        assert layer.protection == ""
        assert layer.asks


def test_surfaces_decide_the_class_of_a_coating() -> None:
    read = read_title("Ceramic 2yr on paint and wheels, leather and fabric protection")
    assert layers_of(read) == {
        ("ceramic 2 year", "paint and wheels"),
        ("leather protectant", "leather"),
        ("fabric protector", "fabric"),
    }
    assert all(set(one.groups).isdisjoint({g.value for g in PAINT}) for one in read.layers[1:])


def test_correction_takes_off_what_stood_on_the_paint_and_a_hand_polish_may_not() -> None:
    assert [work.abrades for work in read_title("Two-step").works] == [True]
    assert [work.abrades for work in read_title("Hand polish").works] == [False]


@pytest.mark.parametrize(
    ("note", "left"),
    [
        ("Applied 2yr ceramic. Customer was happy.", ["Ceramic 2 year"]),
        ("finished with carnauba wax", ["Carnauba wax"]),
        ("wants ceramic 2yr next year", []),
        ("applied 2yr ceramic, customer says it looks thin", []),
        ("ceramic 2yr", []),
        ("gate code 1234; sealed with paint sealant", ["Synthetic sealant"]),
        ("", []),
    ],
)
def test_notes_count_where_they_say_that_a_layer_was_put_on(note: str, left: list[str]) -> None:
    assert [layer.service for layer in read_note(note)] == left


def test_no_title_however_odd_breaks_the_reader() -> None:
    for title in ("", " ", "?!", "|||", "and and", "2yr", "w/", "ceramic " * 400, "ﬁ Ⅷ ☃"):
        assert read_title(title).doubt or read_title(title).asks


@pytest.mark.parametrize("title", ["Spray wax", "Wash and spray wax", "Quick wax on the wheels"])
def test_a_spray_wax_may_be_a_wax_or_a_sealant_and_is_asked_about(title: str) -> None:
    assert read_title(title).asks == "a spray wax may be a wax or a sealant"

"""The words of the shelf: kinds, protection, surfaces, hazards, spans of time."""

from __future__ import annotations

import pytest

from app.calculations.layers.protection import ProtectionClass, SurfaceGroup
from app.documents.reading.shelf_words import (
    kind_by_name,
    kind_by_words,
    protection_by_name,
    read_hazards,
    read_pictograms,
    read_protection,
    read_signal_word,
    read_span,
    read_surfaces,
)


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("Rinseless wash concentrate", "liquid"), ("Towel detergent", "liquid"), ("Wash mitt",
        "piece"),
        ("Carnauba paste wax", "paste"), ("Masking tape", "piece"), ("Finishing polish", "liquid"),
        ("Foam pad polish", "liquid"), ("Polishing pads", "piece"), ("Nitrile gloves", "piece"),
        ("Thing", ""),
    ],
)  # fmt: skip
def test_the_last_telling_word_of_a_name_says_how_it_is_measured(name: str, kind: str) -> None:
    # Common practice, no source.
    assert kind_by_name(name) == kind


def test_a_kind_column_is_understood() -> None:
    assert [kind_by_words(w) for w in ("Liquid", "paste", "pieces", "each", "")] == [
        "liquid", "paste", "piece", "piece", "",
    ]  # fmt: skip


def test_every_class_that_is_read_is_one_that_the_book_knows() -> None:
    for one in ProtectionClass:
        assert protection_by_name(one.value) == one.value


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("ceramic 2 year", "ceramic 2 year"), ("2-yr ceramic coating", "ceramic 2 year"),
        ("5 year coating", "ceramic 5 year"), ("Ceramic", "ceramic 1 year"), ("Carnauba",
        "carnauba wax"),
        ("SiO2 topper", "spray sealant"), ("Sealant", "synthetic sealant"), ("Wheel coating",
        "wheel coating"),
        ("Windshield coating", "glass coating"), ("tyre dressing", "tire dressing"), ("soap", ""),
    ],
)  # fmt: skip
def test_protection_classes_in_other_words(text: str, told: str) -> None:
    assert read_protection(text) == told


@pytest.mark.parametrize(
    "name", ["Wax remover", "Coating prep wipe", "Wash and wax shampoo", "Coating"]
)
def test_a_name_that_only_speaks_of_protection_leaves_none(name: str) -> None:
    assert protection_by_name(name) == ""


@pytest.mark.parametrize(
    ("text", "groups"),
    [
        ("roof, hood, trunk", {"upper horizontals"}), ("doors/fenders", {"upper sides"}),
        ("whole car", {"upper horizontals", "upper sides", "lowers"}),
        ("windshield", {"front glass"}),
        ("side glass", {"other glass"}), ("glass", {"front glass", "other glass"}),
        ("leather seats", {"leather"}),
        ("wheels & tires", {"wheels", "tires"}), ("Felgen", {"wheels"}), ("elsewhere", set()),
    ],
)  # fmt: skip
def test_surfaces_in_other_words(text: str, groups: set[str]) -> None:
    assert set(read_surfaces(text)) == groups
    assert groups <= {one.value for one in SurfaceGroup}


def test_hazards_pictograms_and_signal_words_are_kept_as_the_sheet_has_them() -> None:
    # Codes as GHS numbers them: H statements, P statements, GHS01 to GHS09.
    assert read_hazards("H225, h 319; EUH066 P210 H225") == ("H225", "H319", "EUH066", "P210")
    assert read_pictograms("GHS07, ghs 02") == ("GHS02", "GHS07")
    assert read_pictograms("flame; exclamation mark") == ("GHS02", "GHS07")
    assert [read_signal_word(w) for w in ("DANGER", "Achtung", "none")] == ["danger", "warning", ""]


@pytest.mark.parametrize(
    ("value", "unit", "days"),
    [("24 months", "", (730, 730)), (24, "months", (730, 730)), ("2 yrs", "", (730, 730)),
     ("6-12 months", "", (183, 365)),
     ("1 week", "", (7, 7)), ("5", "days", (5, 5)), ("3 to 5 days", "", (3, 5)), ("soon",
     "", None), ("9 to 3 days", "", None)],
)  # fmt: skip
def test_spans_of_time_in_days(value: object, unit: str, days: tuple[int, int] | None) -> None:
    # A month is a twelfth of the Gregorian mean year of 365.2425 days.
    assert read_span(value, unit) == days  # type: ignore[arg-type]

"""Headings in other words, spellings and languages."""

from __future__ import annotations

import pytest

from app.documents.reading.headings import heading_like, kinds_named, plain, read_heading
from app.documents.reading.meanings import FORMS, MEANINGS


@pytest.mark.parametrize(
    ("heading", "meaning"),
    [
        ("Cust. Name", "customer.name"), ("CUSTOMER", "customer.name"), ("Owner's name",
        "customer.name"),
        ("E-Mail", "customer.email"), ("Tel.", "customer.phone"), ("Cell Phone", "customer.phone"),
        ("Customer Phone", "customer.phone"), ("Phone of customer", "customer.phone"),
        ("Adress", "customer.address"), ("Zip Code", "customer.postal_code"), ("Postcode",
        "customer.postal_code"),
        ("Lic Plate #", "vehicle.plate"), ("Vehcile", "vehicle.description"), ("Yr.",
        "vehicle.year"),
        ("Colour", "vehicle.color"), ("On Hand", "supply.stock"), ("QTY", "supply.stock"),
        ("Pack Size", "supply.size"), ("Price each", "supply.price"), ("Vendor", "supply.supplier"),
        ("Date of Service", "job.day"), ("Invoice #", "job.number"), ("Hrs", "job.hours"),
        ("What was done", "job.services"), ("Grand total", "job.gross"), ("Sales tax", "job.tax"),
        ("Protection applied", "layer.supply"), ("Lead time", "supplier.promised_days"),
        ("Kundenname", "customer.name"), ("Straße", "customer.street"), ("PLZ",
        "customer.postal_code"),
        ("Kennzeichen", "vehicle.plate"), ("Lagerbestand", "supply.stock"), ("Gebinde",
        "supply.size"),
        ("Teléfono", "customer.phone"), ("Correo electrónico", "customer.email"), ("Año",
        "vehicle.year"),
        ("Matrícula", "vehicle.plate"), ("Existencias", "supply.stock"), ("Proveedor",
        "supply.supplier"),
    ],
)  # fmt: skip
def test_a_heading_may_mean(heading: str, meaning: str) -> None:
    assert meaning in dict(read_heading(heading).candidates), read_heading(heading).candidates


@pytest.mark.parametrize(
    ("heading", "unit"),
    [("Size (oz)", "oz"), ("Size oz", "oz"), ("On hand [ml]", "mL"), ("Price $", "money"),
     ("Price (USD)", "money"),
     ("Shelf life (months)", "months"), ("Labor (hrs)", "h"), ("$/gal", "gal"),
     ("Cost per gallon", "gal"),
     ("Bestand (ml)", "mL"), ("Hours", ""), ("Total hours", "")],
)  # fmt: skip
def test_a_unit_in_the_heading_is_told(heading: str, unit: str) -> None:
    assert read_heading(heading).unit == unit


def test_case_accents_punctuation_and_plural_do_not_count() -> None:
    assert plain("  Cust. NAMES:") == plain("customer name")
    assert plain("Teléfonos") == plain("telefono")


@pytest.mark.parametrize(
    "cell", ["212-555-0142", "ann@mill.example", "12 Mill Lane 43001", 5, None, "x" * 80]
)
def test_a_value_is_not_taken_for_a_heading(cell: object) -> None:
    assert not heading_like(cell)  # type: ignore[arg-type]


def test_a_sheet_s_name_tells_what_it_is_about() -> None:
    assert max(kinds_named("Client list 2024").items(), key=lambda kind: kind[1])[0] == "customer"
    assert "supply" in kinds_named("Inventory")
    assert kinds_named("Sheet1") == {}


def test_every_meaning_has_words_and_a_form_that_is_known() -> None:
    for meaning in MEANINGS.values():
        assert meaning.form in FORMS, meaning.key
        assert meaning.words, meaning.key
        assert meaning.label, meaning.key

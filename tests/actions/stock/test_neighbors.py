"""One caution where two supplies come together: on a job, on a shelf, in a bottle."""

from __future__ import annotations

import pytest

from app.actions.day.supplies_used import set_use
from app.actions.day.use_note import use_note
from app.actions.desk.amounts import supply_of
from app.actions.jobs.booking_jobs import NewJob, book_job, sell
from app.actions.shelf.shelf import shelf
from app.actions.stock.neighbors import between, shelf_caution, unknown_between
from app.actions.stock.stock import fill_bottle
from app.actions.stock.supply_facts import edit_supply
from app.records.models import RecipeLine
from tests.shop import ML, TODAY


@pytest.fixture
def chemistry(desk, shop):
    """Wheel cleaner is an acid, wash soap holds bleach; the polish was never entered."""
    edit_supply(desk, shop.supplies["wheel"], ingredients="phosphoric acid")
    edit_supply(desk, shop.supplies["soap"], ingredients="sodium hypochlorite")
    return shop


def test_a_job_whose_services_bring_bleach_and_acid_together_says_so_once(desk, chemistry):
    shop = chemistry
    service = next(iter(shop.services.values()))
    with desk.book.load() as session:
        for key in ("wheel", "soap"):
            session.add(
                RecipeLine(
                    service_id=service, supply_id=shop.supplies[key], amount=10 * ML, scaling="size"
                )
            )
    changed, job = book_job(
        desk, NewJob(customer_id=shop.customers["tolk"], services=((service, 1),))
    )
    assert changed.question.count("chlorine gas") == 1
    assert "never in one bottle" in changed.question
    assert "override" in changed.question
    assert "chlorine gas" in sell(desk, job, service).question


def test_the_day_sheet_says_it_beside_either_supply(desk, chemistry):
    shop = chemistry
    job = shop.jobs[next(iter(shop.jobs))]
    set_use(desk, TODAY, job, shop.supplies["wheel"], "10 ml")
    set_use(desk, TODAY, job, shop.supplies["soap"], "10 ml")
    said = [
        [line for line in use_note(desk, TODAY, job, shop.supplies[key]).cautions if "gas" in line]
        for key in ("wheel", "soap")
    ]
    assert said[0] == said[1] != []


def test_two_supplies_at_one_place_of_the_shelf_are_cautioned_when_placed(desk, chemistry):
    shop = chemistry
    assert edit_supply(desk, shop.supplies["wheel"], shelf_place="B2").question == ""
    assert "chlorine gas" in edit_supply(desk, shop.supplies["soap"], shelf_place="b2 ").question
    changed, _ = fill_bottle(desk, TODAY, shop.supplies["soap"], "500 ml", "1 to 10")
    assert "chlorine gas" in changed.question


def test_the_sentence_is_the_same_in_either_order(desk, chemistry):
    wheel, soap = (supply_of(desk, chemistry.supplies[key]) for key in ("wheel", "soap"))
    assert between(wheel, soap) == between(soap, wheel) != ""


def test_what_was_never_entered_is_never_passed_over_beside_what_reacts(desk, chemistry):
    shop = chemistry
    polish, wheel = (supply_of(desk, shop.supplies[key]) for key in ("polish", "wheel"))
    said = unknown_between(polish, wheel)
    assert said == unknown_between(wheel, polish)
    assert "not entered" in said
    for key in ("wheel", "polish"):
        edit_supply(desk, shop.supplies[key], shelf_place="C1")
    assert "not entered" in shelf_caution(desk, supply_of(desk, shop.supplies["polish"]))
    changed, _ = fill_bottle(desk, TODAY, shop.supplies["polish"], "500 ml")
    assert "not entered" in changed.question
    edit_supply(desk, shop.supplies["polish"], shelf_place="C9")
    changed, _ = fill_bottle(desk, TODAY, shop.supplies["polish"], "500 ml")
    assert "not entered: fill only a clean bottle" in changed.question
    assert "safe " not in said + changed.question


def test_peroxide_is_cautioned_when_a_bottle_is_filled(desk, shop):
    edit_supply(desk, shop.supplies["soap"], ingredients="hydrogen peroxide")
    changed, _ = fill_bottle(desk, TODAY, shop.supplies["soap"], "500 ml", "1 to 4")
    assert "never shut it up" in changed.question


def test_flammables_are_totaled_by_volume_pastes_by_their_density(desk, shop):
    assert shelf(desk, TODAY).flammable_text == ""
    edit_supply(desk, shop.supplies["wheel"], flammable=True)
    before = shelf(desk, TODAY).flammable_text
    assert before.endswith(" L")
    edit_supply(desk, shop.supplies["wax"], flammable=True, density=900)
    rows = {one.supply_id: one for group in shelf(desk, TODAY).groups for one in group.rows}
    wheel, wax = rows[shop.supplies["wheel"]], rows[shop.supplies["wax"]]
    litres = wheel.on_hand / 1e6 + wax.on_hand / 900 / 1e3
    assert shelf(desk, TODAY).flammable_text == f"{litres:.1f} L"

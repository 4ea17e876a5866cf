"""Services: their times and prices, steps and recipes."""

from __future__ import annotations

import pytest

from app.actions.desk.desk import Desk
from app.actions.jobs.booking_jobs import NewJob, book_job
from app.actions.jobs.job_card import job_card
from app.actions.jobs.services import (
    add_service,
    add_service_step,
    edit_service,
    effect_text,
    list_services,
    recipe_cost,
    remove_recipe_line,
    remove_service_step,
    service_page,
    set_recipe_line,
)
from app.actions.people.vehicles import edit_vehicle
from app.errors import Mendable
from app.records.contents import contents
from tests.shop import SmallShop


def test_a_service_is_added_by_its_name_alone_and_filled_in_later(desk: Desk) -> None:
    service = add_service(desk, "Headlight pair")[1]
    edit_service(desk, service, minutes="1:15", price="90", outside=True)
    page = service_page(desk, service)
    assert (page.service.minutes, page.service.price) == (75, 9000)


def test_two_services_do_not_share_a_name(desk: Desk) -> None:
    add_service(desk, "Odor")
    with pytest.raises(Mendable, match="already"):
        add_service(desk, "  ODOR ")


def test_a_recipe_line_is_typed_as_people_say_it(desk: Desk, shop: SmallShop) -> None:
    service = add_service(desk, "Rinse")[1]
    set_recipe_line(desk, service, shop.supplies["soap"], "60 ml", "size")
    line = service_page(desk, service).recipe[0]
    assert (line.amount, line.scaling) == (60_000, "size")
    set_recipe_line(desk, service, shop.supplies["soap"], "80 ml")
    assert service_page(desk, service).recipe[0].scaling == "size"
    # 2 L of soap stand on the shelf at 20.00; 80 mL of it are 0.80.
    assert recipe_cost(desk, service) == 80
    remove_recipe_line(desk, service, shop.supplies["soap"])
    assert service_page(desk, service).recipe == ()


def test_a_recipe_line_of_nothing_is_refused(desk: Desk, shop: SmallShop) -> None:
    service = add_service(desk, "Rinse")[1]
    with pytest.raises(Mendable, match="How much"):
        set_recipe_line(desk, service, shop.supplies["soap"], "0")
    with pytest.raises(Mendable, match="recipe goes"):
        set_recipe_line(desk, service, shop.supplies["soap"], "1 L", "by moon")


def test_a_step_that_puts_a_layer_on_names_supply_and_surfaces(desk: Desk, shop: SmallShop) -> None:
    service = add_service(desk, "Layer")[1]
    with pytest.raises(Mendable, match="names the supply"):
        add_service_step(desk, service, "Layer", "applies")
    coating = shop.supplies["coating"]
    add_service_step(desk, service, "Layer", "applies", coating, ("upper horizontals",))
    step = service_page(desk, service).steps[0]
    said = effect_text(desk, step.effect, step.supply_id, step.surface_groups)
    assert said == "puts on ceramic layer: upper horizontals"
    remove_service_step(desk, service, step.step_id)
    assert service_page(desk, service).steps == ()


def test_a_stopped_service_is_listed_last_or_not_at_all(empty: Desk) -> None:
    gone = add_service(empty, "Aaa")[1]
    add_service(empty, "Zzz")
    edit_service(empty, gone, stopped=True)
    assert [one.name for one in list_services(empty)] == ["Zzz", "Aaa"]
    assert [one.name for one in list_services(empty, stopped=False)] == ["Zzz"]


def test_every_change_of_a_service_can_be_undone(desk: Desk, shop: SmallShop) -> None:
    before = contents(desk.book)
    service = add_service(desk, "Rinse")[1]
    set_recipe_line(desk, service, shop.supplies["soap"], "60 ml")
    add_service_step(desk, service, "Rinse it")
    edit_service(desk, service, price="35", notes="cold days: indoors")
    while desk.book.next_undo():
        desk.book.undo(today=desk.today)
    assert contents(desk.book) == before


def test_a_new_service_for_the_inside_counts_by_the_inside(desk: Desk) -> None:
    interior = add_service(desk, "Interior deep clean")[1]
    wash = add_service(desk, "Two-step wash")[1]
    assert not service_page(desk, interior).service.outside
    assert service_page(desk, wash).service.outside


def test_a_small_car_with_a_very_large_inside_takes_the_hours_and_supplies_of_its_inside(
    desk: Desk, shop: SmallShop
) -> None:
    """Once the service is said to count by the inside, by hours and by what it uses."""
    service = add_service(desk, "Full clean")[1]
    edit_service(desk, service, minutes="2:00", price="200")
    set_recipe_line(desk, service, shop.supplies["soap"], "1 l", "size")

    def booked() -> tuple[int, float]:
        new = NewJob(
            vehicle_id=shop.vehicles["wagon"], services=((service, 1),), first_day=shop.today
        )
        number = book_job(desk, new)[1]
        card = job_card(desk, number)
        soap = next(one for one in card.supplies if one.supply_id == shop.supplies["soap"])
        return card.expected_minutes, float(soap.expected_text.replace(",", ""))

    edit_vehicle(desk, shop.vehicles["wagon"], size_outside="S", size_inside="XL")
    small = booked()
    edit_service(desk, service, outside="inside")
    large = booked()
    factors = desk.settings
    assert large[0] / small[0] == pytest.approx(
        factors.hours_inside["XL"] / factors.hours_outside["S"], rel=0.03
    )
    assert large[1] / small[1] == pytest.approx(
        factors.size_factors["XL"] / factors.size_factors["S"], rel=0.02
    )
    assert large > small


def test_words_for_inside_and_tax_that_mean_nothing_are_refused(desk: Desk) -> None:
    service = add_service(desk, "Odor")[1]
    with pytest.raises(Mendable, match="outside or inside"):
        edit_service(desk, service, outside="above")
    with pytest.raises(Mendable, match="no kind of line"):
        edit_service(desk, service, tax_kind="freight")

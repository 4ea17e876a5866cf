"""The six places of the book and *More*, by their keys; each is built when first opened."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module

from app.window.house.office import Office
from app.window.house.place import Place, PlaceEntry, Status


def _jobs_status(office: Office) -> Status:
    from app.actions.jobs.jobs import in_work

    return Status(in_work(office.desk), "in")


def _shelf_status(office: Office) -> Status:
    from app.actions.orders.order_proposal import short_supplies

    return Status(len(short_supplies(office.desk, office.day)), "short", "look")


def _renewals_status(office: Office) -> Status:
    from app.actions.letters.reminders import vehicles_to_ask

    return Status(vehicles_to_ask(office.desk, office.day), "to ask", "look")


def _day_sheet(office: Office) -> Place:
    from app.window.day.place import DayPlace

    return DayPlace(office)


def _jobs(office: Office) -> Place:
    from app.window.jobs.place import JobsPlace

    return JobsPlace(office)


def _customers(office: Office) -> Place:
    from app.window.people.customers_place import CustomersPlace

    return CustomersPlace(office)


def _shelf(office: Office) -> Place:
    from app.window.shelf.shelf_place import ShelfPlace

    return ShelfPlace(office)


def _renewals(office: Office) -> Place:
    from app.window.renewals.renewals_place import RenewalsPlace

    return RenewalsPlace(office)


def _figures(office: Office) -> Place:
    from app.window.figures.figures_place import FiguresPlace

    return FiguresPlace(office)


def _services(office: Office) -> Place:
    from app.window.jobs.services_page import ServicesPage

    return ServicesPage(office)


def _suppliers(office: Office) -> Place:
    from app.window.orders.suppliers_page import SuppliersPage

    return SuppliersPage(office)


def _bringing_in(office: Office) -> Place:
    from app.window.exchange.bringing_in_page import BringingInPage

    return BringingInPage(office)


def _settings(office: Office) -> Place:
    from app.window.shop.settings_page import SettingsPage

    return SettingsPage(office)


def _letters(office: Office) -> Place:
    from app.window.renewals.letters_page import LettersPage

    return LettersPage(office)


def _person(office: Office) -> Place:
    from app.window.people.person_page import PersonPage

    return PersonPage(office)


def _backups(office: Office) -> Place:
    from app.window.shop.backups_page import BackupsPage

    return BackupsPage(office)


def _slip(office: Office) -> Place:
    from app.window.figures.slip_page import SlipPage

    return SlipPage(office)


def _expenses(office: Office) -> Place:
    from app.window.figures.expenses_page import ExpensesPage

    return ExpensesPage(office)


def _charge(office: Office) -> Place:
    from app.window.figures.charge_page import ChargePage

    return ChargePage(office)


def _quiet(office: Office) -> Place:
    from app.window.figures.quiet_page import QuietPage

    return QuietPage(office)


def _statement(office: Office) -> Place:
    from app.window.jobs.statement_page import StatementPage

    return StatementPage(office)


def _more(office: Office) -> Place:
    from app.window.shop.more_page import MorePage

    return MorePage(office)


def _lost(office: Office) -> Place:
    from app.window.house.lost_page import LostPage

    return LostPage(office)


def _guide(office: Office) -> Place:
    from app.window.house.guide_page import GuidePage

    return GuidePage(office)


# What the places are made of; phonenumbers is what Customers takes longest to import.
_MADE_OF = (
    "jobs.place", "bay.plan_body", "people.customers_place", "people.customer_card",
    "shelf.shelf_place", "shelf.supply_card", "orders.deliveries", "renewals.renewals_place",
    "figures.figures_place", "exchange.bringing_in_page", "shop.more_page", "shop.settings_page",
)  # fmt: skip


def import_places(check: Callable[[], object]) -> None:
    """Import what the places are made of, so that the first opening of one does not wait for it.

    `check` is called in between, and raises to stop.
    """
    for name in (*(f"app.window.{one}" for one in _MADE_OF), "phonenumbers"):
        check()
        import_module(name)


_JOB_KINDS = frozenset({"jobs", "days"})
_SHELF_KINDS = frozenset({"stock", "supplies", "uses", "orders", "jobs", "days", "services"})
_LAYER_KINDS = frozenset({"layers", "reminders", "vehicles", "customers", "days", "jobs"})


def places() -> list[PlaceEntry]:
    """The places of this version."""
    return [
        PlaceEntry("day", "Day sheet", "day", _day_sheet),
        PlaceEntry("jobs", "Jobs", "jobs", _jobs, _jobs_status, _JOB_KINDS),
        PlaceEntry("customers", "Customers", "customers", _customers),
        PlaceEntry("shelf", "Shelf", "shelf", _shelf, _shelf_status, _SHELF_KINDS),
        PlaceEntry("renewals", "Renewals", "renewals", _renewals, _renewals_status, _LAYER_KINDS),
        PlaceEntry("figures", "Figures", "figures", _figures),
        PlaceEntry("more", "More", "more", _more),
    ]


def asides() -> list[PlaceEntry]:
    """The pages that do not stand in the contents: under *More*, or reached by a command."""
    return [
        PlaceEntry("services", "Services and recipes", "", _services, under="more"),
        PlaceEntry("suppliers", "Suppliers", "", _suppliers, under="more"),
        PlaceEntry("bringing in", "Bring in files", "", _bringing_in, under="more"),
        PlaceEntry("settings", "Settings", "", _settings, under="more"),
        PlaceEntry("letters", "Letters to send", "", _letters),
        PlaceEntry("person", "What is kept of a customer", "", _person),
        PlaceEntry("backups", "Backups", "", _backups, under="more"),
        PlaceEntry("slip", "Slip", "", _slip, under="more"),
        PlaceEntry("expenses", "Expenses", "", _expenses, under="more"),
        PlaceEntry("charge", "What to charge", "", _charge, under="more"),
        PlaceEntry("quiet", "Who has gone quiet", "", _quiet, under="more"),
        PlaceEntry("statement", "A statement", "", _statement),
        PlaceEntry("lost", "The book is not where it was", "", _lost),
        PlaceEntry("guide", "The guide", "", _guide),
    ]

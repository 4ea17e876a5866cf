"""The six places of the book, in the order of their keys; each is built when first opened."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from importlib import import_module

from app.window.house.office import Office
from app.window.house.place import Place, PlaceEntry, Status


def _jobs_status(office: Office) -> Status:
    from app.actions.jobs.jobs import in_work

    count = in_work(office.desk)
    return (f"{count} in", "ink3") if count else ("", "ink3")


def _shelf_status(office: Office) -> Status:
    from app.actions.orders.ordering import short_supplies

    count = len(short_supplies(office.desk, office.day))
    return (f"{count} short", "look") if count else ("", "ink3")


def _renewals_status(office: Office) -> Status:
    from app.actions.letters.renewing import renewals

    due = {row.vehicle_id for row in renewals(office.desk, office.day).rows if row.state == "due"}
    return (f"{len(due)} due", "look") if due else ("", "ink3")


_SHELF_KINDS = frozenset({"stock", "supplies", "uses", "orders", "jobs", "days", "services"})
_LAYER_KINDS = frozenset({"layers", "reminders", "vehicles", "customers", "days", "jobs"})
_NEVER: frozenset[str] = frozenset()
_Listed = tuple[str, str, str, str, str, "Callable[[Office], Status] | None", frozenset[str]]
_LISTED: tuple[_Listed, ...] = (
    ("day", "Day sheet", "day", "app.window.day.place", "DaySheet", None, _NEVER),
    ("jobs", "Jobs", "jobs", "app.window.jobs.place", "JobsPlace", _jobs_status,
     frozenset({"jobs", "days"})),
    ("customers", "Customers", "customers", "app.window.people.customers_place", "CustomersPlace", None,
     _NEVER),
    ("shelf", "Shelf", "shelf", "app.window.shelf.shelf_place", "ShelfPlace", _shelf_status,
     _SHELF_KINDS),
    ("renewals", "Renewals", "renewals", "app.window.renewals.renewals_place", "RenewalsPlace",
     _renewals_status, _LAYER_KINDS),
    ("figures", "Figures", "figures", "app.window.figures.figures_place", "FiguresPlace", None,
     _NEVER),
)  # fmt: skip
_ASIDE = (
    ("services", "Services and recipes", "app.window.jobs.services_page", "ServicesPage"),
    ("suppliers", "Suppliers", "app.window.orders.suppliers_page", "SuppliersPage"),
    ("bringing in", "Bring in files", "app.window.exchange.bringing_in_page", "BringingInPage"),
    ("settings", "Settings", "app.window.shop.settings_page", "SettingsPage"),
)


def places() -> list[PlaceEntry]:
    """The places of this version."""
    return [
        PlaceEntry(key, name, mark, partial(_build, module, cls), status, kinds)
        for key, name, mark, module, cls, status, kinds in _LISTED
    ]


def asides() -> list[PlaceEntry]:
    """The pages that are reached by a command and do not stand in the contents."""
    return [
        PlaceEntry(key, name, "", partial(_build, module, cls)) for key, name, module, cls in _ASIDE
    ]


def _build(module: str, cls: str, office: Office) -> Place:
    place: Place = getattr(import_module(module), cls)(office)
    return place

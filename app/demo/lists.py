"""The made-up shop's lists, read from `demo_db`: suppliers, supplies, packs, services, wishes."""

from __future__ import annotations

import csv
import tomllib
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

from app import paths
from app.calculations.numbers.money import read_money
from app.calculations.numbers.units import Kind, base_amount
from app.calculations.orders.price_breaks import read_breaks
from app.demo.catalog import (
    AnnouncedItem,
    Body,
    Catalog,
    Extra,
    FleetItem,
    Habit,
    LineItem,
    PackItem,
    ServiceItem,
    StepItem,
    SupplierItem,
    SupplyItem,
    Wish,
)

GROUPS = {
    "paint": ("upper horizontals", "upper sides", "lowers"),
    "glass": ("front glass", "other glass"),
}
CURRENCY = "USD"


def read_catalog(folder: Path | None = None) -> Catalog:
    """The made-up shop's lists from its folder."""
    folder = folder or paths.demo_data()
    shop = tomllib.loads((folder / "shop.toml").read_text(encoding="utf-8"))
    wishes = tomllib.loads((folder / "wishes.toml").read_text(encoding="utf-8"))
    suppliers = _suppliers(_table(folder, "suppliers"))
    supplies = _supplies(_table(folder, "supplies"), _table(folder, "packs"), suppliers)
    services = _services(
        tomllib.loads((folder / "services.toml").read_text(encoding="utf-8"))["service"], supplies
    )
    return Catalog(
        settings=shop["settings"],
        rates=tuple(shop["rates"]),
        town=shop["town"],
        given_names=_names(folder, "given_names"),
        family_names=_names(folder, "family_names"),
        streets=_names(folder, "streets"),
        colors=tuple((row["name"], float(row["weight"])) for row in _table(folder, "colors")),
        bodies=tuple(
            Body(
                row["description"],
                row["size_outside"],
                row["size_inside"],
                float(row["weight"]),
                row["old"] == "yes",
            )
            for row in _table(folder, "vehicles")
        ),
        fleets=tuple(
            FleetItem(
                row["name"],
                f"{row['contact_given']} {row['contact_family']}",
                int(row["units"]),
                row["description"],
                row["size_outside"],
                row["size_inside"],
                int(row["every_days"]),
            )
            for row in _table(folder, "fleets")
        ),
        suppliers=suppliers,
        announced=_announced(_table(folder, "announced"), suppliers),
        supplies=supplies,
        services=services,
        wishes=tuple(_wish(row, services) for row in wishes["wish"]),
        fleet_wish=_wish(wishes["fleet"], services),
        extras=tuple(
            Extra(services[row["service"]], frozenset(row["with"]), row["share"])
            for row in wishes["extra"]
        ),
        habits=tuple(
            Habit(row["name"], row["share"], (row["days"][0], row["days"][1]), row["gone"])
            for row in wishes["habit"]
        ),
    )


def _table(folder: Path, name: str) -> list[dict[str, str]]:
    with (folder / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def _names(folder: Path, name: str) -> tuple[str, ...]:
    return tuple(row["name"] for row in _table(folder, name))


def _amount(text: str, kind: Kind) -> int:
    """Base units of an amount such as `1.25 fl oz`, `3 x` aside."""
    number, unit = text.split(" ", 1)
    return base_amount(Fraction(number), unit, kind)


def _whole(text: str) -> int | None:
    return int(text) if text else None


def _money(text: str) -> int:
    return read_money(text, CURRENCY)


def _suppliers(rows: list[dict[str, str]]) -> dict[int, SupplierItem]:
    found = {}
    for number, row in enumerate(rows, start=1):
        columns = {
            name: row[name]
            for name in ("name", "email", "phone", "account_no", "order_weekdays", "notes")
        }
        numbers: dict[str, Any] = {
            name: _whole(row[name])
            for name in (
                "promised_days", "freight", "free_freight_from", "minimum_order", "hazard_fee",
            )
        }  # fmt: skip
        found[number] = SupplierItem(
            id=number,
            columns=columns | numbers,
            name=row["name"],
            weekdays=frozenset(int(day) for day in row["rhythm"].split(",") if day),
            promised=numbers["promised_days"],
            lead=(float(row["lead_low"]), float(row["lead_usual"]), float(row["lead_high"])),
            late_share=float(row["late_share"]),
            part_share=float(row["part_share"]),
            freight=numbers["freight"],
            free_from=numbers["free_freight_from"],
            minimum=numbers["minimum_order"],
            store=row["store"] == "yes",
        )
    return found


def _announced(
    rows: list[dict[str, str]], suppliers: dict[int, SupplierItem]
) -> tuple[AnnouncedItem, ...]:
    ids = {one.name: one.id for one in suppliers.values()}
    return tuple(
        AnnouncedItem(
            ids[row["supplier"]],
            row["kind"],
            _month_day(row["first"]),
            _month_day(row["last"]),
            row["note"],
        )
        for row in rows
    )


def _month_day(text: str) -> tuple[int, int]:
    month, day = text.split("-")
    return int(month), int(day)


def _supplies(
    rows: list[dict[str, str]], packs: list[dict[str, str]], suppliers: dict[int, SupplierItem]
) -> dict[int, SupplyItem]:
    supplier_ids = {one.name: one.id for one in suppliers.values()}
    store = next(one.id for one in suppliers.values() if one.store)
    ids = {row["name"]: number for number, row in enumerate(rows, start=1)}
    found: dict[int, SupplyItem] = {}
    by_supply: dict[int, list[PackItem]] = {number: [] for number in ids.values()}
    kinds = {row["name"]: Kind(row["kind"]) for row in rows}
    for number, row in enumerate(packs, start=1):
        supply = ids[row["supply"]]
        size = _amount(row["size"], kinds[row["supply"]])
        described = rows[supply - 1]
        by_supply[supply].append(
            PackItem(
                id=number,
                supply=supply,
                supplier=supplier_ids[row["supplier"] or described["supplier"]],
                label=row["label"],
                size=size,
                price=_money(row["price"]),
                weight=_pack_weight(size, kinds[row["supply"]], int(described["density"])),
                code=row["code"],
                breaks=read_breaks(row["breaks"], _money(row["price"]), CURRENCY),
            )
        )
    for row in rows:
        item = _supply(ids[row["name"]], row, supplier_ids[row["supplier"]])
        mine = [pack for pack in by_supply[item.id] if pack.supplier == item.supplier]
        near = [pack for pack in by_supply[item.id] if pack.supplier == store] or mine
        found[item.id] = replace(
            item,
            packs=tuple(sorted(mine, key=lambda one: one.size)),
            store_packs=tuple(sorted(near, key=lambda one: one.size)),
        )
    return found


def _pack_weight(size: int, kind: Kind, density: int) -> int:
    """Milligrams with the container: a fifteenth on top (common practice, no source)."""
    if kind is Kind.LIQUID:
        net = size * density // 1000
    elif kind is Kind.PASTE:
        net = size
    else:
        net = size * 12  # twelve grams a piece
    return net * 16 // 15


def _supply(number: int, row: dict[str, str], supplier: int) -> SupplyItem:
    kind = Kind(row["kind"])
    density = int(row["density"])
    step_number, step_unit = row["read"].split(" ", 1)
    exact = Fraction(step_number)
    by_lot = row["costing"] == "lot"
    life = (int(row["life_low"]), int(row["life_high"])) if row["life_low"] else None
    columns: dict[str, Any] = {
        "name": row["name"],
        "kind": kind.value,
        "show_unit": "" if row["unit"] in ("fl oz", "g", "pc") else row["unit"],
        "density": density,
        "dilution": int(row["dilution"]) * 1000 if row["dilution"] else None,
        "bottle": _amount(row["bottle"], kind) if row["bottle"] else None,
        "tare": int(row["tare"]) * 1000 if row["tare"] else None,
        "costing": row["costing"],
        "whole_container": row["whole"] == "yes",
        "shelf_life_days": _whole(row["keeps"]),
        "opened_life_days": _whole(row["keeps_open"]),
        "shelf_place": row["place"],
        "supplier_id": supplier,
        "protection": row["protection"],
        "life_low_days": life[0] if life else None,
        "life_high_days": life[1] if life else None,
        "wait_next_hours": _whole(row["wait_next"]),
        "wait_water_hours": _whole(row["wait_water"]),
        "signal_word": row["signal"],
        "hazard_statements": row["statements"].split(),
        "pictograms": row["pictograms"].split(),
        "ingredients": [one for one in row["ingredients"].split(";") if one],
        "flammable": row["flammable"] == "yes",
        "no_frost": row["no_frost"] == "yes",
        "pool": row["pool"],
        "pool_load": _whole(row["pool_load"]),
        "pool_uses": _whole(row["pool_uses"]),
        "notes": row["notes"],
    }
    return SupplyItem(
        id=number,
        columns=columns,
        name=row["name"],
        kind=kind,
        density=density,
        dilution=int(row["dilution"]) if row["dilution"] else None,
        by_lot=by_lot,
        whole=row["whole"] == "yes",
        keeps=_whole(row["keeps"]),
        supplier=supplier,
        protection=row["protection"],
        life=life,
        habit=float(row["habit"]),
        spread=float(row["spread"]),
        step=_exact_step(exact, step_unit, kind, density),
        step_number=exact,
        step_unit=step_unit,
        pool=row["pool"],
        load=_whole(row["pool_load"]) or 0,
        uses=_whole(row["pool_uses"]) or 0,
    )


def _exact_step(number: Fraction, unit: str, kind: Kind, density: int) -> Fraction:
    """Base units of one step of reading, not rounded: a gram of a liquid is no whole microlitre."""
    scale = 10**6
    return Fraction(base_amount(number * scale, unit, kind, density), scale)


def _services(
    rows: list[dict[str, Any]], supplies: dict[int, SupplyItem]
) -> dict[str, ServiceItem]:
    by_name = {one.name: one for one in supplies.values()}
    return {
        row["name"]: ServiceItem(
            number,
            row["name"],
            row["outside"],
            row["minutes"],
            _money(row["price"]),
            tuple(_step(step, by_name) for step in row["steps"]),
            tuple(
                LineItem(by_name[name].id, scaling, _amount(amount, by_name[name].kind))
                for name, scaling, amount in row["recipe"]
            ),
            row.get("in_bay", True),
        )
        for number, row in enumerate(rows, start=1)
    }


def _step(row: dict[str, Any], supplies: dict[str, SupplyItem]) -> StepItem:
    groups: list[str] = []
    for word in row.get("on", ()):
        groups += GROUPS.get(word, (word,))
    supply = supplies[row["supply"]].id if "supply" in row else None
    hold, _, hours = row.get("hold", "").partition(" ")
    return StepItem(
        row["name"], row.get("effect", ""), supply, tuple(groups), row.get("minutes", 0), hold,
        round(60 * float(hours or 0)),
    )  # fmt: skip


def _wish(row: dict[str, Any], services: dict[str, ServiceItem]) -> Wish:
    lead = row.get("lead", (7, 21))
    return Wish(
        row["title"],
        tuple(services[name] for name in row["services"]),
        float(row.get("weight", 0)),
        frozenset(row.get("kinds", ())),
        (lead[0], lead[1]),
        {int(month): float(factor) for month, factor in row.get("months", {}).items()},
        bool(row.get("old", False)),
    )

"""The made-up shop's lists as rows of its book."""

from __future__ import annotations

from datetime import date

from app.calculations.numbers.tax_rates import BEGINNING
from app.demo.catalog import Catalog
from app.demo.rows import Rows
from app.records.models import (
    Pack,
    PackBreak,
    RecipeLine,
    Service,
    ServiceStep,
    Setting,
    Supplier,
    SupplierDate,
    Supply,
    TaxRate,
)


def write_lists(rows: Rows, catalog: Catalog, first: date, priced_on: date) -> None:
    """Settings, suppliers, supplies with packs, services with steps and recipes."""
    for name, value in catalog.settings.items():
        rows.put(Setting, {"name": name, "value": value})
    for rate in catalog.rates:
        rows.add(TaxRate, from_day=BEGINNING, **rate)
    for supplier in catalog.suppliers.values():
        rows.put(Supplier, supplier.columns | {"id": supplier.id})
    for one in catalog.announced:
        begins, ends = date(first.year, *one.first), date(first.year, *one.last)
        rows.add(
            SupplierDate, supplier_id=one.supplier, kind=one.kind, first_day=begins,
            last_day=ends if ends >= begins else ends.replace(year=first.year + 1),
            yearly=True, note=one.note,
        )  # fmt: skip
    for supply in catalog.supplies.values():
        sheet = first if supply.columns["hazard_statements"] else None
        rows.put(Supply, supply.columns | {"id": supply.id, "sds_date": sheet})
        for pack in {one.id: one for one in supply.packs + supply.store_packs}.values():
            rows.add(
                Pack,
                id=pack.id,
                supply_id=pack.supply,
                supplier_id=pack.supplier,
                label=pack.label,
                size=pack.size,
                price=pack.price,
                weight=pack.weight,
                code=pack.code,
                priced_on=priced_on,
            )
            for packs, price in pack.breaks:
                rows.add(PackBreak, pack_id=pack.id, packs=packs, price=price)
    for service in catalog.services.values():
        rows.add(
            Service,
            id=service.id,
            name=service.name,
            outside=service.outside,
            minutes=service.minutes,
            price=service.price,
            in_bay=service.in_bay,
        )
        for position, step in enumerate(service.steps):
            rows.add(
                ServiceStep, service_id=service.id, position=position, name=step.name,
                minutes=step.minutes, hold=step.hold, hold_minutes=step.hold_minutes,
                effect=step.effect, supply_id=step.supply, surface_groups=list(step.groups),
            )  # fmt: skip
        for line in service.lines:
            rows.add(
                RecipeLine, service_id=service.id, supply_id=line.supply,
                scaling=line.scaling, amount=line.amount,
            )  # fmt: skip

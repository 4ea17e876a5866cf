"""Makes the old books beside this file: one of every released version of the tables.

Each is written in the words of its own version, by plain SQL on the tables that its migration
makes, so that it stays what it was when the models go on. A book that stands is never made again:

    python -m tests.records.books.make 0001
"""

from __future__ import annotations

import sys
from pathlib import Path

from sqlalchemy import text

from app.records.storage.engine import engine_for, fold_log, mark_as_book
from app.records.storage.migrating import HERE, upgrade

FOLDER = Path(__file__).parent

# A row per table as a set of columns; whatever a column needs is written down here.
ROWS: dict[str, list[tuple[str, dict[str, object]]]] = {
    "0001": [
        ("suppliers", {
            "id": 1, "name": "Millbrook Supply", "email": "", "phone": "", "address": "",
            "account_no": "", "promised_days": 4, "freight": 1200, "minimum_order": 0,
            "hazard_fee": 0, "order_weekdays": "0,3", "notes": "",
        }),
        ("supplies", {
            "id": 1, "name": "rinseless wash", "kind": "liquid", "show_unit": "", "density": 1000,
            "dilution": 256000, "costing": "average", "whole_container": 0, "shelf_place": "",
            "supplier_id": 1, "stopped": 0, "protection": "", "signal_word": "",
            "hazard_statements": '["H319"]', "pictograms": "[]", "ingredients": "[]",
            "flammable": 0, "sds_file": "", "notes": "", "pool": "",
        }),
        ("customers", {
            "id": 1, "name": "Ada Quillfeather", "is_firm": 0, "household": "", "phone": "",
            "phone_as_typed": "", "second_phone": "", "email": "", "street": "", "city": "",
            "region": "", "postal_code": "", "country": "", "asks_by": "letter", "may_remind": 1,
            "deceased": 0, "tax_exempt_no": "", "notes": "", "since": "2024-11-02",
            "season_months": "[10, 11]", "season_title": "before salt",
        }),
        ("consents", {
            "id": 1, "customer_id": 1, "channel": "text", "purpose": "reminders",
            "wording": "Short messages about my vehicle", "how": "signed at the counter",
            "day": "2024-11-02", "by": "owner", "withdrawn_on": "2025-04-01",
        }),
        ("vehicles", {
            "id": 1, "description": "blue wagon", "make": "", "model": "", "color": "blue",
            "plate": "", "plate_region": "", "vin": "", "fleet_unit": "", "size_outside": "L",
            "size_inside": "M", "exposure": '{"stands": "outside"}', "notes": "",
            "stored_until": "2025-04-15",
        }),
        ("jobs", {
            "id": 1, "number": 7, "vehicle_id": 1, "customer_id": 1, "title": "wash",
            "state": "done", "condition": "average", "first_day": "2025-05-05",
            "promised_at": "2025-05-05 22:00:00.000000", "expected_minutes": 90,
            "drift_reason": "", "notes": "",
        }),
        ("uses", {
            "id": 1, "day": "2025-05-05", "job_id": 1, "supply_id": 1, "quantity": 59148,
            "expected": 60000, "recipe": 60000, "state": "confirmed", "typed": "2oz", "booked": 1,
            "cost": 118,
        }),
        ("movements", {
            "id": 1, "supply_id": 1, "day": "2025-05-02", "at": "2025-05-02 15:00:00.000000",
            "kind": "received", "quantity": 3785412, "value": 7600, "note": "",
        }),
        ("movements", {
            "id": 2, "supply_id": 1, "day": "2025-05-05", "at": "2025-05-05 23:00:00.000000",
            "kind": "used", "quantity": -59148, "value": -118, "job_id": 1, "use_id": 1,
            "note": "",
        }),
        ("balances", {
            "id": 1, "supply_id": 1, "day": "2025-05-05", "up_to_movement": 2,
            "quantity": 3726264, "value": 7482,
        }),
        ("receipts", {
            "id": 1, "job_id": 1, "customer_id": 1, "day": "2025-05-05",
            "at": "2025-05-05 22:30:00.000000", "amount": 9650, "method": "card",
            "kind": "payment", "note": "",
        }),
        ("days", {
            "day": "2025-05-05", "page": 1, "state": "closed", "stations": '["jobs"]',
            "closed_at": "2025-05-05 23:00:00.000000", "seconds": 150, "times_closed": 1,
            "summary": "1 job",
        }),
        ("settings", {"name": "shop_name", "value": '"Wrenfield Finish Care"'}),
        ("actions", {
            "id": 1, "name": "Phone of Ada Quillfeather", "at": "2025-05-05 23:10:00.000000",
            "kinds": '["customers"]', "state": "done",
        }),
        ("images", {
            "id": 1, "action_id": 1, "position": 0, "table_name": "customers", "row_key": "1",
            "before": '{"phone": "+15550100"}', "after": '{"phone": ""}',
        }),
    ],
}  # fmt: skip

# What the second version has more: a pack with its break, announced days, a pool that a job used.
ROWS["0002"] = [
    *ROWS["0001"],
    ("packs", {
        "id": 1, "supply_id": 1, "supplier_id": 1, "label": "1 gal", "size": 3785412,
        "price": 7600, "code": "RW-1",
    }),
    ("pack_breaks", {"id": 1, "pack_id": 1, "packs": 4, "price": 6900}),
    ("supplier_dates", {
        "id": 1, "supplier_id": 1, "kind": "cold", "first_day": "2025-12-01",
        "last_day": "2026-02-28", "yearly": 1, "note": "nothing that freezes",
    }),
    ("supplies", {
        "id": 2, "name": "paint towels", "kind": "piece", "show_unit": "", "density": 1000,
        "costing": "average", "whole_container": 0, "shelf_place": "", "supplier_id": 1,
        "stopped": 0, "protection": "", "signal_word": "", "hazard_statements": "[]",
        "pictograms": "[]", "ingredients": "[]", "flammable": 0, "sds_file": "", "notes": "",
        "pool": "paint", "pool_load": 25, "pool_uses": 100, "no_frost": 0,
    }),
    ("pool_events", {
        "id": 1, "supply_id": 2, "day": "2025-05-02", "at": "2025-05-02 15:00:00.000000",
        "kind": "added", "source": "", "target": "paint clean", "pieces": 50, "loads": 0,
        "note": "",
    }),
    ("pool_events", {
        "id": 2, "supply_id": 2, "day": "2025-05-05", "at": "2025-05-05 23:00:00.000000",
        "kind": "set out", "source": "paint clean", "target": "paint in use", "pieces": 12,
        "loads": 0, "use_id": 2, "note": "",
    }),
]  # fmt: skip

# What the third version has more: a layer that names its step, money that nobody confirmed, a
# weighing on its use, a count on the scale, a damaged pack.
ROWS["0003"] = [
    *ROWS["0002"],
    ("job_steps", {
        "id": 1, "job_id": 1, "position": 0, "name": "Seal the paint", "state": "done",
        "because": "", "day": "2025-05-05", "effect": "applies", "supply_id": 1,
        "surface_groups": '["upper sides"]',
    }),
    ("layer_events", {
        "id": 1, "vehicle_id": 1, "job_id": 1, "step_id": 1, "day": "2025-05-05",
        "at": "2025-05-05 21:00:00.000000", "kind": "applied", "surface_group": "upper sides",
        "supply_id": 1, "note": "Seal the paint",
    }),
    ("receipts", {
        "id": 2, "job_id": 1, "customer_id": 1, "day": "2025-05-05",
        "at": "2025-05-05 23:00:00.000000", "amount": 500, "method": "cash", "kind": "payment",
        "state": "expected", "note": "",
    }),
    ("uses", {
        "id": 2, "day": "2025-05-06", "job_id": 1, "supply_id": 1, "quantity": 10000,
        "expected": 0, "recipe": 0, "state": "confirmed", "typed": "590 g left",
        "weight_before": 600000, "weight_after": 590000,
        "weighed_at": "2025-05-06 16:00:00.000000", "booked": 0, "cost": 0,
    }),
    ("orders", {
        "id": 1, "number": 1, "supplier_id": 1, "day": "2025-05-02", "state": "part",
        "freight": 1200, "note": "",
    }),
    ("order_lines", {
        "id": 1, "order_id": 1, "supply_id": 1, "pack_id": 1, "pack_label": "1 gal",
        "pack_size": 3785412, "packs": 2, "packs_received": 1, "packs_damaged": 1,
        "damaged_on": "2025-05-05", "price": 7600, "reason": "",
    }),
]  # fmt: skip

# What the fourth version has more: an enquiry with when it is wanted, and why it came to nothing.
ROWS["0004"] = [
    *ROWS["0003"],
    ("jobs", {
        "id": 2, "number": 8, "vehicle_id": 1, "customer_id": 1, "title": "a coating",
        "state": "cancelled", "condition": "average", "asked_on": "2025-05-06",
        "wanted": "before the holidays", "expected_minutes": 0, "drift_reason": "",
        "came_to_nothing": 1, "ended_because": "no day free in time", "notes": "",
    }),
]  # fmt: skip

# What the fifth version has more: an invoice with its line, its tax and that it was mailed.
ROWS["0005"] = [
    *ROWS["0004"],
    ("charges", {
        "id": 1, "job_id": 1, "position": 1, "text": "wash", "amount": 9000, "tax_rate": 7250,
    }),
    ("invoices", {
        "id": 1, "kind": "invoice", "year": 2025, "number": 1, "issued_on": "2025-05-05",
        "at": "2025-05-05 22:20:00.000000", "payer_id": 1, "payer_name": "Ada Quillfeather",
        "payer_address": "", "reason": "", "order_number": "PO 12", "terms_days": 14,
        "due_on": "2025-05-19", "currency": "USD", "tax_rule": "total", "tax_text": "",
        "net": 9000, "tax": 653, "gross": 9653,
    }),
    ("invoice_lines", {
        "id": 1, "invoice_id": 1, "position": 1, "job_id": 1, "charge_id": 1, "text": "wash",
        "amount": 9000, "tax_rate": 7250, "tax_letter": "A",
    }),
    ("invoice_taxes", {
        "id": 1, "invoice_id": 1, "letter": "A", "rate": 7250, "net": 9000, "tax": 653,
    }),
    ("invoice_words", {
        "id": 1, "invoice_id": 1, "day": "2025-05-05", "at": "2025-05-05 22:25:00.000000",
        "kind": "sent", "how": "mail", "note": "",
    }),
]  # fmt: skip

# What estimates have more: a version that was approved, its line, a hold point, a call.
ROWS["0006"] = [
    *ROWS["0005"],
    ("estimates", {
        "id": 1, "job_id": 1, "version": 1, "made_on": "2025-05-04",
        "at": "2025-05-04 15:00:00.000000", "state": "approved", "low_minutes": 55, "minutes": 60,
        "high_minutes": 75, "low": 9000, "likely": 9650, "high": 12000, "tax_rule": "total",
        "valid_until": "2025-06-03", "reason": "seals", "assumptions": "It rolls.",
        "not_included": "Dents.", "left_alone": "The roof.", "deposit": 2000,
        "given_on": "2025-05-04", "approved_on": "2025-05-04",
        "approved_at": "2025-05-04 16:00:00.000000", "approved_by": "Ada Quillfeather",
        "approved_how": "phone", "ceiling": 12000,
    }),
    ("estimate_lines", {
        "id": 1, "estimate_id": 1, "position": 1, "text": "wash", "low_minutes": 55,
        "minutes": 60, "high_minutes": 75, "low": 8391, "likely": 8998, "high": 11189,
        "tax_rate": 7250,
    }),
    ("hold_points", {
        "id": 1, "estimate_id": 1, "position": 1, "text": "After the test spot.",
        "answer": "go on", "answered_on": "2025-05-05",
        "answered_at": "2025-05-05 14:00:00.000000", "channel": "phone",
    }),
    ("estimate_calls", {
        "id": 1, "estimate_id": 1, "day": "2025-05-05", "at": "2025-05-05 18:00:00.000000",
        "who": "Ada Quillfeather", "said": "go on", "reached": 12500, "ceiling": 14000,
    }),
]  # fmt: skip

# What payers have more: a job with who pays it, the tax that a printed line carries, a dispute.
ROWS["0007"] = [
    *ROWS["0006"],
    ("settings", {"name": "terms_days", "value": "14"}),
    ("jobs", {
        "id": 3, "number": 9, "vehicle_id": 1, "customer_id": 1, "payer_id": 1, "title": "wash",
        "state": "done", "condition": "average", "done_on": "2025-05-06", "expected_minutes": 0,
        "drift_reason": "", "wanted": "", "order_number": "", "came_to_nothing": 0,
        "ended_because": "", "notes": "",
    }),
    ("charges", {
        "id": 2, "job_id": 3, "position": 1, "text": "wash", "amount": 5000, "tax_rate": 7250,
    }),
    ("invoices", {
        "id": 2, "kind": "invoice", "year": 2025, "number": 2, "issued_on": "2025-05-06",
        "at": "2025-05-06 22:20:00.000000", "payer_id": 1, "payer_name": "Ada Quillfeather",
        "payer_address": "", "reason": "", "order_number": "", "terms_days": 30,
        "due_on": "2025-06-05", "currency": "USD", "tax_rule": "total", "tax_text": "",
        "net": 5000, "tax": 363, "gross": 5363,
    }),
    ("invoice_lines", {
        "id": 2, "invoice_id": 2, "position": 1, "job_id": 3, "charge_id": 2, "text": "wash",
        "amount": 5000, "tax_rate": 7250, "tax_letter": "A", "tax": 363,
    }),
    ("invoice_taxes", {
        "id": 2, "invoice_id": 2, "letter": "A", "rate": 7250, "net": 5000, "tax": 363,
    }),
    ("invoice_words", {
        "id": 2, "invoice_id": 2, "day": "2025-06-10", "at": "2025-06-10 16:00:00.000000",
        "kind": "disputed", "how": "phone", "note": "a spot on the roof",
    }),
]  # fmt: skip

# What taxes have more: a rate from a day on, a service of its kind, an exemption's end, a filing
# that was unlocked. The services and the setting of the versions before are tried by their test.
ROWS["0008"] = [
    *ROWS["0007"],
    ("tax_rates", {
        "id": 1, "kind": "work", "place": "Easton", "rate": 7250, "from_day": "2025-01-01",
        "words": "city tax",
    }),
    ("services", {
        "id": 1, "name": "wash", "outside": 1, "minutes": 60, "price": 9000, "tax_kind": "work",
        "stopped": 0, "notes": "",
    }),
    ("filings", {
        "id": 1, "first_day": "2025-04-01", "last_day": "2025-04-30", "filed_on": "2025-05-03",
        "at": "2025-05-03 15:00:00.000000", "figures": '{"tax": 0}', "unlocked_on": "2025-05-04",
        "unlocked_because": "a receipt was missing",
    }),
]  # fmt: skip

# What expenses have more: a rent that repeats and was written, a tip handed on; and a day on which
# the till was counted and driven.
ROWS["0009"] = [
    *[
        (table, row | {"cash_counted": 12500, "driven": 20117} if table == "days" else row)
        for table, row in ROWS["0008"]
    ],
    ("repeats", {
        "id": 1, "kind": "rent", "text": "the bay", "amount": 95000, "tax": 0,
        "method": "transfer", "every": "month", "from_day": "2025-05-01",
    }),
    ("expenses", {
        "id": 1, "day": "2025-05-01", "at": "2025-05-05 23:30:00.000000", "kind": "rent",
        "text": "the bay", "amount": 95000, "tax": 0, "method": "transfer", "repeat_id": 1,
        "period": "2025-05-01", "note": "",
    }),
    ("expenses", {
        "id": 2, "day": "2025-05-05", "at": "2025-05-05 23:40:00.000000", "kind": "tips",
        "text": "Bo", "amount": 1000, "tax": 0, "method": "cash", "note": "",
    }),
]  # fmt: skip

# What papers have more: a charge and its line by time, an estimate as it was given, a line that was
# filled in, goods bought without tax, a reminder as it was written.
_MORE: dict[tuple[str, int], dict[str, object]] = {
    ("charges", 2): {"minutes": 60, "hour_rate": 5000},
    ("invoice_lines", 2): {"minutes": 60, "hour_rate": 5000},
    ("estimates", 1): {"hour_rate": 9000, "name": "Ada Quillfeather", "address": "3 Weir Terrace",
                       "vehicle": "blue wagon"},
    ("estimate_lines", 1): {"tax_kind": "work", "proposed": 1},
    ("expenses", 2): {"use_tax_rate": 7250},
}  # fmt: skip
ROWS["0011"] = [(table, row | _MORE.get((table, row.get("id")), {})) for table, row in ROWS["0009"]]

# What bay time has more: a step with its hold, a job begun to the minute in the customer's yard and
# moved, a service done outside, a cure's least temperature, a day's weather.
ROWS["0012"] = [
    *[
        (table, row | ({"in_bay": 0} if table == "services" else {}))
        for table, row in ROWS["0011"]
    ],
    ("service_steps", {
        "id": 1, "service_id": 1, "position": 1, "name": "coat", "minutes": 45, "hold": "cures",
        "hold_minutes": 720, "effect": "", "surface_groups": "[]",
    }),
    ("jobs", {
        "id": 4, "number": 11, "vehicle_id": 1, "customer_id": 1, "title": "coat",
        "state": "booked", "condition": "average", "booked_on": "2025-05-05",
        "first_day": "2025-05-08", "last_day": "2025-05-08",
        "begins_at": "2025-05-08 14:30:00.000000", "place": "yard", "travel_minutes": 50,
        "expected_minutes": 90, "drift_reason": "", "wanted": "", "order_number": "",
        "tax_place": "", "came_to_nothing": 0, "ended_because": "", "notes": "",
    }),
    ("job_steps", {
        "id": 2, "job_id": 4, "position": 1, "name": "coat", "state": "to do", "because": "",
        "minutes": 45, "hold": "cures", "hold_minutes": 720, "effect": "", "surface_groups": "[]",
    }),
    ("job_moves", {
        "id": 1, "job_id": 4, "day": "2025-05-06", "at": "2025-05-06 15:00:00.000000",
        "kind": "moved", "asked_by": "customer", "before": "2025-05-07 14:30:00.000000",
        "after": "2025-05-08 14:30:00.000000", "minutes": 0, "note": "rain",
    }),
    ("supplies", {
        "id": 9, "name": "coating", "kind": "liquid", "show_unit": "", "density": 1000,
        "costing": "average", "whole_container": 0, "shelf_place": "", "stopped": 0,
        "no_frost": 0, "protection": "", "least_temperature": 100, "signal_word": "",
        "hazard_statements": "[]", "pictograms": "[]", "ingredients": "[]", "flammable": 0,
        "sds_file": "", "pool": "", "notes": "",
    }),
    ("weather", {"day": "2025-05-07", "holds_outside": 1, "low": 35, "note": "hail"}),
]  # fmt: skip


def make(version: str, path: Path) -> None:
    """Write the book of a version to a file that is not there yet."""
    engine = engine_for(path, write=True, new=True)
    with engine.begin() as connection:
        upgrade(connection, version, HERE)
        mark_as_book(connection)
        for table, row in ROWS[version]:
            columns = ", ".join(f'"{name}"' for name in row)
            values = ", ".join(f":{name}" for name in row)
            connection.execute(text(f"INSERT INTO {table} ({columns}) VALUES ({values})"), row)
    fold_log(engine)
    with engine.connect() as connection:
        connection.connection.driver_connection.execute("VACUUM")
        fold_log(engine)
    engine.dispose()


if __name__ == "__main__":
    target = FOLDER / f"{sys.argv[1]}.db"
    if target.exists():
        sys.exit(f"{target} stands already")
    make(sys.argv[1], target)

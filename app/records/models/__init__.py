"""The tables of the book.

Their annotations are read as types: as texts (`from __future__ import annotations`) SQLAlchemy
would take each of them apart when the program starts.
"""

from app.records.models.base import CONFIRMED, EXPECTED, Instant, Ledger, Record
from app.records.models.days import Action, DaySheet, Image, Setting, Weather
from app.records.models.money import (
    BESIDE_THE_JOB,
    EXPENSE_KINDS,
    NO_COST,
    Charge,
    Estimate,
    EstimateCall,
    EstimateLine,
    Expense,
    Filing,
    HoldPoint,
    Invoice,
    InvoiceLine,
    InvoiceTax,
    InvoiceWord,
    Photo,
    Receipt,
    Repeat,
    TaxRate,
)
from app.records.models.people import Consent, Customer, OwnerLink, Vehicle
from app.records.models.protection import (
    Judgement,
    LayerEvent,
    Reminder,
    ReminderEvent,
    ReminderItem,
)
from app.records.models.shelf import (
    Balance,
    Lot,
    Movement,
    Order,
    OrderChoice,
    OrderLine,
    Pack,
    PackBreak,
    PoolEvent,
    Supplier,
    SupplierDate,
    Supply,
)
from app.records.models.work import (
    Hours,
    Job,
    JobMove,
    JobService,
    JobStep,
    RecipeLine,
    Service,
    ServiceStep,
    Use,
)

__all__ = [
    "BESIDE_THE_JOB", "CONFIRMED", "EXPECTED", "EXPENSE_KINDS", "NO_COST", "Action", "Balance",
    "Charge", "Consent", "Customer", "DaySheet", "Estimate", "EstimateCall", "EstimateLine",
    "Expense", "Filing", "HoldPoint", "Hours", "Image", "Instant", "Invoice", "InvoiceLine",
    "InvoiceTax", "InvoiceWord", "Job", "JobMove", "JobService", "JobStep", "Judgement",
    "LayerEvent", "Ledger", "Lot", "Movement", "Order", "OrderChoice", "OrderLine", "OwnerLink",
    "Pack", "PackBreak", "Photo", "PoolEvent", "Receipt", "RecipeLine", "Record", "Reminder",
    "ReminderEvent", "ReminderItem", "Repeat", "Service", "ServiceStep", "Setting", "Supplier",
    "SupplierDate", "Supply", "TaxRate", "Use", "Vehicle", "Weather",
]  # fmt: skip

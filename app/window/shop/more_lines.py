"""The pages that stand under *More*."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Line:
    """A page of *More*: the word that `office.go` is given, its name, and what it is for."""

    key: str
    name: str
    detail: str


LINES = (
    Line("settings", "Settings", "shop, money and tax, units, reminders, mail account"),
    Line("suppliers", "Suppliers", "whom the shop buys from, freight, days announced"),
    Line("services", "Services and recipes", "what you sell, and what it is expected to use"),
    Line("bringing in", "Bring in files", "customers, supplies, past jobs from spreadsheets"),
    Line("backups", "Backups", "make one, bring one back, print how"),
    Line("slip", "Slip", "earned, received, deposits, tips and tax, kept apart"),
    Line("charge", "What to charge", "what each kind of job asks for, and what if"),
    Line("quiet", "Who has gone quiet", "customers past their own rhythm"),
    Line(
        "expenses", "Expenses", "rent, fuel, tips handed on, tax paid over, the till, miles driven"
    ),
)

"""Tax in the settings: rates by kind, place and day; how it is rounded, filed and counted."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from functools import partial
from typing import Any

from app.actions.desk.desk import Changed, Desk
from app.actions.jobs.job_card import rate_text
from app.actions.shop import shop_settings, tax_rates
from app.calculations.numbers.tax_rates import BEGINNING, rate_on
from app.calculations.numbers.wording import count_of
from app.errors import Mendable
from app.window.house.acting import on_book
from app.window.house.office import Office
from app.window.house.savedform import SavedForm
from app.window.paper.cells import Column, Outcome, State, entry, new_row, row_of
from app.window.paper.entrytable import EntryTable
from app.window.paper.partsbody import PartsBody

VOICE = (
    "A charge has the rate of its kind on the job’s day and keeps it; a new rate is a new row "
    "with its first day. A place with rates of its own is typed on a job where the rate stands.",
    "Tax is counted by the work, on the day on which it is done and invoiced, or by the money, as "
    "it comes for work that is done. It changes only on the first day of a period.",
    "Which of these is yours, your tax office says; the book does not.",
)
KEYS = (("0–9", "write over a rate"), ("Ctrl Del", "take a rate out"))
FIELDS = (
    ("rule", "Tax is rounded"),
    ("rule_from", "Rounded so from"),
    ("basis", "Tax is counted"),
    ("basis_from", "Counted so from"),
    ("tax_period", "Filed at once"),
)
_CHOICES = {
    "rule": [("on the total of each rate", "total"), ("on every line", "line")],
    "tax_period": [("a month", "month"), ("a quarter", "quarter"), ("a year", "year")],
    "basis": [("by the work done", "invoiced"), ("by the money that came", "received")],
}


def standing(desk: Desk) -> str:
    """What the entry says: `work 7.25 %, and 2 others`."""
    rates = tax_rates.all_rates(desk)
    if not rates:
        return "no tax"
    now = [one for one in rates if rate_on(rates, one.kind, desk.today, one.place) is one]
    first = next((one for one in now if one.kind == tax_rates.WORK and not one.place), None)
    if first is None:
        return count_of(len(now), "rate")
    others = f", and {count_of(len(now) - 1, 'other')}" if len(now) > 1 else ""
    return f"{first.kind} {rate_text(first.rate)}{others}"


class TaxBody(PartsBody):
    """The choices, and under them the rates, the newest of each kind first."""

    def __init__(self, office: Office) -> None:
        self.office = office
        self.form = SavedForm(office, self._save, columns=4)
        for name, label in FIELDS:
            if name in _CHOICES:
                self.form.choice(name, label, list(_CHOICES[name]))
            else:
                self.form.line(name, label, "the beginning")
        self.table = EntryTable(
            office.theme,
            (
                Column("kind", "Kind of line", width=0, least=96),
                Column("place", "Place", width=150, least=90, dense=True),
                Column("rate", "Rate", width=100, least=76, right=True),
                Column("from_day", "From", width=160, least=120, dense=True, pad=16),
                Column("words", "Printed as", width=230, least=76, dense=True),
            ),
            rows_from=24,
            rows_to=29,
        )
        self.table.sorts = False
        self.table.on_commit = self._typed
        super().__init__(office.theme, self.form, self.table, focus=lambda: self.table, gap=6)
        self.show_all()

    def show_all(self) -> None:
        """As it stands now."""
        desk = self.office.desk
        rates = tax_rates.all_rates(desk)
        rows = []
        for one in rates:
            now = rate_on(rates, one.kind, desk.today, one.place) is one
            state = State.PLAIN if now else State.QUIET
            rows.append(
                row_of(
                    one.rate_id,
                    entry(one.kind, state, bold=now),
                    entry(one.place or "the shop’s", State.QUIET),
                    entry(rate_text(one.rate), state),
                    entry(tax_rates.first_day_text(one.from_day), state),
                    entry(one.words, State.QUIET, tip=one.words),
                )
            )
        words = "another kind and its rate: goods sold 7.375"
        words = words if rows else "the first kind and its rate: work 7.25"
        self.table.show_rows([*rows, new_row(words, 5)])
        basis, since = tax_rates.basis_now(desk)
        rule, rule_since = tax_rates.rounding_now(desk)
        self.form.show_values(
            {
                "rule": rule,
                "rule_from": tax_rates.first_day_text(rule_since),
                "tax_period": desk.settings.tax_period,
                "basis": basis,
                "basis_from": tax_rates.first_day_text(since),
            }
        )

    def remove(self) -> None:
        """Take out the rate with the focus."""
        key = self.table.current_key()
        if isinstance(key, int) and self.table.hasFocus():
            on_book(self.office, tax_rates.remove_rate, key)

    def _save(self, key: str, value: Any) -> Callable[[], Changed]:
        desk = self.office.desk
        if key == "rule":
            return partial(tax_rates.set_rounding, desk, str(value), desk.today)
        if key == "rule_from":
            return partial(_rounded_from, desk, str(value))
        if key == "basis":
            start = tax_rates.period_start(desk, desk.today)
            return partial(tax_rates.set_basis, desk, str(value), start)
        if key == "basis_from":
            return partial(_from, desk, str(value))
        return partial(shop_settings.set_typed, desk, key, value)

    def _typed(self, key: Hashable, column: str, text: str) -> Outcome:
        desk = self.office.desk
        if isinstance(key, int):
            return self.office.typed(partial(tax_rates.edit_rate, desk, key, column, text), text)
        if not text:
            return Outcome()
        return self.office.typed(partial(tax_rates.add_rate, desk, text), text)


def _rounded_from(desk: Desk, typed: str) -> Changed:
    """Round as today from another first day on."""
    rule, since = tax_rates.rounding_now(desk)
    day = tax_rates.read_first_day(desk, typed)
    if day > since and since != BEGINNING:
        raise Mendable(
            f"It is rounded so from {tax_rates.first_day_text(since)} on already; choose the other "
            "way first, which begins today."
        )
    return tax_rates.set_rounding(desk, rule, day)


def _from(desk: Desk, typed: str) -> Changed:
    """Count as today from another first day on."""
    basis, since = tax_rates.basis_now(desk)
    day = tax_rates.read_first_day(desk, typed)
    if day > since:
        raise Mendable(
            f"It is counted so from {tax_rates.first_day_text(since)} on already; choose the other "
            "way first, which begins with this period."
        )
    return tax_rates.set_basis(desk, basis, day)

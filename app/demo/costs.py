"""What the made-up shop spends beside supplies, its till, and what it drives."""

from __future__ import annotations

from datetime import date
from random import Random

from app.calculations.figures.repeating import MONTH, YEAR, due_by
from app.demo.scene import Part, Scene
from app.demo.till import Till
from app.records.models import Expense, Repeat

# (kind, text, amount in cents, how it is paid, how often, day of the month)
_RULES = (
    ("rent", "the bay, with power and water", 115_000, "transfer", MONTH, 1),
    ("phone", "one line and a mailbox", 8_900, "card", MONTH, 12),
    ("insurance", "garage keeper’s cover", 164_000, "transfer", YEAR, 15),
)
_BEGAN_WITH = 15_000  # cents in the till
_MOST_KEPT = 60_000


class Costs(Part):
    """Writes expenses day by day, by dice of its own: the rest of the story stays as it was."""

    def __init__(self, scene: Scene, till: Till) -> None:
        super().__init__(scene)
        self._till, self._dice = till, Random(7)
        self._written: set[tuple[int, date]] = set()
        self._rules: dict[int, tuple[str, str, int, str, str, date]] = {}
        self._cash = _BEGAN_WITH
        self._tips = 0

    def found(self, day: date) -> None:
        """The rules by which expenses come again, from the month in which the book began."""
        for kind, text, amount, method, every, on in _RULES:
            first = day.replace(day=on)
            number = self._rows.add(
                Repeat, kind=kind, text=text, amount=amount, method=method, every=every,
                from_day=first, until=None,
            )  # fmt: skip
            self._rules[number] = (kind, text, amount, method, every, first)

    def evening(self, day: date, new_month: bool) -> dict[str, int | None]:
        """What is spent on a day that is closed; the day's own numbers: cash counted, driven."""
        dice = self._dice
        for number, (kind, text, amount, method, every, first) in self._rules.items():
            for period, on in due_by(every, first, None, day):
                if (number, period) not in self._written:
                    self._written.add((number, period))
                    self._write(day, on, kind, text, amount, method, number, period)
        if new_month:
            self._write(day, day, "card fees", "of last month", dice.randint(9_000, 19_000), "card")
            if day.month in (1, 4, 7, 10) and self._till.tax_due > 0:
                self._write(day, day, "tax", "last quarter", self._till.tax_due, "transfer")
                self._till.tax_due = 0
        if dice.random() < 0.12:
            self._write(day, day, "fuel", "", dice.randint(3_200, 6_800), "card")
        if dice.random() < 0.02:
            what = dice.choice(("a vacuum hose", "backing plates", "a work lamp", "a step stool"))
            self._write(day, day, "tools", what, dice.randint(1_500, 14_000), "card")
        if dice.random() < 0.05:
            self._write(day, day, "other", "coffee and paper", dice.randint(900, 2_400), "cash")
        counted = self._count(day)
        driven = round(dice.uniform(4, 38) * 10) * 161 if dice.random() < 0.3 else 0
        return {"cash_counted": counted, "driven": driven}

    def _count(self, day: date) -> int | None:
        """On Fridays tips are handed on, the till is counted, and what is too much goes away."""
        cash, tips = self._till.taken_in_cash()
        self._cash += cash
        self._tips += tips
        if day.weekday() != 4:
            return None
        if self._tips > 0:
            self._write(day, day, "tips", "Rowan", self._tips, "cash")
            self._tips = 0
        if self._cash > _MOST_KEPT:
            away = (self._cash - _BEGAN_WITH) // 1000 * 1000
            self._write(day, day, "till", "to the bank", away, "cash")
        if self._dice.random() < 0.07:
            self._cash += self._dice.choice((-1000, -500, -200, 500))
        self._cash = max(0, self._cash)
        return self._cash

    def _write(
        self,
        day: date,
        on: date,
        kind: str,
        text: str,
        amount: int,
        method: str,
        rule: int | None = None,
        period: date | None = None,
    ) -> None:
        self._rows.add(
            Expense, day=on, at=self._clock.at(day, 1060), kind=kind, text=text, amount=amount,
            method=method, repeat_id=rule, period=period,
        )  # fmt: skip
        if method == "cash":
            self._cash -= amount

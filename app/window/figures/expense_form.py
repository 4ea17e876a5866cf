"""Writing an expense, or changing one: what for, when, how much, and whether it comes again."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from app.actions.costs import expenses
from app.actions.costs.expenses import EVERY, METHODS, WORDS, Typed
from app.window.house.office import Office
from app.window.paper.fields import Choice, Form

_METHODS = [("not said", ""), *((method, method) for method in METHODS)]


class ExpenseForm(Form):
    """Its fields; Enter in the last one, or the page's action, writes it."""

    def __init__(self, office: Office, write: Callable[[], object]) -> None:
        super().__init__(office.theme, 4)
        theme, self.office = office.theme, office
        self.expense_id = self.repeat_id = 0  # what is changed; neither: a new one
        kinds = [(words, key) for key, (_kind, words, _sign) in WORDS.items()]
        self.kind = self.add("What for", Choice(theme, kinds), span=2)
        self.text = self.add_line("In your words, or to whom", "the bay, the pump", span=2)
        self.amount = self.add_line("Amount, with its tax", "48.20")
        self.tax = self.add_line("Tax in it", "none")
        self.day = self.add_line("Day", "today")
        self.method = self.add("Paid by", Choice(theme, _METHODS))
        often = [(words, key) for key, words in EVERY.items()]
        self.every = self.add("Comes again", Choice(theme, often))
        self.until = self.add_line("Until", "no end", on_enter=write)
        self.use_tax = self.add_line(
            "Goods bought without tax: use tax, %", "no", span=2, on_enter=write
        )
        for field, following in (
            (self.text, self.amount), (self.amount, self.tax), (self.tax, self.day),
            (self.day, self.method),
        ):  # fmt: skip
            field.returnPressed.connect(partial(following.setFocus))
        self.every.activated.connect(lambda _at: self._show_until())
        self.begin()

    def begin(self, kind: str = "") -> None:
        """A fresh one; of the kind written last where none is said."""
        self.expense_id = self.repeat_id = 0
        self.empty()
        self.kind.choose(kind or self.kind.value)
        self.every.choose("")
        self.every.setEnabled(True)
        self._show_until()

    def fill(self, typed: Typed, *, expense_id: int = 0, repeat_id: int = 0) -> None:
        """One that stands, to be changed."""
        self.expense_id, self.repeat_id = expense_id, repeat_id
        for name in ("text", "amount", "tax", "use_tax", "day", "until"):
            getattr(self, name).setText(getattr(typed, name))
        for name in ("kind", "method", "every"):
            getattr(self, name).choose(getattr(typed, name))
        self.every.setEnabled(False)  # it stays what it is
        self._show_until()

    def _show_until(self) -> None:
        self.until.setEnabled(bool(self.every.value))

    def typed(self) -> Typed:
        """What stands in it."""
        return Typed(
            kind=str(self.kind.value),
            method=str(self.method.value),
            every=str(self.every.value),
            **{
                name: getattr(self, name).text()
                for name in ("text", "amount", "tax", "use_tax", "day", "until")
            },
        )

    def do(self) -> Callable[[], object]:
        """The action that writes it."""
        desk, typed = self.office.desk, self.typed()
        if self.expense_id:
            return partial(expenses.change_expense, desk, self.expense_id, typed)
        if self.repeat_id:
            return partial(expenses.change_repeat, desk, self.repeat_id, typed)
        return partial(expenses.write_expense, desk, typed)

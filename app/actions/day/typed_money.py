"""What is typed for money that came: an amount, how it was paid, a tip, a credit."""

from __future__ import annotations

import re
from dataclasses import dataclass

from app.calculations.numbers.money import read_money
from app.errors import Mendable

_METHOD = re.compile(
    r"\b(cash|checks?|cheques?|cards?|transfers?|bank|wire|credits?)\b", re.IGNORECASE
)
_SAME = {"cheque": "check", "bank": "transfer", "wire": "transfer"}
_SUM = r"[^\s\d+]?\d[\d.,]*"
_BESIDE = re.compile(
    rf"(?:(?P<plus>\+)?\s*\b(?P<word>tip|credit)\s+(?P<sum>{_SUM})"
    rf"|\+\s*(?P<sum_first>{_SUM})\s+(?P<word_last>tip|credit))(?![\w.,])",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class Typed:
    """Money as it was typed, minor units; `amount` is none where only a tip or credit was."""

    amount: int | None
    method: str = ""
    tip: int = 0
    credit: int = 0
    on_top: bool = False  # the tip and credit came besides the amount, not out of it

    def for_job(self, due: int) -> int:
        """What of it is for the job, of which so much is due.

        A tip is part of what came, but comes on top where the amount is what is due, or with `+`.
        """
        amount = due if self.amount is None else self.amount
        beside = self.tip + self.credit
        if self.on_top or self.amount is None or amount == due:
            return amount
        if beside and beside > amount:
            raise Mendable("The tip or credit is more than what came; check the amounts.")
        return amount - beside


def read_taken(typed: str, currency: str) -> Typed:
    """`400`, `$400 check`, `card 1,250.00`, `-50 cash` (given back), `105 tip 10`, `95 + tip 10`.

    `105 credit 10` keeps 10 of it for later; `30 credit` pays 30 from what was kept.
    """
    beside = {"tip": 0, "credit": 0}
    on_top = False

    def take(found: re.Match[str]) -> str:
        nonlocal on_top
        word = (found["word"] or found["word_last"]).lower()
        beside[word] += read_money(found["sum"] or found["sum_first"], currency)
        on_top = on_top or bool(found["plus"]) or bool(found["sum_first"])
        return " "

    rest = _BESIDE.sub(take, typed).replace("+", " ")
    if re.search(r"\btips?\b", rest, re.IGNORECASE):
        raise Mendable("Type the tip behind its word, such as “105 tip 10”.")
    method = ""
    found = _METHOD.search(rest)
    if found:
        word = found[1].lower()
        method = _SAME.get(word.removesuffix("s"), word.removesuffix("s"))
        rest = rest[: found.start()] + rest[found.end() :]
    rest = rest.strip(" ,;")
    if not rest and any(beside.values()):
        return Typed(None, method, beside["tip"], beside["credit"])
    return Typed(read_money(rest, currency), method, beside["tip"], beside["credit"], on_top)

"""An invoice or credit note as it is printed, as plain data: every word and sum is set already."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class InvoiceSheet:
    """One paper. `about` stands at the right of the address; `sums` end with what is due.

    A line without an amount is the head of those beneath it.
    """

    title: str  # Invoice, Credit note
    subtitle: str
    number: str
    day: str
    shop_name: str
    shop_address: str
    shop_answer: str  # telephone and mail
    mark: str = ""  # the shop's own
    to: tuple[str, ...]
    about_head: str
    about: tuple[str, ...]
    head: str  # over the lines: What was done, What is taken back
    lines: tuple[tuple[str, str, str], ...]  # words, amount, letter of the tax
    taxes: tuple[tuple[str, str, str, str], ...]  # letter, words, on, tax
    sums: tuple[tuple[str, str], ...]
    due: str = ""  # by when, in which currency
    how_to_pay: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()

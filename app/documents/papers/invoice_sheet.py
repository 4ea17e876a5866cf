"""An invoice or credit note as it is printed, as plain data: every word and sum is set already."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class SheetLine:
    """A line; its hours and the rate an hour only where it is charged by time.

    One without an amount is the head of those beneath it.
    """

    text: str
    amount: str = ""
    letter: str = ""
    hours: str = ""
    rate: str = ""
    so_far: str = ""  # all amounts down to this line


@dataclass(frozen=True, kw_only=True)
class InvoiceSheet:
    """One paper. `about` stands at the right of the address; `sums` end with what is due."""

    title: str  # Invoice, Credit note
    subtitle: str
    number: str
    day: str
    shop_name: str
    shop_address: str
    shop_answer: tuple[str, ...]  # telephone and mail
    mark: str = ""  # the shop's own
    to: tuple[str, ...]
    about_head: str
    about: tuple[str, ...]
    head: str  # over the lines: What was done, What is taken back
    lines: tuple[SheetLine, ...]
    taxes_head: str = "Tax"
    taxes: tuple[tuple[str, str, str, str], ...]  # letter, words, on, tax
    sums: tuple[tuple[str, str], ...]
    bold: str = ""  # the sum of the paper itself: Comes to, Credit
    due: str = ""  # by when, in which currency
    stands: tuple[tuple[str, str], ...] = ()  # of a credit note: how the invoice stands now
    how_to_pay: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    came_of_it: str = ""  # what came of the estimate
    half: bool = False  # on half a sheet, where it fits

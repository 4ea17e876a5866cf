"""What goods cost when they are used: moving average and first in, first out, to the last cent.

Quantities are whole base units, values whole minor units. One identity always holds exactly:

    opening value + cost of what was received = cost of what was issued + settled + ending value

Issuing a part of the stock takes its share of the value, half away from zero; issuing the whole
takes the whole value, so no residue of rounding is left behind.

Stock may fall below zero (the count was wrong, or the delivery is not booked yet). What is short is
issued at the last known unit cost, and the negative quantity keeps that value. When goods arrive,
they first fill the shortage: what they cost and what the shortage was valued at differ, and that
difference, `settled`, is a cost of goods of the day they arrive (negative when they came cheaper).
Jobs that are closed keep their cost, and the goods that remain stand at what they really cost.
`settled` is not zero only for a step that filled a shortage, or where a line was taken back after
the stock had moved on.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from app.calculations.numbers.money import allocate
from app.calculations.numbers.rounding import half_away


@dataclass(frozen=True)
class Received:
    """Goods that came: base units, what they cost with freight in minor units, and their lot."""

    quantity: int
    cost: int
    lot: int | None = None


def _share(value: int, part: int, whole: int) -> int:
    """The part's share of a value, half away from zero; the whole takes the whole."""
    return half_away(Fraction(value * part, whole))


def _positive(quantity: int) -> None:
    if quantity < 0:
        raise ValueError("A quantity moved is not negative; take the line back instead")


@dataclass(frozen=True)
class Average:
    """Stock at moving average.

    `quantity` and `value` have the same sign. `last` is the unit cost (minor units per base unit)
    last seen, for issuing what is not there; None where only the balance is known. `settled`
    belongs to the step that made this state and is no part of comparing two states.
    """

    quantity: int = 0
    value: int = 0
    last: Fraction | None = field(default=None, compare=False)
    settled: int = field(default=0, compare=False)

    @property
    def unit_cost(self) -> Fraction:
        """Minor units per base unit: of what is there, else the last one known, else 0."""
        if self.quantity > 0:
            return Fraction(self.value, self.quantity)
        if self.last is not None:
            return self.last
        return Fraction(self.value, self.quantity) if self.quantity else Fraction(0)

    def receive(self, quantity: int, cost: int) -> Average:
        """Take in goods; `settled` of the result is what a shortage turned out to cost more."""
        _positive(quantity)
        if quantity == 0:
            raise ValueError("Goods received have a quantity; a cost alone is no receipt")
        filling = min(quantity, max(0, -self.quantity))
        released = -_share(self.value, filling, -self.quantity) if filling else 0
        paid = _share(cost, filling, quantity) if filling else 0
        after, value = self.quantity + quantity, self.value + released + cost - paid
        unit = Fraction(value, after) if after > 0 else Fraction(cost, quantity)
        return Average(after, value, unit, paid - released)

    def issue(self, quantity: int) -> tuple[Average, int]:
        """Take out goods: the stock after, and what they cost."""
        _positive(quantity)
        cost = half_away(quantity * self.unit_cost)
        return Average(self.quantity - quantity, self.value - cost, self.unit_cost), cost

    def correct(self, counted: int) -> tuple[Average, int]:
        """Set the quantity to a count: the stock after, and the value lost (negative: found).

        Goods found are valued at the unit cost. Goods lost are issued.
        """
        if counted <= self.quantity:
            return self.issue(self.quantity - counted)
        if counted < 0:
            value = _share(self.value, -counted, -self.quantity)
        elif self.quantity > 0:
            value = self.value + half_away((counted - self.quantity) * self.unit_cost)
        else:
            value = half_away(counted * self.unit_cost)
        return Average(counted, value, self.unit_cost), self.value - value

    def settle(self) -> Average:
        """The same stock after lines were taken back: what cannot be its value is settled.

        A value of the other sign than the quantity becomes what that is worth at the cost `last`.
        """
        kept = self.value
        if kept and kept * self.quantity <= 0:
            kept = half_away(self.quantity * (self.last or Fraction(0)))
        return Average(self.quantity, kept, self.last, self.value - kept)


@dataclass(frozen=True)
class Taken:
    """What an issue took from one lot; `lot` is None for what was not there."""

    lot: int | None
    quantity: int
    cost: int


@dataclass(frozen=True)
class Lots:
    """Stock by lot, oldest first, or else what is short, at the unit cost last received.

    `lots` holds what is left of each receipt. `short` is a positive quantity and `short_value` what
    it was issued at; while anything is short there are no lots, because goods fill the shortage.
    """

    lots: tuple[Received, ...] = ()
    short: int = 0
    short_value: int = 0
    last: Fraction = field(default=Fraction(0), compare=False)
    settled: int = field(default=0, compare=False)

    @property
    def quantity(self) -> int:
        """Base units on hand, negative when short."""
        return sum(lot.quantity for lot in self.lots) - self.short

    @property
    def value(self) -> int:
        """Minor units on hand, negative when short."""
        return sum(lot.cost for lot in self.lots) - self.short_value

    def receive(self, quantity: int, cost: int, lot: int | None = None) -> Lots:
        """Take in a lot as the newest; it fills a shortage first (see `settled`)."""
        _positive(quantity)
        if quantity == 0:
            raise ValueError("Goods received have a quantity; a cost alone is no receipt")
        lots = [*self.lots, Received(quantity, cost, lot)]
        return _standing(lots, self.short, self.short_value, Fraction(cost, quantity))

    def issue(self, quantity: int, lot: int | None = None) -> tuple[Lots, int, tuple[Taken, ...]]:
        """Take out goods, oldest first: the stock after, the cost, and what came from which lot.

        With `lot`, that lot is taken first (the bottle in the hand), then the oldest.
        """
        _positive(quantity)
        lots = list(self.lots)
        order = sorted(range(len(lots)), key=lambda i: lot is None or lots[i].lot != lot)
        last = Fraction(lots[-1].cost, lots[-1].quantity) if lots else self.last
        taken: list[Taken] = []
        wanted = quantity
        for i in order:
            part = min(wanted, lots[i].quantity)
            if part:
                lots[i], cost = _less(lots[i], part)
                taken.append(Taken(lots[i].lot, part, cost))
                wanted -= part
        short_cost = half_away(wanted * last)
        if wanted:
            taken.append(Taken(None, wanted, short_cost))
        left = tuple(each for each in lots if each.quantity)
        after = Lots(left, self.short + wanted, self.short_value + short_cost, last)
        return after, sum(each.cost for each in taken), tuple(taken)


def _less(lot: Received, part: int) -> tuple[Received, int]:
    """A lot without a part of it, and the part's cost."""
    cost = _share(lot.cost, part, lot.quantity)
    return Received(lot.quantity - part, lot.cost - cost, lot.lot), cost


def _standing(lots: list[Received], short: int, short_value: int, last: Fraction) -> Lots:
    """The state in which goods have filled the shortage, with the difference settled."""
    settled = 0
    while short and lots:
        part = min(short, lots[0].quantity)
        released = _share(short_value, part, short)
        lots[0], paid = _less(lots[0], part)
        settled += paid - released
        short, short_value = short - part, short_value - released
        if lots[0].quantity == 0:
            lots.pop(0)
    if short_value < 0:  # issued at a price below zero
        kept = half_away(short * last)
        settled, short_value = settled + kept - short_value, kept
    return Lots(tuple(lots), short, short_value, last, settled)


def landed(
    lines: Sequence[tuple[int, int]], freight: int = 0, fee: int = 0, discount: int = 0
) -> list[int]:
    """What each line of a delivery really cost, in minor units; the sum is exact.

    Parameters
    ----------
    lines
        (price of the line in minor units, its weight in milligrams) for each line.
    freight, fee
        Freight and handling of hazardous goods: spread by weight, by price where nothing has a
        weight, evenly where nothing has a price either.
    discount
        A positive number, spread by price.

    Spreading by weight is common practice, no source.
    """
    if not lines:
        return []
    values = [max(0, value) for value, _ in lines]
    weights = [max(0, weight) for _, weight in lines]
    even = [1] * len(lines)
    by_weight = weights if any(weights) else values if any(values) else even
    by_value = values if any(values) else even
    carried = allocate(freight + fee, by_weight)
    off = allocate(discount, by_value)
    return [line[0] + more - less for line, more, less in zip(lines, carried, off, strict=True)]

"""Goods that are bought and opened as whole containers: the opener bears the cost.

A bottle of coating is paid for by the job that opens it; what is left in it costs the next job
nothing, for it may have to be thrown away (common practice, no source). So only unopened containers
carry value.
"""

from __future__ import annotations

from fractions import Fraction

from app.calculations.numbers.rounding import half_away


def opened_cost(quantity: int, value: int, size: int, taken: int) -> int:
    """What taking from whole containers costs, in minor units.

    Parameters
    ----------
    quantity, value
        What is there, base units and minor units; an opened container's rest has no value.
    size
        The content of one container, base units.
    taken
        What is taken, at most `quantity`; the opened container goes first.

    Where value is left though no full container is (it was counted in, or the size was unknown),
    the share of what is taken is charged.
    """
    if not 0 <= taken <= quantity:
        raise ValueError("What is taken lies between nothing and what is there")
    if taken == 0:
        return 0
    if taken == quantity:
        return value
    full = quantity // size if size > 0 else 0
    if full == 0:
        return half_away(Fraction(value * taken, quantity))
    still_full = (quantity - taken) // size
    return value - half_away(Fraction(value * still_full, full))

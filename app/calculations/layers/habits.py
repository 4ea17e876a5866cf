"""Habits of one shop that shape what its judgements mean.

*Exposure*: how far the factors of where a vehicle stands and how it is washed truly hold here.
*Fading*: after which part of its life this shop calls a layer fading; then "holding" means that
the end is not near, and "fading" that it is. *Wrong*: how many judgements say gone of what still
protects, or holding of what is worn out; also layers whose end was no wear (a strip wash elsewhere,
a repaint, a slip of the pen).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

# One verdict in ten of holding or fading is taken to say nothing (dull may be dirt); judgement,
# no source.
TRUST = 0.9


# The share of judgements that are wrong before a shop has shown its own, and how far a shop strays
# from it, as a logarithm. Judgement, no source; in shops of 200 vehicles one in ten wrong is found.
WRONG, WRONG_SPREAD = 0.01, 1.2


@dataclass(frozen=True, slots=True)
class Fading:
    """Parts of its life (J,) after which a layer looks faded, and how likely each is.

    `trusted` is false in a shop that never used the word: its "holding" means "not gone".
    """

    parts: Floats
    weights: Floats
    trusted: bool = True

    @classmethod
    def lasting(cls, share: float, trusted: bool = True) -> Fading:
        """Fading that lasts about `share` of a life, from half to one and a half times that."""
        spread = np.array([0.5, 1.0, 1.5])
        return cls(1.0 - share * spread, np.array([0.25, 0.5, 0.25]), trusted)

    @property
    def mark(self) -> tuple[bytes, bytes, bool]:
        """What tells it from another."""
        return self.parts.tobytes(), self.weights.tobytes(), self.trusted

    @property
    def share(self) -> float:
        """The share of a life during which a layer looks faded."""
        return 1.0 - float((self.parts * self.weights).sum())


# What is assumed of a layer seen fading before the shop's own habit is known.
UNLEARNT = Fading.lasting(0.30, trusted=False)


@dataclass(frozen=True, slots=True)
class Habits:
    """`strength`: power to which the exposure factors hold, with its standard deviation
    `strength_doubt`; what is meant by `fading`; the share of judgements that are `wrong`.
    """

    strength: float = 1.0
    strength_doubt: float = 0.0
    fading: Fading = UNLEARNT
    wrong: float = WRONG

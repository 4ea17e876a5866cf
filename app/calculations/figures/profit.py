"""Profit: what was earned less what it cost, and what that makes by the hour of all work."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Profit:
    """A span of days, both included; minor units and minutes.

    `earned`: work done in it, before tax, as on the slip; `supplies`: what was used on its days,
    at cost; `expenses`: (kind, sum) of its days, with their tax; `driving`: worth of its days.
    """

    earned: int
    supplies: int
    expenses: tuple[tuple[str, int], ...]
    driving: int
    on_jobs: int
    unpaid: int  # minutes on the shop itself

    @property
    def spent(self) -> int:
        """All expenses."""
        return sum(amount for _kind, amount in self.expenses)

    @property
    def profit(self) -> int:
        """Earned, less supplies, expenses and driving."""
        return self.earned - self.supplies - self.spent - self.driving

    @property
    def minutes(self) -> int:
        """All minutes worked, the unpaid ones in."""
        return self.on_jobs + self.unpaid

    @property
    def an_hour(self) -> float | None:
        """Profit by the hour of all work, minor units; None where no hour is noted."""
        return self.profit * 60 / self.minutes if self.minutes > 0 else None

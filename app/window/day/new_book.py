"""The day sheet of a book that is new: its three steps instead of the sheet, then what is left."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from app.actions.exchange.first_hour import first_hour
from app.window.day.first_steps import FirstSteps, left_runs, pass_all
from app.window.paper.runs import Run

if TYPE_CHECKING:
    from app.window.day.place import DayPlace


class NewBook:
    """Puts the three steps on the page of the day until the first job, and their keys with them.

    With the first job the sheet comes back, and the steps that are left stand at its head until the
    first day is closed.
    """

    def __init__(self, place: DayPlace) -> None:
        self._place, self._office = place, place.office
        self._left: tuple[str, ...] = ()  # the steps that are neither done nor passed
        self._step_keys = [
            place.on_key("Del", lambda: self.steps.pass_step()),
            place.on_key("Ins", lambda: self.steps.add_file()),
        ]
        self._pass_key = place.on_key("Ctrl+Del", self._pass_left)

    @cached_property
    def steps(self) -> FirstSteps:
        """The steps, made when they are first shown."""
        return FirstSteps(self._office, self._place.margin.say)

    @property
    def stands(self) -> bool:
        """Whether the steps stand on the page, and not the sheet."""
        return isinstance(self._place.body, FirstSteps)

    def show(self, *, is_new: bool) -> bool:
        """Show how far the steps are; False where the sheet is to stand there."""
        desk, looked_at = self._office.desk, self._office.looked_at
        found = self._office.read(lambda: first_hour(desk, looked_at)) if is_new else None
        self._left = found.left if found is not None else ()
        steps = found is not None and not found.begun and bool(found.left)
        self._pass_key.setEnabled(bool(self._left) and not steps)
        for key in self._step_keys:
            key.setEnabled(steps)
        if found is not None and steps:
            self.steps.show_on(self._place, found)
        return steps

    def head_runs(self) -> list[Run]:
        """The steps that are left, for the head of the sheet."""
        return left_runs(self._office, self._left, self._pass_left) if self._left else []

    def _pass_left(self) -> None:
        pass_all(self._office, self._left)

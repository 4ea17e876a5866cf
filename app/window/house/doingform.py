"""A form whose every line does something: type how much, press Enter; it is noted and undoable."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from app.actions.desk.desk import Changed
from app.errors import Mendable
from app.window.house.office import Office
from app.window.paper.fields import Form, LineField


class DoingForm(Form):
    """Lines of things to do; what cannot be read stays, with its reason."""

    def __init__(self, office: Office, columns: int) -> None:
        super().__init__(office.theme, columns)
        self._office = office

    def does(self, label: str, hint: str, do: Callable[[str], Changed]) -> LineField:
        """A line; `do(text)` does what was typed."""
        field = self.add_line(label, hint)
        field.returnPressed.connect(partial(self._done, field, do))
        return field

    def _done(self, field: LineField, do: Callable[[str], Changed]) -> None:
        text = field.text().strip()
        if not text:
            return
        try:
            changed = do(text)
        except Mendable as trouble:
            self.refuse(field, trouble)
            return
        field.empty()
        self._office.note(changed)

    def refuse(self, field: LineField, trouble: Mendable) -> None:
        """Mark a line that cannot be read, and say why in the foot."""
        field.set_trouble(trouble.sentence)
        self._office.say_trouble(trouble.sentence)

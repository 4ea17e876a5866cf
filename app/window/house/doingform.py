"""A form whose every line does something: type how much, press Enter; it is noted and undoable.

Left without Enter, what was typed stays, and the foot says that it is not done.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from app.errors import Mendable
from app.window.house.office import Office
from app.window.house.savedform import Write
from app.window.paper.fields import Form, LineField


class DoingForm(Form):
    """Lines of things to do; what cannot be read stays, with its reason."""

    def __init__(self, office: Office, columns: int) -> None:
        super().__init__(office.theme, columns)
        self._office = office
        self.on_leave = self._say_not_done

    def does(self, label: str, hint: str, do: Callable[[str], Write]) -> LineField:
        """A line; what `do(text)` returns does what was typed, to what the form shows just now.

        Where the book is being written in the background it is done later, and the form may show
        another thing by then.
        """
        field = self.add_line(label, hint)
        field.returnPressed.connect(partial(self._done, field, do))
        return field

    def _say_not_done(self) -> bool:
        """Say of what was typed, and not done by Enter, that it is not."""
        for label, field in self.lines():
            text = field.text().strip()
            if text:
                self._office.say_trouble(
                    f"“{text}” under “{label}” is not noted yet. Press Enter there to note it."
                )
                return False
        return True

    def drop(self) -> None:
        """Another thing is shown: take away what was typed for the last, and say so."""
        typed = [f"“{field.text().strip()}”" for _l, field in self.lines() if field.text().strip()]
        self.empty()
        if typed:
            self._office.say_trouble(f"Not noted: {', '.join(typed)}.")

    def _done(self, field: LineField, do: Callable[[str], Write]) -> None:
        text = field.text().strip()
        if not text:
            return
        try:
            changed = self._office.write(do(text), text)
        except Mendable as trouble:
            self.refuse(field, trouble)
            return
        field.empty()
        if changed is not None:
            self._office.note(changed)

    def refuse(self, field: LineField, trouble: Mendable) -> None:
        """Mark a line that cannot be read, and say why in the foot."""
        field.set_trouble(trouble.sentence)
        self._office.say_trouble(trouble.sentence)

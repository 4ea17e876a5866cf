"""A form whose every field is saved when it is left: nothing to press, nothing to lose."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from typing import Any

from app.actions.desk.desk import Changed
from app.errors import Mendable
from app.window.house.office import Office
from app.window.paper.fields import Choice, Form, LineField, Options, Tick

Write = Callable[[], Changed | tuple[Changed, object]]
Save = Callable[[str, Any], Write]


class SavedForm(Form):
    """Fields by key. What `save(key, value)` returns writes one; what is refused stays, marked.

    It is bound to what the form shows when the field is left: where the book is being written in
    the background it is done later, and the form may show another thing by then.
    """

    def __init__(self, office: Office, save: Save, columns: int = 3) -> None:
        super().__init__(office.theme, columns)
        self._office = office
        self._save = save
        self._fields: dict[str, LineField | Choice | Tick] = {}
        self._current: dict[str, Any] = {}

    def line(self, key: str, label: str, hint: str = "", span: int = 1) -> None:
        """A line of text."""
        field = self._fields[key] = self.add_line(label, hint, span=span)
        field.editingFinished.connect(partial(self._left, key))

    def choice(self, key: str, label: str, options: Options) -> None:
        """One of several words."""
        field = Choice(self._theme, options)
        field.activated.connect(lambda _at, key=key: self._left(key))
        self._fields[key] = self.add(label, field)

    def tick(self, key: str, label: str, words: str) -> None:
        """Yes or no."""
        field = Tick(self._theme, words)
        field.clicked.connect(lambda _on, key=key: self._left(key))
        self._fields[key] = self.add(label, field)

    def show_values(self, values: Mapping[str, Any]) -> None:
        """Show what is current; a field that is written in, or cannot be read, keeps its text."""
        for key, field in self._fields.items():
            value = values.get(key)
            self._current[key] = value
            if isinstance(field, LineField):
                if not field.trouble and not (field.hasFocus() and field.isModified()):
                    field.setText("" if value is None else str(value))
                    field.setCursorPosition(0)
            elif isinstance(field, Choice):
                field.choose(value)
            elif isinstance(field, Tick):
                field.setChecked(bool(value))

    def forget(self) -> None:
        """Drop what could not be read, before another thing is shown."""
        for field in self._fields.values():
            if isinstance(field, LineField):
                field.set_trouble("")
                field.setModified(False)

    def focus(self, key: str, *, select: bool = False) -> None:
        """Set the cursor into a field; `select` what is written there, to be written over."""
        field = self._fields[key]
        field.setFocus()
        if select and isinstance(field, LineField):
            field.selectAll()

    def field(self, key: str) -> LineField | Choice | Tick:
        """A field by its key."""
        return self._fields[key]

    def leave(self) -> bool:
        """Save the field with the focus; the others are saved already."""
        for key, field in self._fields.items():
            if isinstance(field, LineField) and field.isModified():
                self._left(key)
        return not any(field.trouble for _label, field in self.lines())

    def _left(self, key: str) -> None:
        field, current = self._fields[key], self._current.get(key)
        if isinstance(field, LineField):
            value: Any = field.text().strip()
            field.setModified(False)
            if value == ("" if current is None else str(current)):
                field.set_trouble("")
                return
        else:
            value = field.value if isinstance(field, Choice) else field.isChecked()
            if value == current:
                return
        words = str(value) if isinstance(field, LineField) else ""
        try:
            changed = self._office.write(
                self._save(key, value), words, partial(self._refused_later, key, words)
            )
        except Mendable as trouble:
            if isinstance(field, LineField):
                field.set_trouble(trouble.sentence)
            self._office.say_trouble(trouble.sentence)
            return
        if isinstance(field, LineField):
            field.set_trouble("")
        self._current[key] = value
        if changed is not None:
            self._office.note(changed)

    def _refused_later(self, key: str, words: str) -> None:
        field = self._fields[key]
        if isinstance(field, LineField) and field.text().strip() == words:
            self._current[key] = None  # so that leaving the field again tries again
            field.set_trouble(self._office.refusal)

"""A form whose every field is saved when it is left: nothing to press, nothing to lose."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from typing import Any

from PySide6.QtWidgets import QWidget

from app.actions.desk.desk import Changed
from app.errors import Mendable
from app.window.house.office import Office
from app.window.paper.fields import Choice, Form, LineField, Tick

Write = Callable[[], Changed]
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
        self._fields: dict[str, QWidget] = {}
        self._stands: dict[str, Any] = {}

    def line(self, key: str, label: str, hint: str = "", span: int = 1) -> LineField:
        """A line of text."""
        field = LineField(self._office.theme, "", hint)
        field.editingFinished.connect(partial(self._left, key))
        self._fields[key] = self.add(label, field, span=span)
        return field

    def choice(self, key: str, label: str, options: list[tuple[str, object]]) -> Choice:
        """One of several words."""
        field = Choice(self._office.theme, options)
        field.activated.connect(lambda _at, key=key: self._left(key))
        self._fields[key] = self.add(label, field)
        return field

    def tick(self, key: str, label: str, words: str) -> Tick:
        """Yes or no."""
        field = Tick(self._office.theme, words)
        field.clicked.connect(lambda _on, key=key: self._left(key))
        self._fields[key] = self.add(label, field)
        return field

    def show_values(self, values: Mapping[str, Any]) -> None:
        """Show what stands; a field that is being written in, or cannot be read, keeps its text."""
        for key, field in self._fields.items():
            value = values.get(key)
            self._stands[key] = value
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

    def focus(self, key: str) -> None:
        """Set the cursor into a field."""
        self._fields[key].setFocus()

    def field(self, key: str) -> QWidget:
        """A field by its key."""
        return self._fields[key]

    def _left(self, key: str) -> None:
        field = self._fields[key]
        value: Any = None
        if isinstance(field, LineField):
            value = field.text().strip()
            field.setModified(False)
            stands = self._stands.get(key)
            if value == ("" if stands is None else str(stands)):
                field.set_trouble("")
                return
        elif isinstance(field, Choice):
            value = field.value
        elif isinstance(field, Tick):
            value = field.isChecked()
        if not isinstance(field, LineField) and value == self._stands.get(key):
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
        self._stands[key] = value
        if changed is not None:
            self._office.note(changed)

    def _refused_later(self, key: str, words: str) -> None:
        field = self._fields[key]
        if isinstance(field, LineField) and field.text().strip() == words:
            self._stands[key] = None  # so that leaving the field again tries again
            field.set_trouble(self._office.refusal)

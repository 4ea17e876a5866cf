"""The passphrase of second backups, typed twice; only its key is kept, by the system's keyring."""

from __future__ import annotations

from PySide6.QtWidgets import QLineEdit

from app.actions.shop import backups
from app.errors import Mendable
from app.window.house.acting import on_book
from app.window.house.office import Office
from app.window.paper.action import ActionRow
from app.window.paper.fields import Form, LineField

SEAL_NO_MORE = "F7"


class PassphraseFields:
    """Two fields, and the row that seals no more."""

    def __init__(self, office: Office) -> None:
        self.office = office
        self.first = LineField(office.theme, "", "a new one replaces it")
        self.again = LineField(office.theme, "", "the same")
        for field in (self.first, self.again):
            field.setEchoMode(QLineEdit.EchoMode.Password)
        self.again.editingFinished.connect(self._keep)

    def put_into(self, form: Form) -> ActionRow:
        """Add the fields to a form; returns the row that goes under it."""
        form.add("Passphrase", self.first)
        form.add("Once more", self.again)
        self.row = ActionRow(self.office.theme, "Seal no more", SEAL_NO_MORE)
        self.row.button.clicked.connect(self.seal_no_more)
        self.say_ready()
        return self.row

    def say_ready(self) -> None:
        """Whether there is anything to seal no more."""
        sealed = bool(self.office.desk.settings.backup_salt)
        self.row.set_ready("" if sealed else "The second backups are not sealed.")

    def seal_no_more(self) -> None:
        """Make second backups without a passphrase from now on."""
        if self.row.reason:
            self.office.say_trouble(self.row.reason)
        else:
            on_book(self.office, backups.seal_no_more)

    def _keep(self) -> None:
        first, again = self.first.text(), self.again.text()
        if not again:
            return
        try:
            changed = backups.set_passphrase(self.office.desk, first, again)
        except Mendable as trouble:
            self.again.set_trouble(trouble.sentence)
            self.office.say_trouble(trouble.sentence)
            return
        self.first.clear()
        self.again.clear()
        self.again.set_trouble("")
        self.office.note(changed)
        self.office.say("The second backups are sealed from now on; keep the passphrase well")

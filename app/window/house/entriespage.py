"""A page of numbered entries that always stand there: settings, suppliers, services, files."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import ClassVar

from PySide6.QtWidgets import QWidget

from app.window.house.office import Office
from app.window.house.place import Place
from app.window.paper.partsbody import PartsBody
from app.window.paper.strip import Strip, StripEntry


class EntriesPage(Place):
    """A subclass gives `entries` and makes the body of each; `explain` is its margin.

    `entries`: key to title and subtitle, in their order.
    """

    entries: ClassVar[dict[str, tuple[str, str]]]

    def __init__(self, office: Office) -> None:
        super().__init__(office)
        self.strip = Strip(office.theme, self.make_body)

    def begin(self, first: str, leave: Callable[[], object]) -> None:
        """Open the first entry, once the parts are there; Esc does `leave`."""
        self.strip.opened.connect(self.turned)
        self._go_out = leave
        self.set_body(self.strip, bleeds=True)
        self.strip.open(first, still=True)

    def back(self) -> bool:
        self._go_out()
        return True

    def make_body(self, key: str) -> QWidget:
        """The body of an entry, when it is first opened."""
        raise NotImplementedError

    def turned(self, key: str) -> None:
        """Another entry is open."""
        self.explain()

    def explain(self) -> None:
        """Say in the margin what there is to know of the open entry."""

    def show_entries(
        self,
        results: Mapping[str, str],
        done: Callable[[str], object],
        *,
        owner: str = "",
        alerts: Mapping[str, str] | None = None,
    ) -> None:
        """What the entries say: their results, whether they are `done`, and what is worth a look.

        `owner` is whose all but the first entry are; their titles then begin with it.
        """
        shown = []
        for at, (key, (title, subtitle)) in enumerate(self.entries.items()):
            if owner and at:
                title = f"{owner}: {title.removeprefix('Its ').lower()}"
            state = "done" if done(key) else "to come"
            alert = (alerts or {}).get(key, "")
            shown.append(StripEntry(key, title, subtitle, results.get(key, ""), alert, state))
        self.strip.set_entries(shown)

    def entered(self) -> None:
        """Set the focus into the open entry."""
        body = self.strip.made(self.strip.open_key)
        if isinstance(body, PartsBody):
            body.entered()

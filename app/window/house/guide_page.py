"""The guide in the window: the page of the place that one comes from, and all the others."""

from __future__ import annotations

from functools import partial

from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QTextBrowser

from app.paths import guide
from app.window.house.office import Office
from app.window.house.place import Place
from app.window.paper.notes import Note, Offer, Voice
from app.window.paper.prose import chapters, rich_text
from app.window.paper.theme import Theme

_KEYS = (
    ("↑ ↓", "read on"),
    ("Alt ↑↓", "another page"),
    ("Esc", "back where you were"),
)


class _Text(QTextBrowser):
    """Lines no longer than one reads with ease."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._widest = theme.px(640)
        self.setLineWrapMode(QTextBrowser.LineWrapMode.FixedPixelWidth)
        self.setOpenLinks(False)
        self.setAccessibleName("The guide")
        self.document().setDocumentMargin(0)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.setLineWrapColumnOrWidth(min(self.viewport().width(), self._widest))


class GuidePage(Place):
    """Reads the guide that came with the program; opens nothing outside."""

    keys = (("The guide", _KEYS),)

    def __init__(self, office: Office) -> None:
        super().__init__(office)
        self._chapters = chapters(guide().read_text(encoding="utf-8"))
        self._chapter = ""
        self.from_key = ""  # the place to go back to
        self.text = _Text(office.theme)
        office.theme.recoloured.connect(self._show)
        self.on_key("Alt+Down", partial(self._step, 1))
        self.on_key("Alt+Up", partial(self._step, -1))
        self.set_body(self.text)
        self.turn_to(next(iter(self._chapters)))

    @property
    def titles(self) -> tuple[str, ...]:
        """The pages of the guide."""
        return tuple(self._chapters)

    @property
    def page_title(self) -> str:
        """The page that is open."""
        return self._chapter

    def open_item(self, item: object) -> None:
        """Turn to a place's page: `item` is its (key, name)."""
        if isinstance(item, tuple):
            self.from_key = str(item[0])
            self.turn_to(str(item[1]))

    def turn_to(self, title: str) -> None:
        """Open a page by its title; one that there is not leaves the open one."""
        if title in self._chapters:
            self._chapter = title
            self._show()
            self.text.verticalScrollBar().setValue(0)

    def _show(self) -> None:
        at = self.titles.index(self._chapter) + 1
        self.set_head(self._chapter, "from the guide", f"{at} of {len(self._chapters)}")
        self.text.setHtml(rich_text(self._chapters[self._chapter], self.office.theme))
        pages = (
            Voice(title) if title == self._chapter else
            Offer("", title, partial(self.turn_to, title))
            for title in self._chapters
        )  # fmt: skip
        self.margin.say(Note("Pages", tuple(pages), _KEYS))

    def _step(self, by: int) -> None:
        titles = self.titles
        self.turn_to(titles[(titles.index(self._chapter) + by) % len(titles)])

    def primary(self) -> None:
        """Back to where it was opened from."""
        if self.from_key:
            self.office.go(self.from_key)
        else:
            self.office.go_back()

    def back(self) -> bool:
        self.primary()
        return True

    def keep(self) -> object:
        """The page that is open, and where it was opened from."""
        return self._chapter, self.from_key

    def resume(self, kept: object) -> None:
        """Back to that page."""
        if isinstance(kept, tuple):
            self.turn_to(str(kept[0]))
            self.from_key = str(kept[1])

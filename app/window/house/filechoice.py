"""The system's own file choosers; each kind of file remembers the folder it was last in."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QWidget

from app.window.paper.theme import Theme


class FileChoice:
    """Asks for files of one `kind`; `otherwise` is the folder before any was chosen."""

    def __init__(
        self, theme: Theme, parent: QWidget | None, kind: str, otherwise: Path | None = None
    ) -> None:
        self._settings, self._parent = theme.settings, parent
        self._key = f"folders/{kind}"
        self._otherwise = otherwise or Path.home()

    @property
    def folder(self) -> Path:
        """The folder of the last choice, where it is still there."""
        kept = str(self._settings.value(self._key, "") or "") if self._settings else ""
        return Path(kept) if kept and Path(kept).is_dir() else self._otherwise

    def _keep(self, folder: Path) -> None:
        if self._settings is not None:
            self._settings.setValue(self._key, str(folder))

    def open(self, title: str, files: str) -> Path | None:
        """One file that is there; None where nothing was chosen."""
        chosen, _ = QFileDialog.getOpenFileName(self._parent, title, str(self.folder), files)
        return self._took(chosen)

    def open_many(self, title: str, files: str) -> list[Path]:
        """Any number of files that are there."""
        chosen, _ = QFileDialog.getOpenFileNames(self._parent, title, str(self.folder), files)
        paths = [Path(one) for one in chosen]
        if paths:
            self._keep(paths[0].parent)
        return paths

    def save(self, title: str, name: str, files: str) -> Path | None:
        """Where a file is to lie; a `name` that has its folder is proposed as it is."""
        proposed = Path(name) if Path(name).is_absolute() else self.folder / name
        chosen, _ = QFileDialog.getSaveFileName(self._parent, title, str(proposed), files)
        return self._took(chosen)

    def choose_folder(self, title: str) -> Path | None:
        """A folder."""
        chosen = QFileDialog.getExistingDirectory(self._parent, title, str(self.folder))
        if not chosen:
            return None
        self._keep(Path(chosen))
        return Path(chosen)

    def _took(self, chosen: str) -> Path | None:
        if not chosen:
            return None
        self._keep(Path(chosen).parent)
        return Path(chosen)

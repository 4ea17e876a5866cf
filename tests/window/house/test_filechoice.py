"""Each kind of file remembers its own folder."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtWidgets import QFileDialog

from app.window.house.filechoice import FileChoice
from app.window.paper.theme import Theme


def test_the_next_choice_begins_where_the_last_of_its_kind_ended(
    theme: Theme, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    began: list[str] = []
    answers = iter([str(tmp_path / "a" / "one.csv"), "", "", ""])

    def ask(_parent: object, _title: str, folder: str, _files: str) -> tuple[str, str]:
        began.append(folder)
        return next(answers), ""

    monkeypatch.setattr(QFileDialog, "getOpenFileName", ask)
    (tmp_path / "a").mkdir()
    lists = FileChoice(theme, None, "lists", tmp_path)
    assert lists.open("Lists", "*") == tmp_path / "a" / "one.csv"
    assert lists.open("Lists", "*") is None
    assert FileChoice(theme, None, "books", tmp_path).open("Books", "*") is None
    (tmp_path / "a").rmdir()
    assert lists.open("Lists", "*") is None
    here, chosen = str(tmp_path), str(tmp_path / "a")
    assert began == [here, chosen, here, here]


def test_a_name_is_proposed_in_the_folder_of_its_kind(
    theme: Theme, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    proposed: list[str] = []

    def ask(_parent: object, _title: str, path: str, _files: str) -> tuple[str, str]:
        proposed.append(path)
        return path, ""

    monkeypatch.setattr(QFileDialog, "getSaveFileName", ask)
    choice = FileChoice(theme, None, "figures", tmp_path)
    assert choice.save("Keep", "figures.pdf", "*") == tmp_path / "figures.pdf"
    elsewhere = tmp_path / "x.pdf"
    assert choice.save("Keep", str(elsewhere), "*") == elsewhere
    assert proposed == [str(tmp_path / "figures.pdf"), str(elsewhere)]

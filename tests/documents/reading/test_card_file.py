"""Address cards that say nothing are told of, and cost next to nothing."""

from __future__ import annotations

from pathlib import Path

import pytest

from app.documents.reading.card_file import read_cards
from app.documents.reading.options import Options


def test_cards_without_an_end_that_say_nothing_are_not_given_to_the_library(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []

    def refuse(text: str, **_: object) -> object:
        asked.append(text)
        raise ValueError

    monkeypatch.setattr("vobject.readComponents", refuse)
    path = tmp_path / "many.vcf"
    path.write_text("BEGIN:VCARD\n" * 500 + "BEGIN:VCARD\nVERSION:3.0\nEND:VCARD\n")
    lines, _ = read_cards(path, Options())
    assert len(lines) == 501
    assert all(line.unreadable and line.problems for line in lines)
    assert asked == []


def test_a_card_that_says_anything_is_given_to_it(tmp_path: Path) -> None:
    path = tmp_path / "few.vcf"
    path.write_text("BEGIN:VCARD\nitem1.FN:Pia Fold\nBEGIN:VCARD\nFN;X=1:Otto Next\n")
    lines, _ = read_cards(path, Options())
    assert [line.name for line in lines] == ["Pia Fold", "Otto Next"]  # type: ignore[union-attr]

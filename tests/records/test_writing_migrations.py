"""The next version of the tables is written from the models."""

from __future__ import annotations

import shutil
from pathlib import Path

from app.records.migrating import HERE
from app.records.writing_migrations import write_next


def test_the_first_version_is_what_the_models_say_today(tmp_path: Path) -> None:
    versions = Path(shutil.copytree(HERE, tmp_path / "migrations"))
    kept = (versions / "versions" / "0001_first_book.py").read_text()
    for path in (versions / "versions").glob("[0-9]*.py"):
        path.unlink()
    written = write_next("First book", versions)
    assert written.name == "0001_first_book.py"
    assert _calls(written.read_text()) == _calls(kept)


def test_where_nothing_changed_the_next_version_does_nothing(tmp_path: Path) -> None:
    versions = Path(shutil.copytree(HERE, tmp_path / "migrations"))
    written = write_next("Nothing", versions)
    assert written.name == "0002_nothing.py"
    assert "op." not in written.read_text().split("def upgrade")[1]


def _calls(script: str) -> str:
    """The body without layout, so that a formatter's choices do not count."""
    body = script.split("def upgrade")[1].split('"""', 2)[2]
    return "".join(body.split()).replace("'", '"').replace(",)", ")").replace(",]", "]")

"""The next version of the tables is written from the models."""

from __future__ import annotations

import shutil
from pathlib import Path

from app.records.storage.engine import engine_for
from app.records.storage.migrating import CURRENT, HERE, upgrade
from app.records.storage.writing_migrations import write_next
from tests.records.storage.test_migrating import shape


def test_a_first_version_written_from_the_models_makes_the_tables_of_all_versions(
    tmp_path: Path,
) -> None:
    """The models of today, written at once, are what the released steps come to."""
    versions = Path(shutil.copytree(HERE, tmp_path / "migrations"))
    for path in (versions / "versions").glob("[0-9]*.py"):
        path.unlink()
    written = write_next("All at once", versions)
    assert written.name == "0001_all_at_once.py"
    shapes = []
    for folder in (versions, HERE):
        path = tmp_path / f"book {len(shapes)}"
        engine = engine_for(path, write=True, new=True)
        with engine.begin() as connection:
            upgrade(connection, "head", folder)
        engine.dispose()
        shapes.append(shape(path))
    assert shapes[0] == shapes[1]


def test_where_nothing_changed_the_next_version_does_nothing(tmp_path: Path) -> None:
    versions = Path(shutil.copytree(HERE, tmp_path / "migrations"))
    written = write_next("Nothing", versions)
    assert written.name == f"{int(CURRENT) + 1:04}_nothing.py"
    assert "op." not in written.read_text().split("def upgrade")[1]

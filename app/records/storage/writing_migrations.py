"""For whoever changes the tables: write the next version of the schema from the models.

Run `python -m app.records.storage.writing_migrations "What changes"`, read what it wrote, and make
a book of the new version in `tests/records/books`; DEVELOPERS.md has the whole list.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from alembic import command
from alembic.config import Config

from app.records.storage.engine import engine_for
from app.records.storage.migrating import HERE


def write_next(what: str, versions: Path = HERE) -> Path:
    """Compare the models with the last version and write the difference as the next one."""
    found = (versions / "versions").glob("[0-9]*.py")
    number = max((int(path.name[:4]) for path in found), default=0) + 1
    config = Config()
    config.set_main_option("script_location", str(versions).replace("%", "%%"))
    with tempfile.TemporaryDirectory() as folder:
        engine = engine_for(Path(folder) / "last", write=True, new=True)
        with engine.begin() as connection:
            config.attributes["connection"] = connection
            config.attributes["first"] = number == 1
            if number > 1:
                command.upgrade(config, "head")
            script = command.revision(
                config, what, rev_id=f"{number:04}", autogenerate=True, head="head"
            )
        engine.dispose()
    assert script is not None
    assert not isinstance(script, list)
    return Path(script.path)


if __name__ == "__main__":
    print(write_next(" ".join(sys.argv[1:])))

"""Old books are carried forward, all or nothing, after a backup; the models are what they say."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest
from sqlalchemy import inspect, select, text

from app.errors import Mendable
from app.records.book import Book
from app.records.contents import contents
from app.records.finding.looking_up import find
from app.records.models import Customer, Record, Setting
from app.records.storage import migrating
from app.records.storage.engine import engine_for
from tests.records.books.make import FOLDER, ROWS, make
from tests.records.shop import MONDAY

RELEASED = sorted(ROWS)
TODAY, NEXT = migrating.CURRENT, f"{int(migrating.CURRENT) + 1:04}"


def versions_with(folder: Path, script: str) -> Path:
    """The project's own migrations with one more after them."""
    versions = Path(shutil.copytree(migrating.HERE, folder / "migrations"))
    (versions / "versions" / f"{NEXT}_next.py").write_text(
        '"""The next version."""\n\nimport sqlalchemy as sa\nfrom alembic import op\n\n'
        f'revision = "{NEXT}"\ndown_revision = "{TODAY}"\n\n\ndef upgrade() -> None:\n{script}'
    )
    return versions


REBUILD = """
    with op.batch_alter_table("customers") as customers:
        customers.add_column(sa.Column("greeting", sa.String(80), server_default="Dear"))
        customers.alter_column("notes", new_column_name="remarks")
    op.execute("UPDATE customers SET greeting = 'Hello ' || name")
"""
FAIL_HALF_WAY = REBUILD + '    raise ValueError("half way")\n'
LOSE_A_REFERENCE = "    op.execute('DELETE FROM customers')\n"


@pytest.fixture
def old(tmp_path: Path) -> Path:
    """A copy of the book of today's tables."""
    return Path(shutil.copyfile(FOLDER / f"{TODAY}.db", tmp_path / "old.bayledger"))


def columns_of(path: Path, table: str) -> set[str]:
    engine = engine_for(path, write=False)
    with engine.connect() as connection:
        found = {column["name"] for column in inspect(connection).get_columns(table)}
    engine.dispose()
    return found


@pytest.mark.parametrize("version", RELEASED)
def test_a_book_of_every_released_version_opens_whole(tmp_path: Path, version: str) -> None:
    path = Path(shutil.copyfile(FOLDER / f"{version}.db", tmp_path / "old.bayledger"))
    with Book.open(path) as book:
        assert book.check() == []
        with book.reading() as session:
            assert session.get_one(Setting, "shop_name").value == "Wrenfield Finish Care"
            assert session.scalars(select(Customer.name)).all() == ["Ada Quillfeather"]
        said = contents(book)
        assert len(said["movements"]) == 2
        assert [shelf[1:] for shelf in said["shelf"]] == [(3_726_264, 7_482)]
        while book.mend_finding():  # no version counts the full text: it is made where it is not
            pass
        with book.reading() as session:
            assert [hit.text for hit in find(session, "qiullfeather", ("customer",))] == [
                "Ada Quillfeather"
            ]
        assert (contents(book), book.check()) == (said, [])
        assert book.undo(today=MONDAY).name == "Phone of Ada Quillfeather"
        with book.reading() as session:
            assert session.get_one(Customer, 1).phone == "+15550100"


def test_there_is_an_old_book_of_every_version_up_to_todays() -> None:
    numbered = [path.name[:4] for path in (migrating.HERE / "versions").glob("[0-9]*.py")]
    assert sorted(numbered) == RELEASED
    assert RELEASED[-1] == migrating.CURRENT


def test_the_old_book_is_what_its_maker_makes(tmp_path: Path) -> None:
    """As long as a version is not released, its book follows the tables."""
    make(TODAY, tmp_path / "made.bayledger")
    old = Path(shutil.copyfile(FOLDER / f"{TODAY}.db", tmp_path / "old.bayledger"))
    with Book.open(tmp_path / "made.bayledger") as made, Book.open(old) as kept:
        assert contents(made) == contents(kept)
    assert shape(tmp_path / "made.bayledger") == shape(old)


def shape(path: Path) -> list[tuple[str, str]]:
    """What the file says of its tables and indexes, free of how it was written down."""
    engine = engine_for(path, write=False)
    with engine.connect() as connection:
        seen = inspect(connection)
        found = []
        for table in sorted(seen.get_table_names()):
            columns = {
                column["name"]: (str(column["type"]), column["nullable"], column["primary_key"])
                for column in seen.get_columns(table)
            }
            keys = sorted(
                (key["constrained_columns"], key["referred_table"], str(sorted(key["options"])))
                for key in seen.get_foreign_keys(table)
            )
            indexes = sorted(
                (str(index["name"]), index["column_names"], bool(index["unique"]))
                for index in seen.get_indexes(table)
            )
            unique = sorted(entry["column_names"] for entry in seen.get_unique_constraints(table))
            made = connection.execute(
                text("SELECT sql FROM sqlite_master WHERE name = :name"), {"name": table}
            ).scalar()
            found.append((table, repr((sorted(columns.items()), keys, indexes, unique))))
            found.append((table, f"keeps its numbers: {'AUTOINCREMENT' in str(made)}"))
    engine.dispose()
    return found


def test_migrations_make_the_tables_that_the_models_say(tmp_path: Path) -> None:
    Book.create(tmp_path / "new.bayledger").close()
    engine = engine_for(tmp_path / "migrated", write=True, new=True)
    with engine.begin() as connection:
        migrating.upgrade(connection, migrating.CURRENT)
    with engine.connect() as connection:
        from alembic.autogenerate import compare_metadata
        from alembic.migration import MigrationContext

        context = MigrationContext.configure(connection)
        assert compare_metadata(context, Record.metadata) == []
    engine.dispose()
    assert shape(tmp_path / "migrated") == shape(tmp_path / "new.bayledger")


def test_a_migration_is_made_after_a_backup_whose_name_says_so(old: Path, tmp_path: Path) -> None:
    before = {name: rows for name, rows in _contents(old).items() if name != "shelf"}
    versions = versions_with(tmp_path, REBUILD)
    backup = migrating.bring_up(old, to=NEXT, versions=versions)
    assert backup is not None
    assert backup.parent == tmp_path / "backups"
    assert backup.name.endswith("before the change of its tables.bayledger")
    assert {"greeting", "remarks"} <= columns_of(old, "customers")
    engine = engine_for(old, write=False)
    with engine.connect() as connection:
        found = connection.execute(text("SELECT greeting, name FROM customers")).all()
        assert found == [("Hello Ada Quillfeather", "Ada Quillfeather")]
        # What points to the rebuilt table still does.
        assert connection.execute(text("SELECT customer_id FROM jobs")).scalar() == 1
        assert connection.exec_driver_sql("PRAGMA foreign_key_check").all() == []
    engine.dispose()
    assert {name: rows for name, rows in _contents(backup).items() if name != "shelf"} == before


def _contents(path: Path) -> dict[str, list]:
    with Book.open(path, write=False) as book:
        return contents(book)


@pytest.mark.logs_an_error
@pytest.mark.parametrize(
    ("script", "why"),
    [
        (FAIL_HALF_WAY, r"\(a ValueError in its tables\)"),
        (LOSE_A_REFERENCE, "A line in .* points to a line in customers that is not there"),
    ],
    ids=["fails", "loses"],
)
def test_a_migration_that_fails_leaves_the_old_book_as_it_was(
    old: Path, tmp_path: Path, script: str, why: str
) -> None:
    before, columns = _contents(old), columns_of(old, "customers")
    versions = versions_with(tmp_path, script)
    with pytest.raises(Mendable, match="it is as it was") as told:
        migrating.bring_up(old, to=NEXT, versions=versions)
    assert str(old) in told.value.sentence
    assert re.search(why, told.value.sentence)
    assert columns_of(old, "customers") == columns
    with Book.open(old) as book:
        assert book.check() == []
        assert contents(book) == before
    assert len(list((tmp_path / "backups").iterdir())) == 1


def test_a_migration_without_its_backup_is_not_begun_and_names_the_book(
    old: Path, tmp_path: Path
) -> None:
    (tmp_path / "backups").write_text("not a folder")
    with pytest.raises(Mendable, match="is not brought to this one without a backup") as told:
        migrating.bring_up(old, to=NEXT, versions=versions_with(tmp_path, REBUILD))
    assert told.value.sentence.startswith(f"{old} comes from an older Bayledger")
    assert "greeting" not in columns_of(old, "customers")


def test_a_book_of_today_is_not_migrated_and_not_copied(path: Path) -> None:
    assert migrating.bring_up(path) is None
    assert not (path.parent / "backups").exists()


def test_opening_an_older_book_carries_it_forward_for_writers_and_readers(
    old: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With the program of tomorrow: the same tables with one column more."""
    versions = versions_with(tmp_path, '    op.add_column("days", sa.Column("mood", sa.Text()))\n')
    monkeypatch.setattr(migrating, "CURRENT", NEXT)
    monkeypatch.setattr(migrating, "HERE", versions)
    monkeypatch.setattr(migrating.bring_up, "__kwdefaults__", {"to": None, "versions": versions})
    reader = Path(shutil.copyfile(old, tmp_path / "reader.bayledger"))
    for path, write in ((old, True), (reader, False)):
        with Book.open(path, write=write):
            assert "mood" in columns_of(path, "days")


def test_an_older_book_in_use_elsewhere_says_so_to_a_reader(
    old: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Book.open(old):
        monkeypatch.setattr(migrating, "CURRENT", NEXT)
        with pytest.raises(Mendable, match="comes from an older Bayledger"):
            Book.open(old, write=False)


def test_opening_and_making_a_book_need_no_alembic(tmp_path: Path) -> None:
    """It takes as long to import as everything else together."""
    from tests.records.test_book import run

    code = (
        "import sys; from pathlib import Path; from app.records.book import Book\n"
        "Book.create(Path(sys.argv[1])).close(); Book.open(Path(sys.argv[1])).close()\n"
        "print('alembic' in sys.modules)"
    )
    assert run(code, tmp_path / "shop.bayledger").stdout == "False\n"

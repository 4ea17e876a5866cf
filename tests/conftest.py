"""For all tests: Qt without a display, and silence as the pass condition for our log."""

from __future__ import annotations

import gc
import logging
import os
import shutil
import tempfile
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from _pytest.mark.expression import Expression
from hypothesis import settings
from sqlalchemy import Engine, create_engine
from sqlalchemy.dialects.sqlite.pysqlite import SQLiteDialect_pysqlite

if TYPE_CHECKING:
    from PySide6.QtWidgets import QApplication

    from tests.shop import SmallShop

os.environ["QT_QPA_PLATFORM"] = "offscreen"  # before anything imports Qt
os.environ.setdefault("MPLBACKEND", "agg")


class _Errors(logging.Handler):
    def __init__(self) -> None:
        super().__init__(logging.ERROR)
        self.lines: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.lines.append(f"{record.name}: {record.getMessage()}")


# CI draws the same examples each time, so that a change is judged and not its luck; at a desk new
# ones are drawn. `HYPOTHESIS_PROFILE=long` looks much further, for an evening.
settings.register_profile("desk", deadline=None)
settings.register_profile("ci", deadline=None, derandomize=True)
settings.register_profile("long", deadline=None, max_examples=10_000)
settings.load_profile(
    os.environ.get("HYPOTHESIS_PROFILE") or ("ci" if os.environ.get("CI") else "desk")
)


_FEW = 3
_MEMORY, _ROOM = Path("/dev/shm"), 4 << 30  # a whole run writes about 1.1 GB


def _work_in_memory(config: pytest.Config) -> None:
    """Books are written in memory where there is room for them, until the run ends: a disk is
    waited for thousands of times. `TMPDIR`, or `--basetemp`, says another place, which is kept.
    """
    if "TMPDIR" in os.environ or not _MEMORY.is_dir() or not os.access(_MEMORY, os.W_OK):
        return
    if shutil.disk_usage(_MEMORY).free < _ROOM:
        return
    folder = tempfile.TemporaryDirectory(prefix="tests-", dir=_MEMORY, ignore_cleanup_errors=True)
    os.chmod(folder.name, 0o711)  # some tests open a book as somebody who owns nothing
    os.environ["TMPDIR"] = tempfile.tempdir = folder.name  # for other processes, and for this one
    config.add_cleanup(folder.cleanup)


def pytest_configure(config: pytest.Config) -> None:
    _work_in_memory(config)
    gc.disable()  # what is read to find the tests all stays: to look through it took five seconds
    config.addinivalue_line(
        "markers", "logs_an_error: the test means to provoke a logged error and looks at it"
    )
    # Asked before workers are sent off, which would break down over it.
    for option, words in (("-m", config.option.markexpr), ("-k", config.option.keyword)):
        try:
            Expression.compile(words)
        except SyntaxError as trouble:
            raise pytest.UsageError(f"{option} {words!r} cannot be read: {trouble.msg}.") from None


def pytest_collection_finish() -> None:
    gc.freeze()
    gc.enable()


@pytest.fixture(autouse=True)
def nothing_is_logged_as_an_error(request: pytest.FixtureRequest) -> Iterator[None]:
    """A test fails when our code logs an error, unless it says that it means to."""
    handler = _Errors()
    logger = logging.getLogger("bayledger")
    logger.addHandler(handler)
    yield
    logger.removeHandler(handler)
    if "logs_an_error" not in request.keywords:
        assert not handler.lines, f"logged as errors: {handler.lines}"


@pytest.fixture(scope="session")
def shop_book(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, SmallShop]:
    """The small shop's book, closed, and what stands in it; who writes in it takes a copy."""
    from tests.shop import small_book

    path = tmp_path_factory.mktemp("shop") / "shop.bayledger"
    return path, small_book(path)


@pytest.fixture(scope="session", autouse=True)
def one_application(qapp: QApplication) -> Iterator[None]:
    """Whoever needs Qt first must not leave a smaller application than the window's tests need.

    What was copied goes while Python is there: the offscreen display keeps it until the process
    exits, and a `QMimeData` made in Python is then deleted without it (exit code 139).
    """
    yield
    qapp.clipboard().clear()


@pytest.fixture(scope="session", autouse=True)
def statements_are_compiled_once() -> Iterator[None]:
    """Engines share what SQLAlchemy compiled; else each test's book would compile it all anew."""
    from app.records.storage import engine as engines

    compiled: dict[object, object] = {}

    def create(*arguments: Any, **options: Any) -> Engine:
        return create_engine(*arguments, execution_options={"compiled_cache": compiled}, **options)

    with pytest.MonkeyPatch.context() as patch:
        # The dialect is a part of the key under which it is kept, and alike in every engine.
        patch.setattr(SQLiteDialect_pysqlite, "__eq__", lambda one, other: type(one) is type(other))
        patch.setattr(SQLiteDialect_pysqlite, "__hash__", lambda one: hash(type(one)))
        patch.setattr(engines, "create_engine", create)
        yield


@pytest.fixture(scope="session", autouse=True)
def lives_of_hardly_any_layers_are_learnt_once() -> Iterator[None]:
    """What labels and a few judgements say takes a tenth of a second, in nearly every test's book.

    With more than `_FEW` judgements it is learnt as it always is.
    """
    from app.actions.layers import protection_state
    from app.calculations.layers.lives import fit

    known = lru_cache(maxsize=500)(fit)

    def learn(observations: list[Any], labels: list[Any], memory: object = None) -> object:
        if len(observations) > _FEW:
            return fit(observations, labels, memory)  # type: ignore[arg-type]
        return known(tuple(observations), tuple(labels))

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(protection_state, "fit", learn)
        yield

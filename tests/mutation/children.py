"""Tests run in a child of this process, which has loaded the libraries and nothing of app."""

from __future__ import annotations

import gc
import importlib
import os
import pickle
import resource
import signal
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from importlib.abc import MetaPathFinder
from importlib.machinery import ModuleSpec, SourceFileLoader
from importlib.util import spec_from_file_location
from types import CodeType
from typing import Any, TypeVar

import pytest
from hypothesis import Phase, settings

from tests import ROOT
from tests.mutation.mutants import Mutant

T = TypeVar("T")
LIBRARIES = (
    "numpy", "pandas", "scipy.stats", "lifelines", "pint", "sqlalchemy.orm", "PySide6.QtWidgets",
    "hypothesis.strategies", "icalendar", "openpyxl",
)  # fmt: skip
# Nothing is written beside the tests: no cache, and below no examples that failed.
OPTIONS = (
    "-q", "-p", "no:cacheprovider", "--rootdir", str(ROOT),
    "-W", "ignore::pytest.PytestAssertRewriteWarning",  # libraries are loaded before pytest is
)  # fmt: skip
BEGINNING = 60  # seconds of computing for what is before the first test
MEMORY = 8 << 30  # bytes that a mistake may fill


class Alike:
    """Each run draws the same examples, and makes none of those that fail smaller."""

    def pytest_sessionstart(self) -> None:
        settings.register_profile(
            "mutation",
            deadline=None,
            derandomize=True,
            database=None,
            phases=(Phase.explicit, Phase.generate),
        )
        settings.load_profile("mutation")


class _Limits:
    """Each test may compute ten times as long as it did without the mistake, and ten seconds."""

    def __init__(self, seconds: Mapping[str, float]) -> None:
        self._seconds = seconds

    @pytest.hookimpl(hookwrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        end_after(10 + 10 * self._seconds.get(item.nodeid, 1.0))
        yield


class _Placed(MetaPathFinder):
    """Gives out one module with a mistake in it."""

    def __init__(self, mutant: Mutant) -> None:
        self._name = ".".join(mutant.path.with_suffix("").parts)
        self._mutant = mutant

    def find_spec(self, name: str, path: object, target: object = None) -> ModuleSpec | None:
        if name != self._name:
            return None
        file = str(ROOT / self._mutant.path)
        code = compile(self._mutant.tree(), file, "exec")
        return spec_from_file_location(name, file, loader=_Compiled(name, file, code))


class _Compiled(SourceFileLoader):
    def __init__(self, name: str, file: str, code: CodeType) -> None:
        super().__init__(name, file)
        self._code = code

    def get_code(self, _fullname: str) -> CodeType:
        return self._code


def load_libraries() -> None:
    """Load once, for all children, what is slow to load."""
    for name in LIBRARIES:
        importlib.import_module(name)
    gc.freeze()  # no child looks through them again


def end_after(seconds: float) -> None:
    """This process ends when it has computed for so long, whatever else runs on the machine."""
    signal.setitimer(signal.ITIMER_PROF, seconds)


def in_child(work: Callable[[], T]) -> T | None:
    """What `work` gives in a child, which writes nothing on the screen; None where it ended."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reading)
        quiet = os.open(os.devnull, os.O_WRONLY)
        os.dup2(quiet, 1)
        os.dup2(quiet, 2)
        with os.fdopen(writing, "wb") as out:
            pickle.dump(work(), out)
        os._exit(0)
    os.close(writing)
    with os.fdopen(reading, "rb") as back:
        told = back.read()
    os.waitpid(child, 0)
    given: Any = pickle.loads(told) if told else None
    return given


def survives(mutant: Mutant, tests: Sequence[str], seconds: Mapping[str, float]) -> bool:
    """Whether all these tests pass with the mistake in the program."""
    if not tests:
        return True

    def run(some: Sequence[str]) -> int:
        resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
        end_after(BEGINNING)
        sys.meta_path.insert(0, _Placed(mutant))
        code = pytest.main([*OPTIONS, "-x", *some], plugins=[Alike(), _Limits(seconds)])
        return int(code)

    code = in_child(lambda: run(tests))
    if code == pytest.ExitCode.USAGE_ERROR:  # the mistake renamed a test
        code = in_child(lambda: run(sorted({test.partition("::")[0] for test in tests})))
    return code == pytest.ExitCode.OK

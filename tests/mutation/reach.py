"""Which tests reach which functions of the calculations, and how long each of them takes."""

from __future__ import annotations

import ast
import os
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from types import CodeType, FrameType

import pytest

from tests import ROOT
from tests.mutation.children import OPTIONS, Alike, in_child
from tests.mutation.mutants import Mutant

CALCULATIONS = ROOT / "app" / "calculations"
MOST_SECONDS = 6.0  # of tests that mirror the file, and of others, for one mistake


@dataclass
class Reach:
    """For each test, the functions it calls: (path, first line); and its processor seconds."""

    called: dict[str, set[tuple[str, int]]] = field(default_factory=dict)
    seconds: dict[str, float] = field(default_factory=dict)

    def tests_for(self, mutant: Mutant, most: float = MOST_SECONDS) -> list[str]:
        """The tests that reach a mutant: those that mirror its file first, then the quickest.

        Neither take more than `most` seconds together.
        """
        path = str(mutant.path)
        mirror = str(Path("tests") / mutant.path.relative_to("app").parent) + "/"
        stem = f"test_{mutant.path.stem}."
        files = {path} if mutant.first else {path, *_users(mutant.path)}
        found = []
        for test, called in self.called.items():
            mirrors = test.startswith(mirror) and test[len(mirror) :].startswith(stem)
            if mirrors or any(
                file in files and (not mutant.first or mutant.first <= line <= mutant.last)
                for file, line in called
            ):
                found.append((not mirrors, self.seconds.get(test, 0.0), test))
        tests: list[str] = []
        spent = {True: 0.0, False: 0.0}
        for others, seconds, test in sorted(found):
            spent[others] += seconds
            if spent[others] <= most or not tests:
                tests.append(test)
        return tests


def _users(path: Path) -> Iterator[str]:
    """The modules of the calculations that import from a module."""
    name = ".".join(path.with_suffix("").parts)
    package, _, last = name.rpartition(".")
    for other in CALCULATIONS.rglob("*.py"):
        for node in ast.walk(ast.parse(other.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and (
                node.module == name
                or (node.module == package and last in [one.name for one in node.names])
            ):
                yield str(other.relative_to(ROOT))


class _Watching:
    """A plugin that notes what each test calls."""

    def __init__(self) -> None:
        self.reach = Reach()
        self._codes: set[CodeType] = set()
        self._where = str(CALCULATIONS) + os.sep

    def _see(self, frame: FrameType, event: str, arg: object) -> None:
        code = frame.f_code
        if event == "call" and code.co_filename.startswith(self._where):
            self._codes.add(code)

    @pytest.hookimpl(hookwrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        self._codes = set()
        began = time.process_time()
        sys.settrace(self._see)
        yield
        sys.settrace(None)
        self.reach.seconds[item.nodeid] = time.process_time() - began
        self.reach.called[item.nodeid] = {
            (str(Path(code.co_filename).relative_to(ROOT)), code.co_firstlineno)
            for code in self._codes
        }


def reach_of(tests: tuple[str, ...], *, slow: bool = False) -> Reach:
    """Run the tests once, those marked slow only if asked, and note what they reach.

    They must pass.
    """
    marked = () if slow else ("-m", "not slow")

    def watch() -> Reach | None:
        watching = _Watching()
        failed = pytest.main([*OPTIONS, *marked, *tests], plugins=[watching, Alike()])
        return None if failed else watching.reach

    reach = in_child(watch)
    if reach is None:
        raise SystemExit("The tests do not pass as the program stands; mend that first.")
    return reach

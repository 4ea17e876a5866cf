"""Two weeks of the year that `python -m tests.year` lives whole."""

from __future__ import annotations

import subprocess
import sys

import pytest

from tests import ROOT


@pytest.mark.slow
def test_days_closed_in_the_window_and_by_commands_make_the_same_book() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "tests.year", "--days", "10"],
        cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout + done.stderr
    assert done.stdout.splitlines()[-1] == "It is the same book."

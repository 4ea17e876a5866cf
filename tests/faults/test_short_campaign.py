"""A short campaign against the book, in a process of its own."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

from tests import ROOT


@pytest.mark.slow
@pytest.mark.skipif(not hasattr(os, "fork"), reason="trials are forks")
def test_no_fault_loses_what_was_said_to_be_done() -> None:
    command = [sys.executable, "-m", "tests.faults", "--seed", "7", "--count", "1"]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    together = done.stdout.splitlines()[-1].split()
    assert int(together[1]) >= 17  # without a compiler there are seventeen kinds
    assert together[-1] == "0"

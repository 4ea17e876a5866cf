"""A few kills of a program that issues invoices, and two programs that issue at once."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tests.faults.invoices import issue_at_once, kill_again_and_again

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="trials are forks")


@pytest.mark.slow
def test_twenty_kills_between_number_and_paper_leave_no_gap_and_no_double(tmp_path: Path) -> None:
    assert kill_again_and_again(tmp_path, 20, 7) == ""


@pytest.mark.slow
def test_two_programs_that_issue_at_once_take_each_number_once(tmp_path: Path) -> None:
    assert issue_at_once(tmp_path, 12) == ""

"""Compares every version in constraints.txt with the published advisories, by pip-audit.

    python -m tests.known_faults

pip-audit gets an environment of its own. It asks the public package index, so this is no part of
the checks, and runs where that can be reached. Ends with 1 where a fault is known, and with 2 where
packages could not be looked at (behind a mirror that is all of them).
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
import venv
from pathlib import Path
from typing import Any

from tests import ROOT


def judged(report: dict[str, Any]) -> tuple[list[str], list[str], int]:
    """(known faults, packages that were not looked at, how many were) of pip-audit's JSON."""
    faults, unseen, seen = [], [], 0
    for one in report["dependencies"]:
        if "skip_reason" in one:
            unseen.append(one["name"])
            continue
        seen += 1
        for fault in one["vulns"]:
            mended = ", ".join(fault["fix_versions"]) or "no version yet"
            faults.append(f"{one['name']} {one['version']}: {fault['id']}, mended in {mended}")
    return faults, unseen, seen


def audit() -> dict[str, Any]:
    """What pip-audit says of constraints.txt."""
    with tempfile.TemporaryDirectory() as made:
        venv.create(made, with_pip=True)
        python = Path(made) / ("Scripts" if os.name == "nt" else "bin") / "python"
        subprocess.run([python, "-m", "pip", "install", "-q", "pip-audit"], check=True)
        done = subprocess.run(
            [python, "-m", "pip_audit", "-r", ROOT / "constraints.txt", "--no-deps",
             "--disable-pip", "-f", "json", "--progress-spinner", "off"],
            capture_output=True, text=True, check=False,
        )  # fmt: skip
    try:
        found: dict[str, Any] = json.loads(done.stdout)
    except ValueError:
        sys.exit(f"pip-audit could not be run:\n{done.stderr.strip()[-400:]}")
    return found


def main() -> int:
    """Say what is known; returns the exit code."""
    faults, unseen, seen = judged(audit())
    if seen:
        print("\n".join(faults) or f"No known fault in {seen} packages.")
    if unseen:
        print(f"Not looked at: {len(unseen)} packages ({', '.join(unseen[:5])}…).")
    return 1 if faults else 2 if unseen else 0


if __name__ == "__main__":
    sys.exit(main())

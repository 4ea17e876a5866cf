"""What a measured process tells of itself, and how another asks it."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from pathlib import Path
from statistics import median
from tempfile import gettempdir

from tests import ROOT


def memory() -> float:
    """Megabytes that this process holds now."""
    for line in Path("/proc/self/status").read_text().splitlines():
        if line.startswith("VmRSS:"):
            return int(line.split()[1]) / 1024
    raise RuntimeError("this system does not tell what a process holds")


def report(**more: float) -> None:
    """Print what this process took so far: processor seconds, megabytes, and what it measured."""
    print(json.dumps({"processor": time.process_time(), "memory": memory(), **more}))


def ask(module: str, *arguments: str, times: int = 1) -> dict[str, float]:
    """Run a module so often, and take the middle of each of its measures.

    The modules' byte code is kept, as it is where the program is installed.
    """
    environment = {
        **os.environ,
        "QT_QPA_PLATFORM": "offscreen",
        "PYTHONPYCACHEPREFIX": f"{gettempdir()}/bayledger-bench-bytecode",
    }
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    found = []
    for _ in range(times):
        done = subprocess.run(
            [sys.executable, "-m", module, *arguments],
            cwd=ROOT, env=environment, capture_output=True, text=True, check=True,
        )  # fmt: skip
        found.append(json.loads(done.stdout.splitlines()[-1]))
    return {name: median(one[name] for one in found) for name in found[0]}

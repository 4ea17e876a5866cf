"""The disk that fails on purpose, where the system has a C compiler; see `faulty_disk.c`."""

from __future__ import annotations

import ctypes
import os
import shutil
import subprocess
import sys
import tempfile
from enum import IntEnum
from pathlib import Path

SOURCE = Path(__file__).with_name("faulty_disk.c")
LOADED = "BAYLEDGER_FAULTY_DISK"


class Failing(IntEnum):
    """What happens at the n-th call; the numbers are those of the C source."""

    KILL = 1
    TORN = 2
    WRITE = 3
    SYNC = 4
    READ = 5
    NAMES = 6
    FULL_ONCE = 7
    FULL = 8


def compiler() -> str | None:
    """The C compiler of a Linux system; None where there is none."""
    return shutil.which("cc") or shutil.which("gcc") if sys.platform == "linux" else None


def load_and_run_again(module: str) -> None:
    """Run this very command again with the disk loaded, where it can be made."""
    found = compiler()
    if found is None or os.environ.get(LOADED):
        return
    library = Path(tempfile.mkdtemp(prefix="bayledger-faults-")) / "disk.so"
    made = [found, "-O1", "-shared", "-fPIC", "-o", str(library), str(SOURCE), "-ldl"]
    subprocess.run(made, check=True)
    environment = os.environ | {LOADED: str(library), "LD_PRELOAD": str(library)}
    os.execve(sys.executable, [sys.executable, "-m", module, *sys.argv[1:]], environment)


def is_loaded() -> bool:
    """Whether calls can be made to fail in this process."""
    return bool(os.environ.get(LOADED))


def arm(failing: Failing, at: int, folder: Path) -> None:
    """From now on the call number `at` (from 0) on files under the folder fails so."""
    disk = ctypes.CDLL(os.environ[LOADED])
    disk.arm_fault(ctypes.c_int(failing), ctypes.c_long(at), str(folder).encode())


def disarm() -> None:
    """Let all calls through again."""
    if is_loaded():
        ctypes.CDLL(os.environ[LOADED]).arm_fault(0, ctypes.c_long(0), b"/")

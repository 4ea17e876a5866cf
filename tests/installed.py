"""Installs the wheel as a user would and tries it, with the pinned packages and the newest pandas.

    python -m tests.installed              (both; some minutes, mostly downloads)
    python -m tests.installed newest

Builds the wheel, puts it into a fresh environment away from the working copy, and there makes a
book, closes its day with all papers, exports it, brings the export into a new book, and opens every
place of the window without a screen. Ends with 1 at the first thing that fails.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import tempfile
import venv
from collections.abc import Sequence
from pathlib import Path

from tests import ROOT

KINDS = ("pinned", "newest")
NEWEST = "pandas"  # taken as new as there is, all else as in constraints.txt
# Every place and page of the window, over the book that is named, in the environment of the wheel.
_WINDOW = """
import sys, time
from pathlib import Path
from PySide6.QtCore import QSettings
from PySide6.QtWidgets import QApplication
import app
from app.window.opening import Opening
from app.window.paper.theme import Theme
from app.window.places import asides, places
application = QApplication([])
settings = QSettings(str(Path("window.ini").absolute()), QSettings.Format.IniFormat)
theme = Theme(settings)
theme.dress(application)
opening = Opening(settings, theme)
opening.begin(Path(sys.argv[1]))
shell = opening.window
for entry in (*places(), *asides()):
    assert shell.open(entry.key), entry.key
    until = time.monotonic() + 0.2
    while time.monotonic() < until or shell.office.runner.busy:
        application.processEvents()
        time.sleep(0.01)
    assert not shell.grab().isNull() and not shell.office.trouble, shell.office.trouble
shell.close()
shell.office.runner.close()
opening.close()
print(Path(app.__file__).parent)
"""


def run(words: Sequence[str | Path], folder: Path) -> str:
    """What a program prints; where it fails its own words are shown and this one ends."""
    bare = {name: value for name, value in os.environ.items() if name != "PYTHONPATH"}
    done = subprocess.run(
        [str(word) for word in words],
        cwd=folder,
        env=bare | {"QT_QPA_PLATFORM": "offscreen", "HOME": str(folder)},
        capture_output=True,
        text=True,
        check=False,
    )
    if done.returncode:
        sys.exit(f"{' '.join(map(str, words[:6]))}\nended with {done.returncode}:\n{done.stderr}")
    return done.stdout


def build(folder: Path) -> Path:
    """The wheel of this working copy."""
    run([sys.executable, "-m", "pip", "wheel", "-q", "--no-deps", "-w", folder, ROOT], folder)
    (wheel,) = folder.glob("bayledger-*.whl")
    return wheel


def install(wheel: Path, kind: str, folder: Path) -> Path:
    """A fresh environment with the wheel; its folder of programs."""
    venv.create(folder / "env", with_pip=True)
    programs = folder / "env" / ("Scripts" if os.name == "nt" else "bin")
    pinned = (ROOT / "constraints.txt").read_text(encoding="utf-8").splitlines()
    kept = [line for line in pinned if kind == "pinned" or not line.startswith(f"{NEWEST}==")]
    (folder / "constraints.txt").write_text("\n".join(kept), encoding="utf-8")
    newest = [NEWEST] if kind == "newest" else []
    run([programs / "python", "-m", "pip", "install", "-q", "--upgrade", "-c", "constraints.txt",
         wheel, *newest], folder)  # fmt: skip
    return programs


def try_out(programs: Path, folder: Path) -> None:
    """What a user does on the first evening."""
    ours = programs / "bayledger"
    book, sheet = folder / "shop.bayledger", folder / "all.xlsx"
    print(run([ours, "--version"], folder).strip())
    run([ours, "demo", book, "--years", "0.5"], folder)
    assert json.loads(run([ours, "day", book, "--json"], folder))["jobs"]
    closed = json.loads(run([ours, "close", book, "--out", folder / "out", "--json"], folder))
    assert closed["trouble"] == []
    assert all(Path(path).is_file() for path in closed["files"])
    run([ours, "export", book, sheet], folder)
    run([ours, "new", folder / "second.bayledger"], folder)
    run([ours, "import", folder / "second.bayledger", sheet], folder)
    run([ours, "check", folder / "second.bayledger"], folder)
    where = run([programs / "python", "-c", _WINDOW, book], folder).strip().splitlines()[-1]
    assert Path(where).is_relative_to(folder), f"{where} is not what was installed"


def main(arguments: Sequence[str] | None = None) -> int:
    """Try both kinds, or those that are named."""
    parser = argparse.ArgumentParser(prog="python -m tests.installed", description=__doc__)
    parser.add_argument("kind", nargs="?", choices=KINDS, help="usual: both, one after the other")
    kind = parser.parse_args(arguments).kind
    kinds = (kind,) if kind else KINDS
    with tempfile.TemporaryDirectory() as made:
        wheel = build(Path(made))
        for kind in kinds:
            folder = Path(made) / kind
            folder.mkdir()
            programs = install(wheel, kind, folder)
            asked = f"import {NEWEST}; print({NEWEST}.__version__)"
            print(f"{kind}: {NEWEST} {run([programs / 'python', '-c', asked], folder).strip()}")
            try_out(programs, folder)
            print(f"{kind}: all of it works")
    return 0


if __name__ == "__main__":
    sys.exit(main())

"""A copy of the made-up shop's book that may be written in."""

from __future__ import annotations

import os
from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path

from app.actions.opening import SUFFIX
from app.calculations.numbers.instants import day_of
from app.demo.lists import read_catalog
from app.demo.story import build_demo
from app.errors import Mendable, reason_of


def demo_copy(
    today: date | None = None,
    folder: Path | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> Path:
    """A copy of the made-up shop's book that may be written in, made anew each day.

    What was tried in it on the same day stands; older copies are taken away. `progress` is called
    with (days told, days in all); what it raises stops the work.
    """
    import platformdirs

    day = today or day_of(datetime.now(UTC), read_catalog().settings["zone"])
    folder = folder or platformdirs.user_cache_path("bayledger") / "demo"
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as trouble:
        raise Mendable(
            f"The folder {folder} cannot be made ({reason_of(trouble)}), so there is no place for "
            "the made-up shop; build one where you like with “bayledger demo BOOK”."
        ) from trouble
    path = folder / f"demo-{day:%Y-%m-%d}{SUFFIX}"
    if path.exists():
        return path
    for old in folder.glob("demo-*"):
        if old.is_file() and not old.name.startswith(path.name):
            old.unlink(missing_ok=True)
    # Built under another name: a copy half made must not be taken for a whole one.
    building = folder / f"building-{os.getpid()}{SUFFIX}"
    for rest in folder.glob(f"{building.name}*"):
        rest.unlink(missing_ok=True)
    build_demo(building, today=day, progress=progress)
    building.replace(path)
    return path

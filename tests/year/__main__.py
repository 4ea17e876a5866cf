"""Live a year of days in the window and by commands, and compare: `python -m tests.year`.

Exit code 1 where the two books differ, or one of them is not whole.
"""

from __future__ import annotations

import argparse
import multiprocessing
import os
import sys
import tempfile
from pathlib import Path


def main() -> int:
    """Live both years and say what differs."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--days", type=int, default=250, help="working days; usual: 250")
    asked = parser.parse_args()
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

    from tests.shop import new_desk, small_shop
    from tests.year.living import by_commands, by_the_window, differences, working_days

    days = working_days(asked.days)
    with tempfile.TemporaryDirectory(prefix="bayledger-year-") as place:
        folder = Path(place).resolve()
        paths = []
        for name in ("window", "commands"):
            (folder / name).mkdir()
            desk = new_desk(folder / name / "shop.bayledger")
            shop = small_shop(desk)
            desk.book.close()
            paths.append(desk.book.path.rename(folder / name / f"{name}.bayledger"))
        other = multiprocessing.get_context("spawn").Process(
            target=by_commands, args=(paths[1], shop, days)
        )
        other.start()
        by_the_window(paths[0], shop, days, folder)
        print(f"{len(days)} days closed in the window, {days[0]} to {days[-1]}", flush=True)
        other.join()
        if other.exitcode:
            print("Closing by commands broke off.")
            return 1
        print(f"{len(days)} days closed by commands", flush=True)
        found = differences(paths[0], paths[1], folder)
    print("\n".join(found) or "It is the same book.")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())

"""Try to lose a book, and print what came of it: `python -m tests.faults`.

Exit code 1 where anything was lost, or ended in anything but a plain sentence.
"""

from __future__ import annotations

import argparse
import os
import sys

from tests.faults.disk import is_loaded, load_and_run_again


def main() -> int:
    """Run the campaign and print its table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--count", type=int, default=20, help="trials of each kind of fault")
    parser.add_argument("--kills", type=int, help="kills, instead, over all kinds of them")
    parser.add_argument("--files", type=int, help="hostile files, instead, over all kinds of them")
    parser.add_argument("--kind", default="", help="only kinds whose name has this in it")
    parser.add_argument("--jobs", type=int, default=os.cpu_count() or 1, help="processes at once")
    asked = parser.parse_args()
    load_and_run_again("tests.faults")

    from tests.faults.campaign import are_kills, kinds, run, table
    from tests.faults.hostile_kinds import FILES

    if not is_loaded():
        print("There is no C compiler here: the disk does not fail, the rest is tried.")
    names = [name for name in kinds() if asked.kind in name]
    counts = dict.fromkeys(names, asked.count)
    for whole, of in (
        (asked.kills, [name for name in names if are_kills(name)]),
        (asked.files, [name for name in names if name in FILES]),
    ):
        if whole is not None:
            counts |= {name: -(-whole // len(of)) for name in of}
    rows = run(counts, asked.seed, lambda line: print(line, flush=True), asked.jobs)
    print("\n".join(table(rows)))
    return 1 if any(row.lost for row in rows.values()) else 0


if __name__ == "__main__":
    sys.exit(main())

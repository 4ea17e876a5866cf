"""Try to lose a book, and print what came of it: `python -m tests.faults`.

Exit code 1 where anything was lost, or ended in anything but a plain sentence.
"""

from __future__ import annotations

import argparse
import sys

from tests.faults.disk import is_loaded, load_and_run_again


def main() -> int:
    """Run the campaign and print its table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--count", type=int, default=20, help="trials of each kind")
    parser.add_argument("--kind", default="", help="only kinds whose name has this in it")
    asked = parser.parse_args()
    load_and_run_again("tests.faults")

    from tests.faults.campaign import kinds, run, table

    if not is_loaded():
        print("There is no C compiler here: the disk does not fail, the rest is tried.")
    counts = {name: asked.count for name in kinds() if asked.kind in name}
    rows = run(counts, asked.seed, lambda line: print(line, flush=True))
    print("\n".join(table({name: row for name, row in rows.items() if row.tried})))
    return 1 if any(row.lost for row in rows.values()) else 0


if __name__ == "__main__":
    sys.exit(main())

"""Live so many sequences and ask of each that its slip adds up: `python -m tests.reconciling`.

Exit code 1 where one does not; its seed finds it again.
"""

from __future__ import annotations

import argparse
import sys
import time

from tests.reconciling.sequences import lived


def main() -> int:
    """Say what does not hold, by seed."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=100_000)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    begun, filed, notes = time.process_time(), 0, 0
    for seed in range(asked.seed, asked.seed + asked.count):
        till = lived(seed)
        filed += len(till.filed)
        notes += sum(len(one.credits) for one in till.jobs)
        if wrong := till.wrong():
            print(f"seed {seed}: {wrong}", flush=True)
            return 1
    spent = time.process_time() - begun
    print(
        f"{asked.count:,} sequences from seed {asked.seed}: every slip adds up to zero; {filed:,} "
        f"filings stayed as filed, {notes:,} rates credited; {spent:.0f} s of processor"
    )
    return 0


if __name__ == "__main__":
    sys.exit(main())

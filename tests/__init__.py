from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
# Seconds that a test waits at the most for another thread or process: far more than any needs, so
# that a machine with other work does not fail it. What never comes still ends within the limit of a
# test, which stands in pyproject.toml.
WAIT = 120

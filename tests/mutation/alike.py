"""Mistakes that change nothing anybody could see, each with the reason."""

from __future__ import annotations

from tests.mutation.mutants import Mutant

# (module, the line as it stands, and with the mistake): why no test can find it
_AT_REST = "one more round of a search that has come to rest"
ALIKE: dict[tuple[str, str, str], str] = {
    (
        "layers/letter_day.py",
        "_TIMES = np.exp(np.linspace(log(0.03), log(7.0), 420))",
        "_TIMES = np.exp(np.linspace(log(0.045), log(7.0), 420))",
    ): "so early in a life nothing ends, wherever the grid begins",
    (
        "layers/letter_day.py",
        "best = np.clip(worth.argmax(axis=0), 1, len(times) - 2)",
        "best = np.clip(worth.argmax(axis=0), 2, len(times) - 2)",
    ): "the best day is never among the first of the grid",
    (
        "layers/life_evidence.py",
        "_LONGEST_POWER = 80.0  # exp() of it is as good as infinite, and still multiplies "
        "without overflow",
        "_LONGEST_POWER = 120.0  # exp() of it is as good as infinite, and still multiplies "
        "without overflow",
    ): "exp(-exp(80)) is nothing as well, and exp(120) still a number",
    (
        "layers/life_points.py",
        "return [(1.0, None, 1.0)]",
        "return [(1.0, None, 1.5)]",
    ): "the weight of the only span stands above and below the line",
    ("layers/life_posterior.py", "_ZOOMS = 5", "_ZOOMS = 6"): _AT_REST,
    (
        "layers/life_posterior.py",
        "_ROUNDS = 4  # of messages along the tree for each grid",
        "_ROUNDS = 5  # of messages along the tree for each grid",
    ): _AT_REST,
    (
        "stock/expiry.py",
        "past = sum(lot.left for lot in lots if lot.left > 0 and lot.last_day < today)",
        "past = sum(lot.left for lot in lots if lot.left >= 0 and lot.last_day < today)",
    ): "a lot of which nothing is left adds nothing",
    (
        "plan/expected_use.py",
        "code = code * (high - low + 1) + (key - low)",
        "code = code * (high - low + 1) + (key + low)",
    ): "all codes are larger by the same number, and sort as before",
    (
        "numbers/chances.py",
        "size = np.minimum(np.abs(z), 38.0)",
        "size = np.minimum(np.abs(z), 57.0)",
    ): "a normal tail beyond 38 is nothing in a float",
}


def alike(mutant: Mutant) -> str:
    """Why a mistake changes nothing; "" where it does."""
    name = str(mutant.path.relative_to("app/calculations"))
    return ALIKE.get((name, mutant.text, mutant.change), "")

"""Mistakes that change nothing anybody could see, each with the reason."""

from __future__ import annotations

from tests.mutation.mutants import Mutant

# (module, the line as it stands, and with the mistake): why no test can find it
ALIKE: dict[tuple[str, str, str], str] = {}


def alike(mutant: Mutant) -> str:
    """Why a mistake changes nothing; "" where it does."""
    name = str(mutant.path.relative_to("app/calculations"))
    return ALIKE.get((name, mutant.text, mutant.change), "")

"""The list of mistakes that change nothing names mistakes that can be made."""

from __future__ import annotations

from tests.mutation.alike import ALIKE, alike
from tests.mutation.mutants import mutants_of
from tests.mutation.reach import CALCULATIONS


def test_each_that_changes_nothing_can_be_made_of_the_program_as_it_stands() -> None:
    rooms = {CALCULATIONS.relative_to(CALCULATIONS.parents[1]) / name for name, *_ in ALIKE}
    made = [one for path in rooms for one in mutants_of(path)]
    named = {(one.path.as_posix(), one.text, one.change) for one in made if alike(one)}
    listed = {(f"app/calculations/{name}", text, change) for name, text, change in ALIKE}
    assert listed == named
    assert all(reason.strip() for reason in ALIKE.values())

"""The shop's factors: how size, condition and where a vehicle lives move hours, supplies, lives.

They are judgement and meant to be changed; each shows what it is usually taken as. A factor lies
between 0.1 and 5 (3 for lives).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from app.actions.desk.desk import Changed, Desk
from app.actions.desk.settings import CONDITIONS, SIZES, Settings
from app.actions.shop.shop_settings import change_settings
from app.calculations.layers.exposure import FACTORS, NOT_ASKED, QUESTIONS
from app.calculations.numbers.numerals import read_number
from app.errors import Mendable

# Setting of each column, for rows of sizes and for rows of conditions; "" where there is none.
COLUMNS = ("supplies", "hours outside", "hours inside")
_SIZE = dict(zip(COLUMNS, ("size_factors", "hours_outside", "hours_inside"), strict=True))
# One scale of hours by condition holds outside and inside.
_CONDITION = {"supplies": "condition_factors", "hours outside": "hours_condition"}
_LEAST, _MOST, _MOST_OF_LIFE = 0.1, 5, 3


@dataclass(frozen=True)
class Factor:
    """One number: what it is for, what holds, what is usual."""

    table: str
    key: str
    value: float
    usual: float

    @property
    def text(self) -> str:
        """As it is shown."""
        return f"{self.value:g}"


@dataclass(frozen=True)
class WorkRow:
    """A size or a condition with its factors by column."""

    name: str
    group: str  # size or condition
    factors: Mapping[str, Factor]


@dataclass(frozen=True)
class PlaceRow:
    """An answer to one of the questions of where a vehicle lives."""

    question: str
    words: str
    answer: str
    factor: Factor


def work_factors(desk: Desk) -> tuple[WorkRow, ...]:
    """Sizes and conditions: how they move supplies and hours."""
    rows = []
    for group, names, tables in (("size", SIZES, _SIZE), ("condition", CONDITIONS, _CONDITION)):
        for name in names:
            factors = {
                column: Factor(table, name, _of(desk.settings, table)[name], _usual(table)[name])
                for column, table in tables.items()
            }
            rows.append(WorkRow(name, group, factors))
    return tuple(rows)


def place_factors(desk: Desk) -> tuple[PlaceRow, ...]:
    """Where a vehicle lives: how it moves the time that a layer lasts."""
    scale = desk.settings.exposure_factors or FACTORS
    return tuple(
        PlaceRow(
            question.key,
            question.words,
            answer,
            Factor(question.key, answer, scale[question.key].get(answer, usual), usual),
        )
        for question in QUESTIONS
        for answer, usual in sorted(
            FACTORS[question.key].items(), key=lambda one: one[0] == NOT_ASKED
        )
    )


def changed_work_factors(desk: Desk) -> int:
    """How many are not the usual ones."""
    found = (one for row in work_factors(desk) for one in row.factors.values())
    return sum(one.value != one.usual for one in found)


def changed_place_factors(desk: Desk) -> int:
    """How many are not the usual ones."""
    return sum(row.factor.value != row.factor.usual for row in place_factors(desk))


def set_work_factor(desk: Desk, table: str, key: str, typed: str) -> Changed:
    """Set one factor of size or condition as typed; nothing typed takes the usual one again."""
    if table not in (*_SIZE.values(), *_CONDITION.values()) or key not in _usual(table):
        raise Mendable(f"There is no factor “{key}”.")
    value = _read(typed, _usual(table)[key], _MOST)
    return change_settings(desk, **{table: {**_of(desk.settings, table), key: value}})


def set_place_factor(desk: Desk, question: str, answer: str, typed: str) -> Changed:
    """Set one factor of where a vehicle lives as typed; nothing typed takes the usual again."""
    usual = FACTORS.get(question, {}).get(answer)
    if usual is None:
        raise Mendable(f"There is no factor “{answer}”.")
    current = desk.settings.exposure_factors or FACTORS
    scale = {name: dict(answers) for name, answers in current.items()}
    scale[question][answer] = _read(typed, usual, _MOST_OF_LIFE)
    same = all(scale[name] == dict(answers) for name, answers in FACTORS.items())
    return change_settings(desk, exposure_factors={} if same else scale)


def _of(settings: Settings, table: str) -> dict[str, float]:
    found: dict[str, float] = getattr(settings, table)
    return {**_usual(table), **found}


def _usual(table: str) -> dict[str, float]:
    found: dict[str, float] = getattr(Settings(), table)
    return found


def _read(typed: str, usual: float, most: int) -> float:
    plain = typed.strip().removeprefix("×").strip()
    if not plain:
        return usual
    try:
        value = read_number(plain.replace(",", "."))
    except Mendable:
        value = None
    if value is None or not _LEAST <= value <= most:
        raise Mendable(f"“{typed.strip()[:12]}” is no factor; type {_LEAST} to {most}.")
    return round(float(value), 3)

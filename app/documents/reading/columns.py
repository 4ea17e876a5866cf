"""Deciding what a table is about and what each of its columns means.

Every kind of table is tried: the columns are given to its meanings, the surest first, by heading
and by the look of the values; the kind that explains most, and has what such a table needs, wins.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from app.calculations.numbers.wording import word_set
from app.documents.reading.grid import Cell
from app.documents.reading.headings import Heading
from app.documents.reading.looks import Looks, fit, looks_of
from app.documents.reading.meanings import BESIDE, CONTACTS, MEANINGS, NAMES, VEHICLES
from app.documents.reading.vehicles import BODIES, STATES, read_size

# Scores. A heading that is a known word for a meaning gives it 1, one that is merely like it less
# (`headings.read_heading`); each step below moves that a little. All are common practice, tried on
# the lists in tests/documents; only their order matters.
_LEAST = 0.34  # below this a column keeps no meaning
_BY_HAND = 9.0  # what a person said outdoes everything
_MOST = 1.25  # of one column, so that a few sure ones do not outdo many
_OF_ANOTHER_KIND = 0.93  # a table of jobs is more likely to hold the job's date than the customer's
KNOWN = 0.8  # from here a heading is a known word
# How far values that fit make a heading surer: a known word, and one that merely holds a known one.
_FITTING, _LIKELY = 0.5, 0.15
_SURE = 0.6  # from here a heading is enough, unless the values speak against it
_LESS = 0.9  # another column may say it better
_NOT_OURS = frozenset({"list", "retail", "rrp", "msrp", "uvp", "case", "karton", "pvp"})
_CONFIRMED, _DOUBTED, _DENIED = 1.1, 0.5, 0.3  # by the words that stand under a heading
_EXPENSES = 0.1  # a list of expenses is neither a shelf nor a log of jobs
_ANY_NAMES = 0.8  # a list of names and telephone numbers is rather one of customers
# How far the columns carry a kind of table: all of it, most, half, hardly, by its name alone.
_WHOLE, _MOSTLY, _HALF, _HARDLY, _NOT = 1.0, 0.8, 0.55, 0.3, 0.1
_SUPPLIERS_ONLY = frozenset(
    {
        "supplier.account_no",
        "supplier.promised_days",
        "supplier.freight",
        "supplier.free_freight_from",
        "supplier.minimum_order",
    }
)
# Words that name a person only where something else says what was done or paid.
_ONLY_IN_LOGS = frozenset({"from", "for", "who", "whose", "whom", "party", "person", "guest"})
_COUNTERS = frozenset({"", "number", "id", "index", "row", "line", "pos", "lfd number", "item"})
_ANYBODY = frozenset({"name", "company", "company name", "firm", "firma", "empresa", "place", ""})
_WORD = re.compile(r"[^\s/]+")
_NUMBERED = re.compile(r"\W*(?:[^\W\d_]+[\W_]+){0,2}[^\W\d_]{0,6}\d\S*")
_STATUS = word_set(
    """done complete completed finished booked scheduled open closed paid unpaid cancelled canceled
    pending working progress started waiting delivered invoiced estimate quote quoted enquiry
    lead no-show fertig erledigt offen storniert terminado pendiente hecho"""
)


@dataclass(frozen=True, slots=True)
class Seen:
    """A column before it has a meaning: its heading and the looks and sample of its values."""

    heading: Heading
    looks: Looks
    sample: tuple[str, ...]
    counts: bool = False  # 1, 2, 3 …: the number of the line, not of anything


@dataclass(frozen=True, slots=True)
class Recognised:
    """What a table is: its kind, a meaning for each column ("" for none), and how sure."""

    kind: str
    meanings: tuple[str, ...]
    score: float


def seen(heading: Heading, values: Sequence[Cell]) -> Seen:
    """A column as recognition looks at it."""
    sample = tuple(str(v)[:60].casefold() for v in values if isinstance(v, str))[:60]
    counts = heading.words in _COUNTERS and _counts(values)
    return Seen(heading, looks_of(values), sample, counts)


def _counts(values: Sequence[Cell]) -> bool:
    told = [int(v) for v in values if isinstance(v, int) or (isinstance(v, str) and v.isdecimal())]
    filled = sum(value is not None for value in values)
    if len(told) < 2 or len(told) < filled or told[0] not in (0, 1):
        return False
    return all(b > a and b - a <= 3 for a, b in pairwise(told))


def recognise(
    columns: Sequence[Seen],
    named: Mapping[str, float] | None = None,
    fixed: Mapping[int, str] | None = None,
) -> Recognised:
    """The kind of a table and the meaning of its columns.

    `named` are kinds that the sheet's name or a title speaks of, with weights; `fixed` are
    meanings that a person gave by hand ("" for "leave it out").
    """
    best = Recognised("", ("",) * len(columns), 0.0)
    for kind in BESIDE:
        meanings, score = _assign(columns, kind, fixed or {})
        score *= _has_what_it_needs(kind, meanings, bool(fixed))
        if kind in ("supply", "job") and not fixed and _buys_something(columns, kind, meanings):
            score *= _EXPENSES
        if kind == "supplier" and not fixed and not _clearly_suppliers(columns, meanings):
            score *= _ANY_NAMES
        score += (named or {}).get(kind, 0.0) if score > 0.5 else 0.0
        if score > best.score + 1e-9:
            best = Recognised(kind, meanings, score)
    return best


def how_known(column: Seen, meaning: str) -> str:
    """How surely a column has this meaning: heading, part (of it), values, or unlike (them)."""
    sure = dict(column.heading.candidates).get(meaning)
    if sure is None:
        return "values"
    if fit(MEANINGS[meaning].form, column.looks) < 0 and column.looks.filled > 2:
        return "unlike"
    return "heading" if sure >= KNOWN else "part"


def _assign(
    columns: Sequence[Seen], kind: str, fixed: Mapping[int, str]
) -> tuple[tuple[str, ...], float]:
    offers: list[tuple[float, int, str]] = []
    for index, column in enumerate(columns):
        if index in fixed:
            if fixed[index]:
                offers.append((_BY_HAND, index, fixed[index]))
            continue
        for key, score in _offers(column, kind).items():
            if score >= _LEAST:
                offers.append((score, index, key))
    offers.sort(key=lambda offer: (-round(offer[0], 6), offer[1], _order(offer[2], kind)))
    meanings = [""] * len(columns)
    used: set[tuple[str, int]] = set()
    total = 0.0
    for score, index, key in offers:
        # A second vehicle in columns of its own ("Plate 2"); nothing else comes in twos.
        which = columns[index].heading.ordinal if key.startswith("vehicle.") else 1
        if meanings[index] or ((key, which) in used and not MEANINGS[key].many):
            continue
        meanings[index] = key
        used.add((key, which))
        total += min(score, _MOST)
    return tuple(meanings), total


def _order(key: str, kind: str) -> tuple[int, int]:
    """Between equals the table's own kind comes first, then the order of the list of meanings."""
    return (0 if key.startswith(kind + ".") else 1, list(MEANINGS).index(key))


def _offers(column: Seen, kind: str) -> dict[str, float]:
    """What a column may mean in a table of this kind, and how surely."""
    offers: dict[str, float] = {}
    if column.counts:
        return offers
    for key, sure in column.heading.candidates:
        meaning = MEANINGS[key]
        if meaning.kind not in BESIDE[kind]:
            continue
        if kind in ("job", "receipt") and key == "customer.since":
            continue
        in_a_list = kind in ("customer", "vehicle")
        if in_a_list and key == "customer.name" and column.heading.words in _ONLY_IN_LOGS:
            continue
        own = 1.0 if meaning.kind == kind else _OF_ANOTHER_KIND
        fits = fit(meaning.form, column.looks)
        score = sure * own * (1.0 + (_FITTING if sure >= KNOWN or fits < 0 else _LIKELY) * fits)
        score *= _closer_look(key, column)
        offers[key] = max(offers.get(key, 0.0), score)
    for key, score in _by_values(column, kind).items():
        offers[key] = max(offers.get(key, 0.0), score)
    return offers


def _closer_look(key: str, column: Seen) -> float:
    """Meanings that share their headings are told apart by the words in the column."""
    look = _CLOSER.get(key)
    return look(column) if look and column.sample else 1.0


def _like_a_region(column: Seen) -> float:
    if _share(column.sample, STATES) > 0.5:
        return _CONFIRMED
    return _DOUBTED if _share(column.sample, _STATUS) > 0.3 else 1.0


def _like_a_status(column: Seen) -> float:
    if _share(column.sample, _STATUS) > 0.3:
        return _CONFIRMED
    return _DENIED if _share(column.sample, STATES) > 0.5 else 1.0


def _like_a_number(column: Seen) -> float:
    """Titles hold digits too ("2-step, ceramic 2yr"), but more words than "Order 12" does."""
    return _DENIED if _share_of(column.sample, _NUMBERED.fullmatch) <= 0.5 else 1.0


def _like_a_size(column: Seen) -> float:
    sized = _share_of(column.sample, read_size)
    return _CONFIRMED if sized > 0.5 else _DOUBTED if sized < 0.2 else 1.0


def _like_a_vehicle(column: Seen) -> float:
    if column.heading.words != "description":
        return 1.0
    bodied = _share_of(column.sample, lambda text: BODIES.keys() & set(_WORD.findall(text)))
    return _CONFIRMED if bodied > 0.4 or column.looks.year > 0.3 else _DOUBTED


def _like_a_unit(column: Seen) -> float:
    if column.looks.amount > 0.5:
        return _DOUBTED
    # A column of money or plain numbers is no unit.
    return _DENIED if fit("unit", column.looks) < 0 else 1.0


def _like_our_price(column: Seen) -> float:
    """A list price may stand beside what the shop pays."""
    return _LESS if _NOT_OURS & set(column.heading.words.split()) else 1.0


def _like_the_stock(column: Seen) -> float:
    if column.heading.words != "amount":
        return 1.0
    return 1.0 if column.looks.amount > 0.3 or column.heading.unit else 0.0


_CLOSER: dict[str, Callable[[Seen], float]] = {
    "customer.region": _like_a_region,
    "job.state": _like_a_status,
    "job.number": _like_a_number,
    "vehicle.size": _like_a_size,
    "vehicle.description": _like_a_vehicle,
    "supply.unit": _like_a_unit,
    "supply.price": _like_our_price,
    "supply.stock": _like_the_stock,
}


def _share_of(sample: Sequence[str], holds: Callable[[str], object]) -> float:
    return sum(bool(holds(text)) for text in sample) / len(sample)


def _share(sample: Sequence[str], known: frozenset[str]) -> float:
    return _share_of(sample, lambda text: known & set(text.split()[:2]))


def _by_values(column: Seen, kind: str) -> dict[str, float]:
    """What the values alone suggest, where the heading says nothing or too little."""
    claimed = [
        MEANINGS[key]
        for key, sure in column.heading.candidates
        if sure >= _SURE and MEANINGS[key].kind in BESIDE[kind]
    ]
    if any(fit(meaning.form, column.looks) > -0.9 for meaning in claimed):
        return {}
    looks = column.looks
    offers: dict[str, float] = {}
    people = "supplier" if kind == "supplier" else "customer"
    if people in BESIDE[kind]:
        if looks.mail > 0.6:
            offers[f"{people}.email"] = 0.7
        elif looks.phone > 0.6:
            offers[f"{people}.phone"] = 0.6
    if "vehicle" in BESIDE[kind] and looks.vin > 0.6:
        offers["vehicle.vin"] = 0.7
    # Under an unknown heading only a list of people is taken to name them.
    unknown = not column.heading.text or (kind in ("customer", "vehicle") and not claimed)
    if unknown and "customer" in BESIDE[kind] and looks.name > 0.6:
        offers["customer.name"] = 0.5
    if kind == "supply" and looks.money > 0.6 and looks.words < 0.3:
        offers["supply.price"] = 0.5
    if not column.heading.text and kind == "supply" and looks.amount > 0.6:
        offers["supply.size"] = 0.4
    return offers


def _buys_something(columns: Sequence[Seen], kind: str, meanings: Sequence[str]) -> bool:
    """True for a log of purchases: a day and a sum on each line, and from whom."""
    heads = {column.heading.words for column in columns}
    sellers = ("supplier.name", "supply.supplier")
    from_whom = any(
        sure >= 0.95 and key in sellers and column.heading.words not in _ANYBODY
        for column in columns
        for key, sure in column.heading.candidates
    )
    if not from_whom or not any(column.looks.day > 0.8 for column in columns):
        return False
    if kind == "job":
        return not set(meanings) & {"customer.name", "customer.last", "vehicle.description"}
    stands = set(meanings) & {"supply.stock", "supply.size", "supply.price", "supply.dilution"}
    return bool(heads & {"amount", "total", "betrag", "importe", "sum"}) and not stands


def _clearly_suppliers(columns: Sequence[Seen], meanings: Sequence[str]) -> bool:
    """True when a heading says supplier, or a column is one that only suppliers have."""
    if set(meanings) & _SUPPLIERS_ONLY:
        return True
    named = [
        column.heading.words
        for column, meaning in zip(columns, meanings, strict=True)
        if meaning == "supplier.name"
    ]
    return any(words not in _ANYBODY for words in named)


def _has_what_it_needs(kind: str, meanings: Sequence[str], by_hand: bool) -> float:
    """How far the columns carry such a table: little when what makes it one is missing."""
    has = set(meanings) - {""}
    if by_hand and f"{kind}.name" in has:
        return _WHOLE
    return _CARRIED[kind](has)


def _customers_carried(has: set[str]) -> float:
    if has & set(NAMES):
        return _WHOLE
    return _HALF if _a_person(has) else _NOT


def _vehicles_carried(has: set[str]) -> float:
    if not _a_vehicle(has):
        return _NOT
    more = {*VEHICLES, *NAMES, *CONTACTS, "vehicle.year", "vehicle.color"}
    # A description alone may be one of anything.
    return _HALF if has & more == {"vehicle.description"} else _WHOLE


def _suppliers_carried(has: set[str]) -> float:
    if "supplier.name" not in has:
        return _NOT
    return _WHOLE if has - {"supplier.name"} else _HALF


def _supplies_carried(has: set[str]) -> float:
    if "supply.name" not in has:
        return _NOT
    on_any_list = {"supply.name", "supply.notes", "supply.category", "supply.checked"}
    return _WHOLE if has - on_any_list else _HALF


def _jobs_carried(has: set[str]) -> float:
    person, vehicle = _a_person(has), _a_vehicle(has)
    money = bool(has & {"job.gross", "job.net", "job.paid", "job.charge"})
    work = has & {"job.services", "job.hours", "job.net", "job.tax", "job.state"}
    if {"job.day", "job.method"} <= has and not work and not vehicle:
        return _MOSTLY  # who paid how much, when and how: payments
    if "job.day" in has and (work or (money and (person or vehicle))):
        return _WHOLE
    if "job.services" in has and (money or person or vehicle or "job.hours" in has):
        return _MOSTLY if money or "job.number" in has else _HALF
    return _HARDLY if money and person else _NOT


def _layers_carried(has: set[str]) -> float:
    if "layer.supply" not in has or not (_a_vehicle(has) or _a_person(has)):
        return _NOT
    return _WHOLE if has & {"layer.day", "layer.surfaces"} else _HALF


def _receipts_carried(has: set[str]) -> float:
    if not {"receipt.amount", "receipt.day"} <= has:
        return _NOT
    if not _a_person(has) and "receipt.job" not in has:
        return _NOT  # money of nobody, for nothing: not what came in
    return _WHOLE if has & {"receipt.method", "receipt.job"} else _MOSTLY


def _a_person(has: set[str]) -> bool:
    return bool(has & {*NAMES, *CONTACTS})


def _a_vehicle(has: set[str]) -> bool:
    return bool(has & set(VEHICLES))


_CARRIED: dict[str, Callable[[set[str]], float]] = {
    "customer": _customers_carried,
    "vehicle": _vehicles_carried,
    "supplier": _suppliers_carried,
    "supply": _supplies_carried,
    "job": _jobs_carried,
    "layer": _layers_carried,
    "receipt": _receipts_carried,
}

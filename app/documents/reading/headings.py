"""Comparing headings: which meanings the words above a column may have, and how surely."""

from __future__ import annotations

import re
import unicodedata
from collections import defaultdict
from dataclasses import dataclass
from difflib import SequenceMatcher
from functools import lru_cache

from app.calculations.numbers.units import sort_of, unit_named
from app.calculations.numbers.wording import word_set
from app.documents.reading.grid import Cell
from app.documents.reading.heading_words import KINDS
from app.documents.reading.meanings import MEANINGS

LONGEST_HEADING = 60
_SMALL_WORDS = word_set(
    """the of a an de del la el los las der die das den des dem your our my and und y or oder o e
    for fur para in im en this"""
)
# Words that mean something as a heading of their own, but nothing within a longer one.
_ALONE = word_set(
    """per from who what where when how use using in out to at on by until we order number"""
)
# Things that others are told of: a "bottle price" is a price, a "customer rating" no customer.
_THINGS = word_set(
    """pack package bottle container jug tin size unit item product supply customer client vehicle
    car job service packung flasche gebinde kunde fahrzeug artikel envase cliente coche producto"""
)
_OF_A_THING = 0.08
_NUMBER_WORDS = frozenset({"no", "nr", "num", "nbr", "#", "nº", "n°", "№", "numero", "nummer"})
_SHORT = {
    "cust": "customer", "veh": "vehicle", "desc": "description", "descr": "description",
    "amt": "amount", "appt": "appointment", "svc": "service", "serv": "service",
    "prod": "product", "mfr": "manufacturer", "mfg": "manufacturer", "addr": "address",
    "kd": "kunde", "lief": "lieferant", "fzg": "fahrzeug", "ph": "phone", "nbr": "number",
    "pkg": "pack", "pk": "pack", "yr": "year", "colour": "color", "bez": "bezeichnung",
}  # fmt: skip
# Units that stand in headings beside those of quantities, and what they say.
_UNITS = {
    word: unit
    for unit, words in {
        "container": "bottle bottles jugs flaschen packs",
        "pc": "pcs pc pieces ea stk stuck uds",
        "h": "h hr hrs hours std",
        "min": "min mins minutes minuten minutos",
        "days": "day days tage dias",
        "weeks": "weeks wks wochen",
        "months": "months mo mos monate meses",
        "years": "years yrs jahre",
        "%": "% percent",
        "money": "$ usd us$ € eur euro £ gbp cad aud dollars",
    }.items()
    for word in words.split()
}
# "Paid per pack", "Cost a bottle": what is told of one of them.
_EACH = re.compile(
    r"(.+?)\s*(?:\bper|/|\bpro|\bpor|\bje|\bfor one|\ba)\s*(?:each|ea|pack(?:age|et)?|bottle|unit|"
    r"piece|pc|case|box|roll|tub|can|tin|jug|item|gebinde|st(?:ü|ue)ck|flasche|dose|packung|"
    r"unidad|envase)"
)
_BRACKETS = re.compile(r"[(\[{]([^)\]}]{0,40})[)\]}]?")


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading: its text, its words as compared, the unit in it, and where it may point."""

    text: str
    words: str
    unit: str
    candidates: tuple[tuple[str, float], ...]  # meaning key, how sure (0 to 1)
    ordinal: int = 1  # "Plate 2", "second vehicle": which of several

    def best(self) -> float:
        """How sure the surest meaning is."""
        return self.candidates[0][1] if self.candidates else 0.0


def plain(text: str) -> str:
    """Text as compared: no case, accents, punctuation, small words or plural s."""
    text = unicodedata.normalize("NFKD", text.casefold())
    text = "".join(c for c in text if not unicodedata.combining(c))
    text = text.replace("#", " # ").replace("'", "").replace("’", "")
    tokens = re.findall(r"[^\W_]+|#|№", text)
    kept = []
    for token in tokens:
        if token in _NUMBER_WORDS:
            kept.append("number")
        elif token not in _SMALL_WORDS:
            kept.append(_SHORT.get(token) or _singular(token))
    return " ".join(kept or [_singular(token) for token in tokens])


def heading_unit(word: str) -> str:
    """The unit that a word in a heading names: "mL", "pc", "h", "money"; "" for none."""
    word = word.casefold()
    return _UNITS.get(word) or (unit_named(word) or "" if sort_of(word) != "piece" else "")


def _singular(word: str) -> str:
    if len(word) > 4 and word.endswith("ies"):
        return word[:-3] + "y"
    if len(word) > 3 and word.endswith("s") and not word.endswith(("ss", "us", "is")):
        return word[:-1]
    return word


def _without_unit(text: str) -> tuple[str, str]:
    """The heading without its unit or bracket, and the unit in our own word."""
    unit = ""
    for match in _BRACKETS.finditer(text):
        inside = re.sub(r"[.\s]+", " ", match.group(1).casefold()).strip()
        unit = unit or heading_unit(inside.removeprefix("in "))
    bare = _BRACKETS.sub(" ", text).strip(" :*-–—")
    per = re.fullmatch(r"[$€£]\s*(?:/|per|pro|por)\s*(.+)", bare, re.IGNORECASE)
    if per:
        return "price", heading_unit(per.group(1).strip(" .")) or unit
    low = re.sub(r"[.\s]+", " ", bare.casefold()).strip()
    each = _EACH.fullmatch(low)
    if each and plain(low) not in index_of_words():
        return each.group(1), unit or "container"
    if not unit:
        found = re.search(r"^(.+?)(?:[\s,/]+(?:in|per)|[\s,/]+)\s*(fl oz|[a-z]+|[$€£%]|us\$)$", low)
        word = found.group(2) if found else ""
        if found and heading_unit(word) and word not in ("day", "days", "hours"):
            rest = found.group(1).strip(" ,/")
            # "Total hours" is a heading of its own; "Size oz" and "Price $" are not.
            if rest and (not word.isalpha() or plain(low) not in index_of_words()):
                unit, bare = heading_unit(word), rest
    return bare or text, unit


@lru_cache(maxsize=1)
def index_of_words() -> dict[str, tuple[str, ...]]:
    """Every synonym as compared, and the meanings it may have."""
    index: dict[str, list[str]] = defaultdict(list)
    for meaning in MEANINGS.values():
        for text in (*meaning.words, meaning.label):
            key = plain(text)
            if key and meaning.key not in index[key]:
                index[key].append(meaning.key)
    return {key: tuple(keys) for key, keys in index.items()}


@lru_cache(maxsize=1)
def kind_index() -> dict[str, str]:
    """Every word for a kind of thing, as compared, and its kind."""
    return {
        plain(word): kind
        for kind, words in KINDS.items()
        for word in words.split("|")
        if word.strip()
    }


@lru_cache(maxsize=4096)
def read_heading(text: str) -> Heading:
    """What the words above a column may mean, surest first."""
    text = " ".join(text.split())
    if not text or len(text) > LONGEST_HEADING:
        return Heading(text, "", "", ())
    bare, unit = _without_unit(text)
    words = plain(bare)
    scores: dict[str, float] = {}

    def offer(keys: tuple[str, ...], score: float, kind: str = "") -> None:
        for key in keys:
            if not kind or key.startswith(kind + "."):
                scores[key] = max(scores.get(key, 0.0), score)

    index = index_of_words()
    ordinal = 1
    if words in index:
        offer(index[words], 1.0)
    else:
        ordinal, plain_words = _counted(words)
        if plain_words in index:
            offer(index[plain_words], 0.97)
        if ordinal > 1 or plain_words != words:
            _offer_of_a_kind(plain_words, offer)
    _offer_of_a_kind(words, offer)
    if not scores:
        _offer_alike(words, offer)
    if not scores or max(scores.values()) < 0.8:
        _offer_within(words, offer)
    candidates = tuple(sorted(scores.items(), key=lambda pair: -pair[1]))
    return Heading(text, words, unit, candidates, ordinal)


_FIRST = {"first": 1, "1st": 1, "second": 2, "2nd": 2, "third": 3, "3rd": 3, "other": 2, "next": 2}


def _counted(words: str) -> tuple[int, str]:
    """ "plate 2", "vehicle 2 plate", "second vehicle": which one, and the words without it."""
    tokens = words.split()
    if len(tokens) > 1 and tokens[0] in _FIRST:
        return _FIRST[tokens[0]], " ".join(tokens[1:])
    for place, token in enumerate(tokens):
        if place and token in "123456789" and len(token) == 1:
            return int(token), " ".join(tokens[:place] + tokens[place + 1 :])
    return 1, words


def _offer_of_a_kind(words: str, offer) -> None:  # type: ignore[no-untyped-def]
    """ "Customer phone", "phone of customer": the word for the kind, and the rest within it."""
    tokens = words.split()
    kinds = kind_index()
    for cut in (2, 1):
        if len(tokens) <= cut:
            continue
        for named, rest in (
            (" ".join(tokens[:cut]), " ".join(tokens[cut:])),
            (" ".join(tokens[-cut:]), " ".join(tokens[:-cut])),
        ):
            kind = kinds.get(named)
            if kind and rest in index_of_words():
                offer(index_of_words()[rest], 0.97, kind)


def _offer_alike(words: str, offer) -> None:  # type: ignore[no-untyped-def]
    """Misspelt headings: "Adress", "Vehcile"."""
    if len(words) < 5 or len(words) > 40:
        return
    for known, keys in index_of_words().items():
        if abs(len(known) - len(words)) > 2 or len(known) < 5:
            continue
        matcher = SequenceMatcher(None, words, known, autojunk=False)
        if matcher.real_quick_ratio() > 0.84 and matcher.ratio() > 0.84:
            offer(keys, 0.85 * matcher.ratio())


def _offer_within(words: str, offer) -> None:  # type: ignore[no-untyped-def]
    """Longer headings that hold a known one: "Date the work was done"."""
    tokens = words.split()
    if not 2 <= len(tokens) <= 8:
        return
    for length in range(min(len(tokens) - 1, 4), 0, -1):
        for start in range(len(tokens) - length + 1):
            part = " ".join(tokens[start : start + length])
            if len(part) > 2 and part not in _ALONE and part in index_of_words():
                beside = _OF_A_THING if part in _THINGS else 0.0
                offer(index_of_words()[part], 0.45 + 0.3 * length / len(tokens) - beside)


def heading_like(cell: Cell) -> bool:
    """True when a cell could be a heading by its look: short text that is not itself a value."""
    if not isinstance(cell, str) or not 1 <= len(cell) <= LONGEST_HEADING:
        return False
    if "@" in cell or sum(c.isdigit() for c in cell) > max(2, len(cell) // 4):
        return False
    return any(c.isalpha() for c in cell) or cell in ("#", "$", "%", "€")


def kinds_named(text: str) -> dict[str, float]:
    """The kinds that a sheet's name or a title speaks of, with weights."""
    kinds: dict[str, float] = {}
    tokens = plain(text).split()
    for length in (3, 2, 1):
        for start in range(len(tokens) - length + 1):
            kind = kind_index().get(" ".join(tokens[start : start + length]))
            if kind:
                kinds[kind] = max(kinds.get(kind, 0.0), 0.4 + 0.2 * length)
    return kinds

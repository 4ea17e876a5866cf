"""Reading what a job was, and which layers it left, from its title: all of it or nothing.

Every word must be understood; one that is not, or one that gives doubt ("quote", "no", "coated"),
and nothing is read, with the reason. The words stand in `title_words`.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import pairwise

from app.calculations.layers.protection import (
    CERAMICS,
    CLASSES,
    GLASS,
    PAINT,
    ProtectionClass,
    SurfaceGroup,
)
from app.calculations.numbers.wording import count_of
from app.documents.reading.title_words import (
    BARE,
    CERAMIC,
    COAT_FAMILIES,
    DOUBT,
    ELSEWHERE,
    GUARD,
    LAYER,
    NEVER_TOGETHER,
    SEALANT,
    SPRAY_WAX,
    SURFACE,
    WORK,
    Meaning,
    doubtful_beside,
    longest,
    makes_ready,
    respelt,
    washed_with,
)

_NUMBERS = {"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7}
_SPELT = (
    (r"['’\"“”!]", ""),
    # Prices and hours say nothing of the work.
    (r"[$£€] ?\d[\d,]*(?:\.\d+)?\b", " "),
    (r"\b\d+(?:[.,]\d+)? ?(?:h|hrs?|hours?|mins?|minutes?)\b", " "),
    (r"\bn/a\b", " none "),
    (r"(?<=[a-z]) n (?=[a-z])", " and "),  # wash n wax
    (r"\b(\d)(?=(?:steps?|stages?|stg|stp)\b)", r"\1 "),
    (r"\bcer\b", "ceramic"),
    (r"\bslnt\b", "sealant"),
    (r"\bwx\b", "wax"),
    (r"\bdtl\b", "detail"),
    (r"^ *(seal(?:ed|ant)?|wax) ?/ ?(seal(?:ed|ant)?|wax) *$", r"\1 or \2"),
    (r"\bw/o\b", " without "),
    (r"\bw/", " with "),
    (r"\b(foam|shampoo|wash) +with wax\b", r"\1 or wax"),  # what was washed with may hold it
    (r"^ *(seal(?:ed)?) *$", r"\1 ?"),  # of what?
    (r"[&/]", " and "),
    (r"\?", " ? "),
    (r"\btyre", "tire"),
    (r"\bodour", "odor"),
    (r"\bsi0?2\b", "sio2"),
    (r"\b(cer|int|ext|inc|incl|maint|yrs?|mos?|coat)\.", r"\1"),
    (rf"\b({'|'.join(_NUMBERS)})[ -]year", lambda match: f"{_NUMBERS[match[1]]} year"),
    (r"\b(\d+)[ -]?(?:years?|yrs?|y)\b", r" \1years "),
    (r"\b(\d+)[ -]?(?:months?|mths?|mos?|m)\b", r" \1months "),
    (r"\byrs?\b", "year"),
    (r"[,;+\n|:()\[\]–—]|\s-\s|\.(?=\s|$)", " | "),
    (r"\b(?:with|plus|then|inc|incl|including|followed by)\b", " | "),
    (r"-", " "),
)  # fmt: skip
_LASTS = re.compile(r"(\d+)(years|months)(?=$| )")
# In notes wishes stand beside work, so that a layer counts only where it is said to be on.
_PUT_ON = re.compile(
    r"\b(?:applied|put on|(?:finished|topped|coated|sealed|protected)(?: it)? (?:off )?with)\b"
)
_CLASS_OF_YEARS = {int(ceramic.value.split()[1]): ceramic.value for ceramic in CERAMICS}
_SHORT_LIVED = frozenset({"carnauba wax", "spray sealant", "synthetic sealant"})
DAYS_OF_MONTH = 365.25 / 12
_NOT_SAID = "how long it lasts is not said"
_WHERE_NOT_SAID = "it does not say what the layer was put on"


@dataclass(frozen=True, slots=True)
class ReadWork:
    """A service that leaves no layer; `abrades` where it takes off what stood on the paint."""

    service: str
    indoors: bool = False
    abrades: bool = False


@dataclass(frozen=True, slots=True)
class ReadLayer:
    """A layer: the service that leaves it, its class, its groups.

    `months` is how long it lasts where that is said and is not told by the class. `asks` says what
    is missing where the class is not known (it is "" then).
    """

    service: str
    protection: str
    groups: tuple[str, ...]
    asks: str = ""
    months: int | None = None


@dataclass(frozen=True, slots=True)
class ReadTitle:
    """What a title says; with a `doubt` it says nothing."""

    works: tuple[ReadWork, ...] = ()
    layers: tuple[ReadLayer, ...] = ()
    doubt: str = ""

    @property
    def asks(self) -> str:
        """What is missing of its layers."""
        return next((layer.asks for layer in self.layers if layer.asks), "")


class _Doubtful(Exception):
    """The title cannot be read without a doubt; the words say which."""


@dataclass(slots=True)
class _Piece:
    """What stands between two commas or two "and": meanings, and how long it lasts, in months."""

    said: list[tuple[Meaning, str]] = field(default_factory=list)
    months: int | None = None
    toward: bool = False  # the work was done for the layer, which may be still to come

    def of(self, kind: str) -> list[Meaning]:
        return [one for one, _ in self.said if one.kind == kind]

    @property
    def groups(self) -> frozenset[SurfaceGroup]:
        return frozenset(SurfaceGroup(g) for one in self.of(SURFACE) for g in one.what.split("|"))

    def misplaced(self, layer: ReadLayer) -> bool:
        """True for a layer on the paint beside work on other places, while none is named."""
        works = self.of(WORK)
        return (
            not self.groups
            and any(group in PAINT for group in layer.groups)
            and any(one.indoors or one.what in ELSEWHERE for one in works)
        )


@lru_cache(maxsize=20_000)
def read_title(text: str) -> ReadTitle:
    """What a title says was done."""
    try:
        works: dict[str, ReadWork] = {}
        layers: dict[str, ReadLayer] = {}
        unplaced = False
        detail = "valet" if "valet" in text.casefold() else "detail"
        for piece in _joined([_pieces(part) for part in _plain(text).split("|") if part.strip()]):
            for one in piece.of(WORK):
                name = one.what.format(detail=detail)
                works.setdefault(name, ReadWork(name, one.indoors, one.abrades))
            for layer in _layers_of(piece):
                if piece.misplaced(layer):
                    raise _Doubtful(_WHERE_NOT_SAID)
                unplaced |= not piece.groups and any(group in PAINT for group in layer.groups)
                layers.setdefault(layer.service, layer)
    except _Doubtful as doubt:
        return ReadTitle(doubt=str(doubt))
    elsewhere = unplaced and bool(works) and works.keys() <= ELSEWHERE
    if layers and (elsewhere or works.keys() & NEVER_TOGETHER):
        return ReadTitle(doubt=_WHERE_NOT_SAID)
    if not works and not layers:
        return ReadTitle(doubt="it does not say what was done")
    return ReadTitle(tuple(works.values()), tuple(layers.values()))


def read_note(text: str) -> tuple[ReadLayer, ...]:
    """The layers that the notes of a job say were put on, sentence by sentence."""
    found: dict[str, ReadLayer] = {}
    if not _PUT_ON.search(text.casefold()):
        return ()
    for sentence in re.split(r"[;\n!]|(?<!\bcer)(?<!\byr)\.(?:\s|$)", text):
        said = _PUT_ON.sub(" applied ", sentence.casefold())
        if "applied" not in said:
            continue
        read = read_title(said)
        for layer in read.layers:
            if not read.asks:
                found.setdefault(layer.service, layer)
    return tuple(found.values())


def _plain(text: str) -> str:
    """The text in one spelling: lower case, a bar between its parts, lasting times as one word."""
    text = unicodedata.normalize("NFKD", text.casefold())
    text = "".join(c for c in text if not unicodedata.combining(c))
    for pattern, put in _SPELT:
        text = re.sub(pattern, put, text)
    return " ".join(respelt(word) or word for word in text.split())


def _pieces(part: str) -> list[_Piece]:
    """The pieces of a part, parted by "and"."""
    pieces, rest = [_Piece()], part.strip()
    while rest:
        here = pieces[-1]
        lasts = _LASTS.match(rest)
        if lasts:
            if here.months is not None:
                raise _Doubtful("it says twice how long it lasts")
            here.months = int(lasts[1]) * (12 if lasts[2] == "years" else 1)
            length = lasts.end()
        else:
            found = longest(rest)
            if found is None:
                raise _Doubtful(f"“{rest.split()[0]}” is not understood")
            meaning, length = found
            words = rest[:length]
            if meaning.kind == DOUBT:
                raise _Doubtful(f"“{words.removesuffix(' ?')}”: {meaning.what}")
            if words == "and":
                pieces.append(_Piece())
            elif words == "for":
                here.toward |= bool(here.of(WORK) and not here.of(LAYER))
            elif meaning.kind != BARE:
                here.said.append((meaning, words))
        rest = rest[length:].strip()
    return [piece for piece in pieces if piece.said or piece.months]


def _joined(parts: Iterable[list[_Piece]]) -> Iterator[_Piece]:
    """The pieces, each with its surfaces and its lasting time: "leather and fabric protection" is
    one, and "ceramic coating (3 year)" too."""
    before: _Piece | None = None
    for pieces in parts:
        if len(pieces) == 1 and not pieces[0].said:
            coats = before.of(LAYER) if before else []
            told = any(one.what in COAT_FAMILIES or "sealant" in one.what for one in coats)
            if before is None or before.months is not None or not told:
                raise _Doubtful("it does not say what lasts so long")
            before.months = pieces[0].months
            continue
        for piece in _with_surfaces(pieces):
            if before is not None:
                yield before
            before = piece
    if before is not None:
        yield before


def _lasts_years(layers: Iterable[Meaning]) -> bool:
    return any(one.what in COAT_FAMILIES for one in layers)


def _with_surfaces(pieces: list[_Piece]) -> list[_Piece]:
    """Surfaces that stand alone go to the layer that they are named beside."""
    whole: list[_Piece] = []
    waiting: list[_Piece] = []
    for piece in pieces:
        if piece.of(SURFACE) and len(piece.of(SURFACE)) == len(piece.said) and not piece.months:
            if whole and whole[-1].of(LAYER):
                whole[-1].said += piece.said
            else:
                waiting.append(piece)
            continue
        for one in waiting if piece.of(LAYER) else ():
            piece.said += one.said
        if piece.of(LAYER):
            waiting = []
        whole.append(piece)
    if waiting:
        raise _Doubtful(f"it does not say what was done on “{waiting[0].said[0][1]}”")
    return whole


def _layers_of(piece: _Piece) -> Iterator[ReadLayer]:
    layers = piece.of(LAYER)
    if not layers:
        if piece.of(SURFACE) or piece.months:
            word = next((words for one, words in piece.said if one.kind == SURFACE), "")
            on = f"was done on “{word}”" if word else "lasts so long"
            raise _Doubtful(f"it does not say what {on}")
        for one, words in piece.said:
            if one.kind != WORK:
                raise _Doubtful(f"“{words}” alone does not say what was done")
        return
    ready = next((words for one, words in piece.said if makes_ready(one)), "")
    if ready or piece.toward:
        raise _Doubtful(f"“{ready or 'for'}”: the layer may be still to come")
    doubtful = next((words for one, words in piece.said if doubtful_beside(one)), "")
    if doubtful and (_lasts_years(layers) or piece.of("beside")):
        raise _Doubtful(f"“{doubtful}”: it may speak of a layer that is there already")
    for (one, words), (then, more) in pairwise(piece.said):
        if one.kind == LAYER and washed_with(then):
            raise _Doubtful(f"“{words} {more}” may be one thing")
    if len(layers) > 1 or (piece.of(WORK) and piece.of(SURFACE)):
        raise _Doubtful("it is not clear what was put on where")
    yield from _classes(layers[0].what, piece.groups, piece.months)


def _classes(
    family: str, groups: frozenset[SurfaceGroup], months: int | None
) -> Iterator[ReadLayer]:
    """The layers of a family on these groups; none are named means on the usual ones."""
    if family in CLASSES:
        if months is not None and months > 12:
            raise _Doubtful(f"{family} does not last for years")
        one = ProtectionClass(family)
        if not groups <= CLASSES[one].groups:
            raise _Doubtful(f"{family} does not go on what is named")
        yield _layer(family, groups or usual_groups(family), months)
        return
    if family == SPRAY_WAX:
        put = groups or PAINT
        asks = "a spray wax may be a wax or a sealant"
        yield ReadLayer("Spray wax" + _where(put, PAINT), "", _sorted(put), asks)
        return
    for leaves, surfaces in (
        ("glass coating", GLASS),
        ("leather protectant", {SurfaceGroup.LEATHER}),
        ("fabric protector", {SurfaceGroup.FABRIC}),
    ):
        if groups & surfaces:
            yield _layer(leaves, groups & surfaces, months)
    rest = groups - GLASS - {SurfaceGroup.LEATHER, SurfaceGroup.FABRIC}
    if groups and not rest:
        return
    if family == GUARD:
        raise _Doubtful("“protection” may be anything there")
    if rest & {SurfaceGroup.TIRES} or (family == SEALANT and rest - PAINT):
        raise _Doubtful("what was put on there may be a sealant or a coating")
    if family == SEALANT:
        yield _layer("synthetic sealant", rest or usual_groups("synthetic sealant"), months)
    elif rest and not rest & PAINT:
        for group in sorted(rest):
            leaves = "wheel coating" if group == SurfaceGroup.WHEELS else "trim coating"
            yield _layer(leaves, {group}, months)
    else:
        yield _ceramic(family, rest or PAINT, months)


def _ceramic(family: str, groups: frozenset[SurfaceGroup], months: int | None) -> ReadLayer:
    years = None if months is None or months % 12 else months // 12
    leaves = _CLASS_OF_YEARS.get(years or 0, "")
    if leaves:
        return _layer(leaves, groups)
    asks = _NOT_SAID
    if months is not None:
        asks = f"there is no class of ceramic of {_time(months)}"
    name = "Ceramic coating" if family == CERAMIC else "Coating"
    return ReadLayer(name + _where(groups, PAINT), "", _sorted(groups), asks)


def _layer(leaves: str, groups: Iterable[SurfaceGroup], months: int | None = None) -> ReadLayer:
    """A layer of a known class; waxes and sealants that last far longer are something else."""
    put, asks = frozenset(groups), ""
    name, usual = leaves, frozenset(usual_groups(leaves))
    most = CLASSES[ProtectionClass(leaves)].high_days * 1.1
    if months and leaves in _SHORT_LIVED and months * DAYS_OF_MONTH > most:
        leaves, asks = "", f"no {leaves} lasts for {_time(months)}"
        months = None
    return ReadLayer(lasting(name, months) + _where(put, usual), leaves, _sorted(put), asks, months)


def lasting(protection: str, months: int | None) -> str:
    """A class with how long it lasts as its name: "Synthetic sealant 12 months"."""
    name = protection.capitalize()
    return name if months is None else f"{name} {_time(months)}"


def _time(months: int) -> str:
    return count_of(months, "month") if months % 12 else count_of(months // 12, "year")


def _sorted(groups: Iterable[SurfaceGroup]) -> tuple[str, ...]:
    return tuple(sorted(group.value for group in groups))


def usual_groups(protection: str) -> tuple[SurfaceGroup, ...]:
    """The surfaces that such a layer usually goes on; paint where it may go on more."""
    groups = CLASSES[ProtectionClass(protection)].groups
    return tuple(sorted((groups & PAINT) or groups))


def _where(groups: frozenset[SurfaceGroup], usual: frozenset[SurfaceGroup]) -> str:
    return "" if groups == usual else f" on {words_of_groups(groups)}"


def words_of_groups(groups: Iterable[str]) -> str:
    """Surfaces in a few words: "paint and wheels"."""
    left = {SurfaceGroup(group) for group in groups}
    words = []
    for word, whole in (("paint", PAINT), ("glass", GLASS)):
        if whole <= left:
            words.append(word)
            left -= whole
    words += [group.value for group in SurfaceGroup if group in left]
    return " and ".join(filter(None, [", ".join(words[:-1]), *words[-1:]]))

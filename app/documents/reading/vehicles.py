"""Reading vehicles in words: "2014 blue wagon, plate 7KLM 204", sizes, colors, where they stand.

No list of makers stands here on purpose: what is not a year, color, body word, plate or VIN stays
in the description, as the shop says it.
"""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import dataclass, replace

from app.calculations.numbers.wording import word_set
from app.documents.reading.grid import Cell, shown

COLORS = word_set(
    """black white silver gray grey blue red green yellow orange brown beige gold tan maroon purple
    burgundy bronze copper cream ivory pearl charcoal navy teal turquoise champagne pink violet
    graphite olive sand two-tone schwarz weiss weiß silber grau blau rot grün gruen gelb braun
    negro negra blanco blanca plata plateado gris azul rojo roja verde amarillo marron"""
)
# Postal codes of states and provinces, as they stand before or behind a plate.
STATES = word_set(
    """al ak az ar ca co ct de fl ga hi id il in ia ks ky la me md ma mi mn ms mo mt ne nv nh nj nm
    ny nc nd oh ok or pa ri sc sd tn tx ut vt va wa wv wi wy dc pr on qc bc ab mb sk ns nb nl pe"""
)
_SHADES = word_set("""dark light metallic pearl bright pale deep midnight matte satin med medium""")
# Body words and the size they usually mean; common practice, no source.
BODIES: dict[str, str] = {
    "roadster": "S", "two-seater": "S", "hatch": "M", "hatchback": "M", "subcompact": "S",
    "compact": "M", "sedan": "M", "saloon": "M", "coupe": "M", "coupé": "M",
    "convertible": "M", "cabrio": "M", "wagon": "M", "estate": "M", "crossover": "M", "sports": "S",
    "suv": "L", "minivan": "L", "pickup": "L", "pick-up": "L", "truck": "L", "ute": "L",
    "van": "XL", "rv": "XL", "motorhome": "XL", "camper": "XL", "bus": "XL", "dually": "XL",
    "motorcycle": "S", "bike": "S", "trailer": "", "boat": "", "limo": "XL", "limousine": "XL",
    "kombi": "M", "transporter": "XL", "lieferwagen": "XL", "cabriolet": "M",
    "furgoneta": "XL", "camioneta": "L", "berlina": "M", "car": "", "4x4": "L", "4wd": "",
    "classic": "", "hotrod": "", "kleinwagen": "S", "geländewagen": "L", "sportback": "M",
}  # fmt: skip
_SIZES = {
    "s": "S", "small": "S", "sm": "S", "klein": "S", "pequeno": "S", "pequeño": "S", "compact": "S",
    "m": "M", "medium": "M", "med": "M", "mid": "M", "midsize": "M", "mid-size": "M",
    "standard": "M", "regular": "M", "normal": "M", "mittel": "M", "mediano": "M",
    "l": "L", "large": "L", "lg": "L", "big": "L", "full": "L", "fullsize": "L", "full-size": "L",
    "gross": "L", "groß": "L", "grande": "L",
    "xl": "XL", "extra": "XL", "x-large": "XL", "xlarge": "XL", "oversize": "XL", "oversized": "XL",
    "xxl": "XL", "x-l": "XL",
}  # fmt: skip
_STANDS = (
    ("trees", r"(?:under )?trees?|b[aä]umen?"),
    ("garage", r"garage|indoors?|inside|heated|barn|unit|storage|tiefgarage|cochera"),
    ("carport", r"carport|covered|shelter|under cover|canopy"),
    (
        "street",
        r"street|outside|outdoors?|driveway|open|lot|curb|kerb|laternenparker|strasse|straße|calle",
    ),
)
_YEAR = re.compile(
    r"(?<![\w.,/$-])(?:'(?P<short>\d{2})|(?P<long>(?:19[0-9]|20[0-4])\d))(?![\w/.,]?\d)\b"
)
# What may stand before or in a maker's name and is none of it.
_NO_MAKE = word_set(
    """a an the his her their my our company family old new used work shop fleet wife husband son
    daughter customer client rental loaner spare second first number no unit with and of for"""
)
_MOST_OF_A_NAME = 4  # words of a maker and a model; common practice, no source
_VIN = re.compile(r"\b(?=[A-HJ-NPR-Z0-9]*\d)[A-HJ-NPR-Z0-9]{17}\b", re.IGNORECASE)
_PLATE = re.compile(
    r"[\s,;(\[-]*\b(?:license|licence|lic)?\.?\s*(?:plates?|tag|reg(?:istration)?|"
    r"lic(?:en[cs]e)?|kennzeichen|kz|"
    r"placas?|matr[ií]cula|pl)\b\.?\s*(?:no\.?|number|#|is|nr\.?)?\s*[:=#-]?\s*"
    r"(?P<parts>[A-ZÄÖÜ0-9]{1,8}(?:[ .·-]{1,2}[A-ZÄÖÜ0-9]{1,8}){0,4})\b[)\]]?",
    re.IGNORECASE,
)
_MOST_OF_A_PLATE = 9  # letters and digits; common practice, no source
_PARTS_OF_A_PLATE = 4
_BARE_PLATE = re.compile(
    r"(?<![\w-])(?=[A-Z0-9 -]*\d)(?=[A-Z0-9 -]*[A-Z])"
    r"(?:[A-Z]{2,3}[ -]?\d{3,4}[A-Z]?|\d[A-Z]{3}[ -]?\d{3}|\d{3}[ -]?[A-Z]{3}|"
    r"[A-Z]{2}\d{2} ?[A-Z]{3}|"
    r"[A-ZÄÖÜ]{1,3}-[A-Z]{1,2} ?\d{1,4}[EH]?)(?![\w-])"
)
_UNIT = re.compile(
    r"\b(?:unit|fleet|van|truck)\s*(?:no\.?|number|#)\s*(?P<unit>[A-Z]?\d{1,5})\b", re.IGNORECASE
)
_SPLIT = re.compile(
    r"\s*(?:;|\n|\s\+\s|\s&\s|\s/\s|\band also\b|\balso\b|(?<!\d)\b[12345][.)]\s)\s*"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class VehicleWords:
    """What a few words say of one vehicle."""

    description: str = ""
    year: int | None = None
    color: str = ""
    plate: str = ""
    plate_region: str = ""
    vin: str = ""
    fleet_unit: str = ""
    size: str = ""

    def says_something(self) -> bool:
        """True when there is enough to know a vehicle by."""
        return bool(self.description or self.plate or self.vin or self.fleet_unit)


def make_and_model(words: VehicleWords, makes: Collection[str] = ()) -> tuple[str, str]:
    """The maker and the model in a description; "" where it names none for sure.

    They are what is left of one stretch of it without colors and body words: at least two words as
    names are written, beside a year, plate or VIN, of which the first is the maker. One of `makes`
    (those in the book) is known in whatever capitals, alone too, and may have several words.
    """
    known = sorted(makes, key=len, reverse=True)
    for stretch in re.split(r"[,;.:()]", words.description):
        for make in known:
            match = re.search(rf"(?<!\w){re.escape(make)}(?!\w)", stretch, re.IGNORECASE)
            if match and make:
                return make[:60], " ".join(_named(stretch[match.end() :]))[:60]
    if not (words.year or words.plate or words.vin):
        return "", ""
    for stretch in re.split(r"[,;.:()]", words.description):
        named = _named(stretch)
        whole = all(word[0].isupper() or word[0].isdigit() for word in named)
        if (
            2 <= len(named) <= _MOST_OF_A_NAME
            and whole
            and named[0][0].isupper()
            and not any(word.casefold() in _NO_MAKE for word in named)
        ):
            return named[0][:60], " ".join(named[1:])[:60]
    return "", ""


def _named(stretch: str) -> list[str]:
    """The words of a stretch that are no color, shade or body."""
    return [
        word
        for word in stretch.split()
        if word.casefold() not in COLORS | _SHADES
        and word.casefold().removesuffix("s") not in BODIES
        and word.casefold() not in BODIES
    ]


def read_year(value: Cell) -> int | None:
    """A model year: 2014, '14, "2014.0"; None when it cannot be one."""
    if isinstance(value, bool):
        return None
    text = shown(value).strip().removesuffix(".0")
    match = re.fullmatch(r"'?(\d{2})|((?:19|20)\d{2})", text)
    if not match:
        return None
    if match.group(1):
        short = int(match.group(1))
        return 2000 + short if short < 40 else 1900 + short
    return int(text) if 1900 <= int(text) < 2050 else None


def read_size(text: str) -> str:
    """S, M, L or XL from a class or body word; "" when the words say none."""
    words = re.findall(r"[\wäöüß-]+", text.casefold())
    if not words:
        return ""
    if words[0] in ("extra", "x") or "xl" in words:
        return "XL"
    if words[0] in _SIZES:
        return _SIZES[words[0]]
    if re.search(r"\b(?:3|three|third)[ -]row", text, re.IGNORECASE):
        return "XL"
    sizes = (BODIES.get(word) or BODIES.get(word.removesuffix("s")) for word in words)
    return next((size for size in sizes if size), "")


def read_stands(text: str) -> str:
    """garage, carport or street; "" when the words say none."""
    low = text.casefold()
    for where, pattern in _STANDS:
        if re.search(rf"\b(?:{pattern})\b", low):
            return where
    return ""


def read_plate(value: Cell) -> tuple[str, str]:
    """A plate and its state, from a column of plates: "OH 7KLM 204", "7KLM204 (OH)"."""
    text = re.sub(r"\s+", " ", shown(value)).strip().strip("'")
    match = re.fullmatch(r"([A-Z]{2})[ :/]+(.{4,10})", text)
    if match and _is_state(match.group(1), match.group(2)):
        return match.group(2), match.group(1)
    match = re.fullmatch(r"(.{3,10}?)[ ,]*[(/,]\s*([A-Z]{2})\)?", text)
    if match:
        return match.group(1).strip(), match.group(2)
    return text[:20].upper() if len(text) <= 20 else "", ""


def _is_state(letters: str, rest: str) -> bool:
    """True when two letters before a plate are its state, and not the plate's own beginning.

    What is left must be a plate by itself: digits with letters, five places, or six digits.
    """
    bare = re.sub(r"[\W_]", "", rest)
    own = len(bare) >= 5 and bool(re.search(r"\d", bare)) and bool(re.search(r"[A-Z]", bare, re.I))
    # "PA CK 123" and "MA 12 Z" are whole plates of Germany and Ireland's kind.
    german = re.fullmatch(r"[A-ZÄÖÜ]{1,2}[ -]?\d{1,4}[EH]?", rest.strip(), re.IGNORECASE)
    return (
        letters.casefold() in STATES and not german and (own or (bare.isdigit() and len(bare) > 5))
    )


def _plate_in(parts: str, stands_alone: bool) -> tuple[str, str, str]:
    """The plate after its word, its state, and how the text of both begins; "" for none.

    Parts go on while they can belong to one plate: capitals and digits, or letters as they come
    where nothing follows them, no color or body word, no more places than a plate has.
    """
    tokens = list(re.finditer(r"[^\s.·-]+", parts))
    capitals = any(token.group().isupper() for token in tokens)
    taken = 0
    places = 0
    if len(tokens) > 1 and tokens[0].group().isupper() and len(tokens[0].group()) == 2:
        rest = parts[tokens[1].start() :]
        whole = _plate_in(rest, stands_alone)
        if whole[0] and _is_state(tokens[0].group(), whole[0]):
            return whole[0], tokens[0].group(), parts[: tokens[1].start()] + whole[2]
    for at, token in enumerate(tokens[:_PARTS_OF_A_PLATE]):
        word = token.group()
        low = word.casefold()
        if low in COLORS or low in BODIES or (len(word) > 1 and low in _SIZES):
            break
        loose = not word.isdigit() and not word.isupper() and not re.search(r"\d", word)
        if loose and (capitals or len(word) > 3 or not stands_alone):
            break
        if places + len(word) > _MOST_OF_A_PLATE:
            break
        if _YEAR.fullmatch(word) and at and _has_both(parts[: tokens[at - 1].end()]):
            break
        places += len(word)
        taken = at + 1
    told = parts[: tokens[taken - 1].end()] if taken else ""
    if not re.search(r"\d", told):
        return "", "", ""
    return told.upper(), "", told


def _has_both(text: str) -> bool:
    """Letters and digits: enough for a plate."""
    return bool(re.search(r"\d", text)) and bool(re.search(r"[A-Za-z]", text))


def read_vehicles(text: str, *, loose: bool = True) -> tuple[VehicleWords, ...]:
    """The vehicles that a cell speaks of.

    `loose` is for a column of vehicles, where every text is one. In notes (loose False) only a
    plate after its word, a VIN, a year with a color or body word, or a color with a body word
    counts as a vehicle.
    """
    read = [(part, _one(part)) for part in _parts(text)]
    told = [(part, words) for part, words in read if words.says_something()]
    if loose:
        return tuple(words for _, words in told)
    return tuple(_tidied(words) for part, words in told if _certain(part, words))


def _parts(text: str) -> list[str]:
    """The text cut where another vehicle may begin; a plate alone joins the part before it."""
    parts: list[str] = []
    for piece in _SPLIT.split(text.strip()):
        piece = piece.strip(" ,.-•*")
        if not piece:
            continue
        for again in _by_years(piece):
            only_plate = re.match(r"(?:plate|tag|lic|vin|reg)\b", again, re.IGNORECASE)
            bare = _BARE_PLATE.fullmatch(again)
            if (
                parts
                and (only_plate or bare or again.casefold() in COLORS)
                and not _PLATE.search(parts[-1])
            ):
                parts[-1] = f"{parts[-1]}, {again}"
            else:
                parts.append(again)
    return parts


def _by_years(piece: str) -> list[str]:
    """ "2014 blue wagon and 2018 grey van": a second year begins a second vehicle."""
    years = list(_YEAR.finditer(piece))
    if len(years) < 2:
        return [piece]
    starts = [0, *(match.start() for match in years[1:])]
    ends = [*starts[1:], len(piece)]
    cut = [piece[a:b] for a, b in zip(starts, ends, strict=True)]
    return [re.sub(r"(?:\band\b|\bund\b|,|&|\+)\s*$", "", part.strip()).strip(" ,") for part in cut]


def _one(part: str) -> VehicleWords:
    rest = part
    vin = plate = region = unit = ""
    match = _VIN.search(rest)
    if match:
        vin = match.group().upper()
        rest = re.sub(
            r"(?i)[\s,;(]*\b(?:vin\b[\s:#]*)?" + re.escape(match.group()) + r"\)?", " ", rest
        )
    match = _PLATE.search(rest)
    told = ("", "", "")
    if match:
        alone = not re.match(r"[\s.-]*\w", rest[match.end() :])
        told = _plate_in(match.group("parts"), alone)
    if match and told[0]:
        plate, region, _ = told
        end = match.start("parts") + len(told[2])
        rest = f"{rest[: match.start()]} {rest[end:].lstrip(')]')}"
    else:
        match = _BARE_PLATE.search(rest)
        if match and match.group().strip() != rest.strip():
            plate = match.group()
            before = re.search(r"(?:^|[\s,(])([A-Z]{2})[ -]$", rest[: match.start()])
            region = before.group(1) if before else ""
            rest = rest.replace(f"{region} {plate}" if region else plate, " ", 1)
    match = _UNIT.search(rest)
    if match:
        unit = match.group("unit")
    year = None
    match = _YEAR.search(rest)
    if match:
        year = read_year(match.group("short") or match.group("long"))
        rest = rest[: match.start()] + " " + rest[match.end() :]
    words = re.sub(r"\s+", " ", re.sub(r"[()\[\]]", " ", rest)).strip(" ,;.-:/")
    words = re.sub(r"\s+,", ",", words)
    if words.isupper() and re.fullmatch(_BARE_PLATE, words) and not plate:
        plate, words = words, ""
    return VehicleWords(
        description=words[:200],
        year=year,
        color=_color(words),
        plate=plate[:20],
        plate_region=region,
        vin=vin,
        fleet_unit=unit,
        size=read_size(words) if _body(words) else "",
    )


def _color(text: str) -> str:
    words = re.findall(r"[\wäöüß-]+", text.casefold())
    for index, word in enumerate(words):
        if word in COLORS or re.sub(r"(?:er|es|en|e|s)$", "", word) in COLORS:
            shade = words[index - 1] if index and words[index - 1] in _SHADES else ""
            return f"{shade} {word}".strip()
    return ""


def _body(text: str) -> str:
    for word in re.findall(r"[\wäöüß-]+", text.casefold()):
        if word in BODIES or word.removesuffix("s") in BODIES:
            return word
    return ""


def _certain(part: str, words: VehicleWords) -> bool:
    signs = [bool(words.year), bool(_body(words.description)), bool(words.color)]
    return bool(words.vin or (words.plate and _PLATE.search(part)) or sum(signs) >= 2)


def _tidied(words: VehicleWords) -> VehicleWords:
    """A description out of running notes: from the color or body word's neighborhood only."""
    text = words.description
    pieces = [piece.strip() for piece in re.split(r"[,.:]", text) if piece.strip()]
    colored = [piece for piece in pieces if _color(piece)]
    bodied = [piece for piece in pieces if _body(piece)]
    text = next(iter(colored or bodied or pieces), "")
    text = re.sub(
        r"(?i)^(?:(?:he|she|they|now|drives?|has|have|owns?|got|with|a|an|the|his|her|their|"
        r"my|our|customer|"
        r"client|car|vehicle|is|brings?|for|new|uses?)\s+)+(?=\S)",
        "",
        text,
    )
    return replace(words, description=text[:200])

"""Reading the words of the shelf: kinds of supply, protection classes, surfaces, hazards, spans."""

from __future__ import annotations

import re
from fractions import Fraction

from app.calculations.layers.protection import ProtectionClass
from app.documents.reading.grid import Cell, shown
from app.documents.reading.headings import heading_unit, plain

# Words of a name that tell how a supply is measured; common practice, no source.
_PIECES = re.compile(
    r"\b(?:towels?|pads?|mitts?|gloves?|applicators?|brush(?:es)?|discs?|sponges?|swabs?|"
    r"tapes?|masking|"
    r"bags?|mats?|covers?|bottles?|triggers?|sprayers?|labels?|cartridges?|respirators?|"
    r"masks?|goggles?|"
    r"films?|sheets?|rolls?|blocks?|filters?|batter(?:y|ies)|nozzles?|erasers?|cloths?|"
    r"rags?|chamois|"
    r"wipes|buckets?|guards?|plates?|hoses?|clips?|kits?|cans?|foggers?|clay ?bars?|clay|"
    r"blades?|suits?|"
    r"earplugs?|tags?|crayons?|packs|tücher|tuch|tuecher|handschuhe?|schwämme|pinsel|"
    r"bürsten?|panos?|"
    r"paños?|guantes?|esponjas?|cepillos?|almohadillas?)\b",
    re.IGNORECASE,
)
_PASTES = re.compile(
    r"\b(?:pastes?|carnauba paste|tins?|tubs?|hard wax|soft wax|powder|resin|granules|paste wax|"
    r"hartwachs|pulver|pasta|cera dura|polvo)\b",
    re.IGNORECASE,
)
_LIQUIDS = re.compile(
    r"\b(?:apc|wash|shampoo|soap|cleaner|cleanser|degreaser|remover|spray|sealant|coating|"
    r"polish|compound|dressing|"
    r"conditioner|protectant|protector|glaze|detailer|lubricant|lube|water|solvent|"
    r"alcohol|ipa|wipe|"
    r"disinfectant|rinse|detergent|primer|topper|solution|concentrate|reiniger|politur|"
    r"versiegelung|"
    r"limpiador|jab[oó]n|champ[uú])\b",
    re.IGNORECASE,
)
_KIND_WORDS = {
    "liquid": "liquid l fluid volume flussig flussigkeit liquido concentrate spray gel",
    "paste": "paste mass weight solid cream pasta powder fest wax compound",
    "piece": "piece pcs pc each ea count unit item stuck pieza unidad reusable disposable",
}

# Classes by the surface that they are made for come first, then the rest.
_FOR_A_SURFACE = (
    (
        "glass coating",
        r"(?:glass|windshield|window|scheiben).*(?:coat|seal|repel|versieg)|rain repellent",
    ),
    ("wheel coating", r"(?:wheel|\brims?\b|felgen).*(?:coat|seal|versieg|armor)"),
    ("trim coating", r"(?:trim|plastic|kunststoff).*(?:coat|restor|seal)"),
    ("leather protectant", r"leather.*(?:protect|coat|seal)|leder.*(?:schutz|versieg)"),
    (
        "fabric protector",
        r"(?:fabric|carpet|textil|upholstery|convertible top).*(?:protect|guard|coat|seal)",
    ),
    ("tire dressing", r"(?:tire|tyre|reifen).*(?:dress|shine|gloss|gel|glanz)"),
)
_CERAMIC_YEARS = re.compile(
    r"ceramic.*\b([1-9])[ -]?(?:year|yr|y)|\b([1-9])[ -]?(?:year|yr)s?.*(?:ceramic|coat)"
)
_OTHERWISE = (
    (
        "spray sealant",
        r"spray (?:sealant|coating)|ceramic spray|si ?o2|topper|quick sealant",
    ),
    (
        "carnauba wax",
        r"carnauba|paste wax|hard wax|(?<!spray )(?<!quick )\bwax\b|wachs|\bcera\b",
    ),
    ("synthetic sealant", r"sealant|synthetic|polymer|versiegelung|sellador"),
)
_NOT_A_LAYER = re.compile(
    r"remover|strip|cleaner|shampoo|wash|applicator|towel|pad\b|prep|wipe|polish|compound|"
    r"all[- ]in[- ]one",
    re.IGNORECASE,
)

_SURFACES: tuple[tuple[tuple[str, ...], str], ...] = (
    (("upper horizontals", "upper sides", "lowers"),
         r"all paint|paint(?:work|ed)?|body(?:work)?|whole (?:car|vehicle|body)|entire|full "
         r"(?:car|vehicle|body|exterior)|"
     r"exterior|everything|complete|lack|ganzes|pintura|carrocer[ií]a|\ball\b|outside"),
    (("upper horizontals",),
         r"upper horizontals?|horizontals?|roof|hood|bonnet|trunk|boot(?: lid)?|deck ?lid|"
         r"tops?\b|dach|haube|techo|cap[oó]"),
    (("upper sides",),
         r"upper sides?|\bsides\b|doors?|fenders?|wings?\b|quarters?|quarter panels?|"
         r"verticals?|t[uü]ren|puertas|pillars?"),
    (("lowers",),
         r"lowers?|rockers?|sills?|bumpers?|lower panels?|skirts?|schweller|sto(?:ss|"
         r"ß)f[aä]nger|parachoques"),
    (("front glass",), r"front glass|windshield|windscreen|frontscheibe|parabrisas|front screen"),
    (("other glass",),
        r"other glass|side glass|rear glass|side windows|rear "
        r"window|backlight|mirrors"),
    (("front glass", "other glass"), r"(?:all )?glass|windows?|scheiben|cristales|vidrios"),
    (("wheels",), r"wheels?|rims?|felgen|r[aä]der|llantas|calipers?"),
    (("trim",),
        r"trims?|plastics?|black plastics?|cladding|rubbers?|kunststoff\w*|molduras|"
        r"pl[aá]sticos"),
    (("leather",), r"leather|leder|cuero|leather seats"),
    (("fabric",), r"fabric|carpets?|cloth|upholstery|soft top|mats|textil|stoff|tela|tapicer[ií]a"),
    (("tires",), r"tires?|tyres?|reifen|neum[aá]ticos"),
)  # fmt: skip

_PICTOGRAM_WORDS: tuple[tuple[str, str], ...] = (
    ("GHS01", r"explod|bomb"),
    ("GHS03", r"flame over circle|oxidi[sz]"),
    ("GHS02", r"flam(?!e over)|flame"),
    ("GHS04", r"gas cylinder|cylinder|pressure"),
    ("GHS05", r"corros"),
    ("GHS06", r"skull|toxic(?! to)"),
    ("GHS07", r"exclamation|irritant|harmful"),
    ("GHS08", r"health hazard|health"),
    ("GHS09", r"environment|aquatic"),
)
_H_CODE = re.compile(
    r"\b(?:EUH|H|P)\s?\d{3}[A-Za-z]{0,2}(?:\s?\+\s?(?:H|P)\s?\d{3}[A-Za-z]{0,2})*", re.IGNORECASE
)
_MONTH, _YEAR = Fraction(3652425, 120000), Fraction(3652425, 10000)  # Gregorian means
_DAYS: dict[str, Fraction] = {
    **dict.fromkeys(["h", "hr", "hrs", "hour"], Fraction(1, 24)),
    **dict.fromkeys(["d", "day", "tag", "tage", "dia"], Fraction(1)),
    **dict.fromkeys(["w", "wk", "wks", "week", "woche", "wochen", "semana"], Fraction(7)),
    **dict.fromkeys(
        ["m", "mo", "mos", "mon", "mth", "month", "monat", "monate", "mes", "mese"], _MONTH
    ),
    **dict.fromkeys(["y", "a", "yr", "yrs", "year", "jahr", "jahre", "ano"], _YEAR),
}
_SPAN = re.compile(
    r"(?P<low>\d+(?:[.,]\d+)?)\s*(?:(?:-|–|to|bis|"
    r"a)\s*(?P<high>\d+(?:[.,]\d+)?))?\s*(?P<unit>[a-zäöüñ]+)?"
)


def kind_by_words(text: str) -> str:
    """liquid, paste or piece from a kind or category column; "" when it says none."""
    words = plain(text).split()
    for kind, known in _KIND_WORDS.items():
        if any(word in known.split() for word in words):
            return kind
    return ""


def kind_by_name(name: str) -> str:
    """liquid, paste or piece as the name suggests; "" when it suggests nothing."""
    # The thing itself stands last: "towel detergent" is a liquid, "wash mitt" a piece.
    found = []
    for kind, pattern in (("piece", _PIECES), ("paste", _PASTES), ("liquid", _LIQUIDS)):
        for match in pattern.finditer(name):
            found.append((match.end(), kind))
    if any(kind == "paste" for _, kind in found) and not any(kind == "piece" for _, kind in found):
        return "paste"
    return max(found)[1] if found else ""


def read_protection(text: str) -> str:
    """The protection class that a column or a name speaks of; "" when it leaves nothing."""
    known = {plain(one): one.value for one in ProtectionClass}
    low = text.casefold()
    found = known.get(plain(text)) or _class_in(low)
    if not found and re.search(r"ceramic|keramik|cer[aá]mic|coating", low):
        return "ceramic 2 year" if re.search(r"\b2", low) else "ceramic 1 year"
    return found


def protection_by_name(name: str) -> str:
    """The protection class that a supply's name alone suggests; a mere "coating" suggests none."""
    return "" if _NOT_A_LAYER.search(name) else _class_in(name.casefold())


def may_be_either(name: str) -> bool:
    """Whether a supply is called a wax that is sprayed on: it may be a wax or a sealant."""
    low = name.casefold()
    wax = re.search(r"\b(?:spray|quick)[ -]wax\b", low)
    return wax is not None and not _NOT_A_LAYER.search(name) and not _class_in(low)


def _class_in(low: str) -> str:
    years = _CERAMIC_YEARS.search(low)
    lasts = int(years[1] or years[2]) if years else 0
    ceramic = [(f"ceramic {min(lasts, 5) - (lasts == 4)} year", "")] if lasts else []
    classes = (*_FOR_A_SURFACE, *ceramic, *_OTHERWISE)
    return next((name for name, pattern in classes if re.search(pattern, low)), "")


def read_surfaces(text: str) -> tuple[str, ...]:
    """The surface groups that words name, in the usual order; empty when they name none."""
    low = text.casefold()
    found: list[str] = []
    for groups, pattern in _SURFACES:
        match = re.search(rf"\b(?:{pattern})", low)
        if match:
            found.extend(group for group in groups if group not in found)
            # "side glass" is not also "glass", "leather seats" no paint.
            low = re.sub(rf"\b(?:{pattern})", " ", low)
    order = [group for groups, _ in _SURFACES for group in groups]
    return tuple(sorted(found, key=order.index))


def read_hazards(text: str) -> tuple[str, ...]:
    """H, EUH and P codes in a cell, each once, as written on the safety data sheet."""
    codes = [re.sub(r"\s+", "", match.group()).upper() for match in _H_CODE.finditer(text)]
    return tuple(dict.fromkeys(codes))


def read_pictograms(text: str) -> tuple[str, ...]:
    """GHS pictogram codes from codes or symbol names."""
    low = text.casefold()
    codes = [f"GHS0{digit}" for digit in re.findall(r"ghs[ -]?0?([1-9])\b", low)]
    if not codes:
        codes = [code for code, pattern in _PICTOGRAM_WORDS if re.search(pattern, low)]
    return tuple(sorted(dict.fromkeys(codes)))


def read_signal_word(text: str) -> str:
    """danger, warning or ""."""
    low = text.casefold()
    if re.search(r"danger|gefahr|peligro", low):
        return "danger"
    if re.search(r"warn|achtung|atenci[oó]n", low):
        return "warning"
    return ""


def read_span(value: Cell, unit: str = "") -> tuple[int, int] | None:
    """A span of time in days, shortest and longest: "6-12 months", "2 yrs", 24 with its unit.

    A bare number is taken in `unit` (months where the heading says nothing).
    """
    text = shown(value).casefold()
    match = _SPAN.search(text)
    if not match:
        return None
    word = plain(match.group("unit") or "").rstrip(".")
    factor = _DAYS.get(word)
    if factor is None:
        factor = _DAYS.get(plain(heading_unit(unit) or unit) or "month", _DAYS["month"])
    low, high = (
        Fraction((match.group(name) or match.group("low")).replace(",", ".")) * factor
        for name in ("low", "high")
    )
    if high > 36525 or low > high:
        return None
    return max(round(low), 1), max(round(high), 1)

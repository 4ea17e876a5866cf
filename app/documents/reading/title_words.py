"""What the words of a job's title mean, in one table: layers, surfaces, work, and what gives doubt.

Whole words, British and American; all of it common practice, no source. A word that does not stand
here is not understood, and then nothing is read from the title: better no layer than a wrong one.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from app.calculations.layers.protection import PAINT, SurfaceGroup

# What a word is: a layer by its class or family, a surface, so many years, work without a layer,
# a word that says nothing, one that makes the whole title doubtful, and one that does so beside a
# coating ("ceramic wash" washes what is coated already).
LAYER, SURFACE, WORK, BARE, DOUBT, BESIDE = "layer", "surface", "work", "bare", "doubt", "beside"
# Families whose class the surface and the years decide.
CERAMIC, COATING, GUARD, SEALANT = "ceramic", "coating", "guard", "sealant"
SPRAY_WAX = "spray wax"


@dataclass(frozen=True, slots=True)
class Meaning:
    """A phrase: what it is and says, and why; `abrades` for work that takes the paint's layers off.

    `what` is a class or family of layer, the words of a service, or the groups with bars between.
    `indoors` is work that counts by the inside's size.
    """

    kind: str
    what: str
    pattern: re.Pattern[str]
    why: str = ""
    indoors: bool = False
    abrades: bool = False


def _of(kind: str, what: str, pattern: str, why: str = "", **more: bool) -> Meaning:
    return Meaning(kind, what, re.compile(rf"(?:{pattern})(?=$| )"), why, **more)


def _groups(*groups: SurfaceGroup) -> str:
    return "|".join(group.value for group in SurfaceGroup if group in groups)


_FILM = r"(?:paint protection film|ppf|clear bra)(?: (?:front|bumper|bonnet|hood|bumpers))*"
_NUMBER = {"two": r"(?:2|two|double)", "three": r"(?:3|three|triple)"}
_STEPS = r" (?:steps?|stages?|stg|stp)"
_CORRECT = (
    r"(?: (?:paint |machine )?(?:corrections?|polish(?:ed|ing)?|enhancement)(?: polish)?"
    r"| compound and polish)?"
)
_BEFORE_STAGE = r"(?:(?:paint |machine )?(?:correction|polish(?:ing)?) )?"
_ROOM = r"(?:int|interior|inside|cabin)"
_OUT = r"(?:ext|exterior|outside)"
_CLEAN = r"(?:clean|cleaned|cleaning|shampoo|shampooed|extraction|wet vac)"
_WASH = (
    r"(?:(?:safe|hand|basic|express|weekly|bi weekly|biweekly|fortnightly|monthly|full|quick|fleet|"
    rf"contact|regular|winter|summer|spring|2 bucket|two bucket|{_OUT}) )*wash"
    r"(?: (?:down|only)| and dry)?"
)
_DETAIL = r"(?:detail|detailing|valet|valeting)"

MEANINGS: tuple[Meaning, ...] = (
    # Layers. Longer phrases go before shorter ones wherever both fit.
    _of(LAYER, CERAMIC, r"(?:nano |pro |full )?(?:ceramic|cer)(?: paint)?(?: coating| coat)?"),
    _of(LAYER, COATING, r"coating|coat", "its years and surface say which"),
    _of(LAYER, SPRAY_WAX, r"(?:spray|quick) wax", "it may be a wax or a sealant"),
    _of(LAYER, "spray sealant",
        r"(?:spray sealant|(?:sio2|si o2|ceramic) spray(?: sealant)?|spray ceramic)",
        "ceramic that is sprayed on and wiped off lasts like a spray sealant"),
    _of(LAYER, SEALANT, r"(?:paint |synthetic |polymer )?(?:sealant|seal|sealed)"),
    _of(LAYER, "carnauba wax",
        r"(?:hand |natural )?(?:carnauba(?: paste)?|paste|hard|soft|liquid)? ?wax(?:ed)?|carnauba"),
    _of(LAYER, GUARD, r"protection|protectant|protect|protected|guard|treatment",
        "on leather, fabric or glass it is a layer; on paint it may be anything"),
    _of(LAYER, "glass coating", r"rain repellent"),
    _of(LAYER, "tire dressing", r"tires? (?:dressing|dressed|shine|gel)|dress tires?"),
    # Surfaces.
    _of(SURFACE, _groups(*PAINT), r"paint|paintwork|body|bodywork"),
    _of(SURFACE, "upper horizontals", r"(?:hood|bonnet|roof)(?: only)?"),
    _of(SURFACE, "front glass", r"windshield|windscreen|front glass|front screen"),
    _of(SURFACE, "front glass|other glass", r"(?:all )?glass|windows?"),
    _of(SURFACE, "other glass", r"(?:side|rear) (?:glass|windows?)"),
    _of(SURFACE, "wheels", r"(?:alloy )?wheels?|rims?|alloys?|wheel faces"),
    _of(SURFACE, "trim", r"(?:plastic |black |exterior )?trim|plastics"),
    _of(SURFACE, "leather", r"leather(?: seats)?"),
    _of(SURFACE, "fabric", r"fabric|upholstery|carpets?|cloth|mats|soft top|fabric roof"),
    # Work that leaves no layer. Correction takes off what stood on the paint.
    *(_of(WORK, f"{number.capitalize()}-step polish",
          rf"(?:{words}{_STEPS}|{_BEFORE_STAGE}stage {words[3]}){_CORRECT}", abrades=True)
      for number, words in _NUMBER.items()),
    _of(WORK, "One-step polish",
        rf"(?:(?:1|one|single){_STEPS}|{_BEFORE_STAGE}stage 1){_CORRECT}", abrades=True),
    _of(WORK, "Paint correction", r"(?:multi(?: step| stage) )?paint correction|full correction",
        abrades=True),
    _of(WORK, "Machine polish",
        r"machine polish(?:ed|ing)?(?: single stage)?|enhancement(?: polish)?", abrades=True),
    _of(WORK, "Compound and polish", r"(?:compound|cut)(?: and polish)?|buff", abrades=True),
    _of(WORK, "Wet sanding", r"wet sand(?:ing)?", abrades=True),
    _of(WORK, "Polish", r"(?:hand )?polish", "by hand it may take little off"),
    _of(WORK, "Wash", _WASH),
    _of(WORK, "Wash and vacuum", rf"{_WASH} and vac(?:uum)?"),
    _of(WORK, "Strip wash", r"strip wash"),
    _of(WORK, "Snow foam", r"snow foam"),
    _of(WORK, "Decontamination",
        r"(?:iron )?(?:decon|decontamination)(?: wash)?"
        r"|(?:iron|fallout|tar|sap|overspray) removal"),
    _of(WORK, "Clay", r"clay(?: bar(?:red)?)?|clayed"),
    _of(WORK, "Water spot removal", r"water spot removal(?: on glass)?"),
    _of(WORK, "Interior {detail}",
        rf"(?:full |deep |complete )?{_ROOM}(?: only)?(?: {_DETAIL}| (?:deep )?clean)?"
        rf"|deep clean {_ROOM}", indoors=True),
    _of(WORK, "Exterior {detail}", rf"(?:full )?{_OUT}(?: only)?(?: {_DETAIL}| clean)?"),
    _of(WORK, "Full {detail}",
        rf"(?:full |complete )?(?:{_ROOM} and {_OUT}|{_OUT} and {_ROOM}|in and out)(?: {_DETAIL})?"
        rf"|(?:full|complete|show|new car) {_DETAIL}"),
    _of(WORK, "Mini {detail}", rf"(?:mini|express) {_DETAIL}"),
    _of(WORK, "Maintenance {detail}", rf"(?:maintenance|maint) {_DETAIL}"),
    _of(WORK, "Pre-sale {detail}", rf"(?:pre )?sale {_DETAIL}"),
    _of(WORK, "Maintenance wash", rf"(?:(?:bi )?(?:weekly|monthly) )?(?:maintenance|maint) {_WASH}"
        r"|(?:ceramic|coating) (?:(?:maintenance|maint|aftercare|safe) )?wash"
        r"|coated (?:car|vehicle) wash|wash for (?:ceramic )?coated (?:car|vehicle)"),
    _of(WORK, "Preparation", r"(?:new car|show|sale|pre sale) prep|prep"),
    _of(WORK, "Engine bay", r"engine(?: bay)?(?: clean| detail)?"),
    _of(WORK, "Leather care",
        r"leather (?:cleaned|clean|conditioning|conditioned|condition|feed|care)"
        r"(?: and (?:conditioning|condition|feed))?", indoors=True),
    _of(WORK, "Carpet shampoo", rf"(?:carpets?|upholstery|mats|fabric) {_CLEAN}", indoors=True),
    _of(WORK, "Seat shampoo", rf"(?:wet vac |shampoo )seats|seats? {_CLEAN}", indoors=True),
    _of(WORK, "Soft top clean", r"soft top clean(?:ed)?"),
    _of(WORK, "Steam cleaning", r"steam(?: clean(?:ing|ed)?)?", indoors=True),
    _of(WORK, "Vacuum", r"(?:vac|vacuum)(?: only)?", indoors=True),
    _of(WORK, "Pet hair removal", r"pet hair(?: removal)?", indoors=True),
    _of(WORK, "Odor removal", r"(?:smoke )?odor (?:removal|treatment)|ozone", indoors=True),
    _of(WORK, "Headlight restoration",
        r"head(?:light|lamp)s?(?: (?:restoration|restored|polish))?(?: x ?2)?"),
    _of(WORK, "Trim restoration", r"trim (?:restore|restored|restoration)"),
    _of(WORK, "Wheel clean", r"wheels? (?:clean|cleaned|off)"),
    _of(WORK, "Glass polish", r"(?:glass polish|polish glass)"),
    _of(WORK, "Glass clean", r"(?:all )?(?:glass|windows?) clean(?:ed)?"),
    _of(WORK, "Paint protection film", _FILM, "film is none of the classes of layer"),
    _of(WORK, "Window tint", r"(?:window )?tint"),
    # Words that say nothing of what was done.
    _of(BARE, "",
        r"and|on|to|for|of|the|a|all|both|full|complete|apply|applied|application|job|done|service|"
        r"package|car|truck|suv|van|sedan|coupe|estate|hatchback|pickup|wagon|small|medium|large|xl|"
        r"new|reapplied|(?:x ?)?(?:1|2|3|one|two|three) (?:coats?|layers?)"),
    # Words that make doubtful whether the rest was put on at all.
    _of(DOUBT, "it speaks of an offer, not of work",
        r"quote|quoted|quotation|estimate|enquiry|inquiry|consult|consultation|deposit|voucher|"
        r"gift|price|discussed|wants|interested|recommend|recommended|next"),
    _of(DOUBT, "it does not say what was sealed", r"seal(?:ed)? \?"),
    _of(DOUBT, "it leaves open which", r"\?|maybe|possibly|if|or|optional|tbc|tbd"),
    _of(DOUBT, "something was left out",
        r"no|not|without|excl|excluding|except|minus|less|declined|refused|cancelled|canceled|skip|"
        r"skipped|instead|just|none"),
    _of(DOUBT, "something may have been taken off",
        r"removal|remove|removed|removing|strip|stripped|stripping"),
    _of(DOUBT, "it may speak of a vehicle that is coated already", r"coated"),
    _of(DOUBT, "what the package holds is not said", r"gold|silver|bronze|platinum|special|deal"),
    _of(DOUBT, "it may be part of earlier work", r"redo|warranty|touch up|second|again|insurance"),
    _of(BESIDE, "it may speak of a layer that is there already",
        r"maintenance|maint|inspection|check|care|aftercare|annual|yearly|top up|topup|top|boost|"
        r"booster|refresh|ready|test|sample|topper|hybrid|visit|year"),
)  # fmt: skip
# Work beside which a coating without a comma between is doubtful: what is washed, polished or made
# ready may be coated already. A wax or sealant before the first of it is what was washed with, or
# what the shop made ready for.
_DOUBTFUL_WORK = frozenset(
    {
        "Wash", "Maintenance wash", "Wash and vacuum", "Decontamination", "Preparation",
        "Polish", "Machine polish", "Compound and polish", "Wet sanding",
    }
)  # fmt: skip
_WASHED_WITH = frozenset({"Wash", "Wash and vacuum", "Decontamination", "Snow foam", "Polish"})
# Work with which no layer is read at all: a headlight is sealed and coated too. And work on other
# places than the paint, after which it must be said what the layer was put on.
NEVER_TOGETHER = frozenset({"Headlight restoration"})
ELSEWHERE = frozenset(
    {
        "Engine bay", "Leather care", "Carpet shampoo", "Seat shampoo", "Soft top clean",
        "Trim restoration", "Wheel clean", "Glass polish", "Glass clean", "Window tint",
    }
)  # fmt: skip
COAT_FAMILIES = frozenset({CERAMIC, COATING})


# Long words of the trade in which one letter may be wrong ("sealent", "ceramc").
_LONG = (
    "ceramic", "sealant", "coating", "correction", "carnauba", "interior", "exterior",
    "maintenance", "decontamination", "windscreen", "windshield",
)  # fmt: skip


def respelt(word: str) -> str:
    """The long word that one wrong letter made of this one, or ""."""
    near = (known for known in _LONG if known[0] == word[:1] and _one_letter_off(word, known))
    return next(near, "")


def _one_letter_off(one: str, other: str) -> bool:
    """True where one letter is missing, too many, another, or two have changed places."""
    at = next((i for i, (a, b) in enumerate(zip(one, other, strict=False)) if a != b), None)
    if at is None:
        return abs(len(one) - len(other)) == 1
    swapped = one[at + 1 : at + 2] + one[at : at + 1] + one[at + 2 :]
    return other[at:] == swapped or any(
        one[at + more :] == other[at + less :] for more, less in ((0, 1), (1, 0), (1, 1))
    )


def doubtful_beside(meaning: Meaning) -> bool:
    """True for a word that makes a coating in the same breath doubtful."""
    return meaning.kind == BESIDE or meaning.what in _DOUBTFUL_WORK


def makes_ready(meaning: Meaning) -> bool:
    """True for work before a layer, which may come another day."""
    return meaning.what == "Preparation"


def washed_with(meaning: Meaning) -> bool:
    """True for work that a word of wax or sealant before it only describes."""
    return meaning.what in _WASHED_WITH


def longest(text: str) -> tuple[Meaning, int] | None:
    """The meaning of the longest phrase that the text begins with, and its length."""
    found = [(match.end(), one) for one in MEANINGS if (match := one.pattern.match(text))]
    if not found:
        return None
    length, meaning = max(found, key=lambda pair: pair[0])
    return meaning, length

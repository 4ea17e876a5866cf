"""Reading people: names in their orders, telephone numbers, mail addresses, postal addresses."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from app.calculations.numbers.wording import word_set
from app.documents.reading.grid import Cell, shown
from app.documents.reading.headings import plain

_FIRM = re.compile(
    r"\b(?:llc|l\.l\.c|inc|incorporated|ltd|limited|corp|corporation|company|co|llp|plc|gmbh|ag|kg|"
    r"ohg|e\.k|s\.?l|s\.?a|fleet|motors|rentals?|dealership|club|church|school|city of|county of|"
    r"town of|department|dept|association|partners|services|enterprises|group|logistics|plumbing|"
    r"electric|roofing|landscaping|bakery|catering|couriers?|delivery|realty|construction|"
    r"museum|foundation|agency|center|centre|garage|farms?|dairy|nursery|florist|taxi|cabs?|"
    r"bros|brothers|gebr(?:üder)?|hermanos|hnos|builders?|contractors|contracting|transport|haulage|"
    r"trucking|towing|movers|freight|spedition|hire|hotel|motel|restaurant|caf[eé]|clinic|dental|"
    r"surgery|veterinary|solicitors|attorneys|lawyers|architects|law (?:firm|office)s?|kanzlei|"
    r"praxis|apotheke|pharmacy|b[aä]ckerei|metzgerei|schreinerei|tischlerei|malerbetrieb|autohaus|"
    r"werkstatt|betrieb|handwerk|stiftung|verein|e\.v|gbr|kgaa|s\.l\.u|taller|panader[ií]a|"
    r"council|university|college|hospital|institute|insurance|properties|holdings|industries|"
    r"wholesale|supply|supplies|imports|cleaning|heating|electrical|painting|carpentry|joinery|"
    r"masonry|glazing|security|solutions|systems|consulting|studios?|limousines?|limos?|"
    r"auto (?:sales|body|repair|parts)|car sales|detailing|body ?shop)\b\.?|"
    r"(?:&|\+|\band\b|\bund\b|\by\b|\be\b)\s*(?:sons?|daughters?|co|partners?|associates|"
    r"s[oö]hne?|t[oö]chter|hijos?|hijas?)\b",
    re.IGNORECASE,
)
_SUFFIX = re.compile(r"^(?:jr|sr|ii|iii|iv|md|m\.d|phd|ph\.d|esq|dds|cpa|ret)\.?$", re.IGNORECASE)
_PREFIX = re.compile(
    r"^(?:mr|mrs|ms|miss|mx|dr|prof|rev|sir|mr\.? (?:&|and) mrs|herr|frau|sr|sra|srta|don|"
    r"dona)\.?\s+",
    re.IGNORECASE,
)
_AND = re.compile(r"\s*(?:&|\+|/|\band\b|\bund\b|(?-i:\by\b))\s*", re.IGNORECASE)
_MAIL = re.compile(r"[^\s,;<>()\[\]|\"']+@[^\s,;<>()\[\]|\"']+")
_PHONE_WORDS = re.compile(
    r"\b(?:phone|tel(?:ephone)?|mob(?:ile)?|cell|home|work|office|fax|call|text|best|main|direct|"
    r"or|and|handy|privat|ph|m|h|w|c|o)\b\.?:?",
    re.IGNORECASE,
)
_YES = word_set(
    """yes y yeah yep true t 1 x ✓ ✔ ✅ ok okay on checked ja j si s oui o active positive allowed
    sure given opted-in in"""
)
_NO = word_set(
    """no n nope false f 0 ✗ ✘ ❌ off never nein non not none unchecked stop stopped opted-out out
    dnc unsubscribed refused denied"""
)
_CHANNELS = {
    "letter": "letter post mail(post) postal postcard card snail brief carta correo(postal)",
    "mail": "email e-mail mail emails mailto correo correo-e",
    "phone": "phone call calls telephone tel landline voice anruf telefon llamada telefono ring",
    "text": "text sms texts texting message mensaje nachricht cell mobile",
}


@dataclass(frozen=True, slots=True)
class Phones:
    """Numbers found in a cell: E.164 where readable, what was typed, and sentences' tails."""

    numbers: tuple[str, ...] = ()
    typed: tuple[str, ...] = ()
    extra: str = ""  # words beside the numbers: "ask for Kim", "ext. 12"
    trouble: str = ""


@dataclass(frozen=True, slots=True)
class Mails:
    """Addresses found in a cell, and what of it could not be read."""

    addresses: tuple[str, ...] = ()
    trouble: str = ""


@dataclass(frozen=True, slots=True)
class Address:
    """A postal address in its parts."""

    street: str = ""
    city: str = ""
    region: str = ""
    postal_code: str = ""
    country: str = ""

    def shortened(self) -> Address:
        """The same, no longer than the book keeps its parts."""
        return Address(
            self.street[:200], self.city[:100], self.region[:60], self.postal_code[:20],
            self.country[:60],
        )  # fmt: skip


def all_phones(values: Iterable[Cell], region: str) -> tuple[Phones, list[str]]:
    """Every telephone number of several cells, each once, and what could not be read.

    Where a number cannot be read it is kept as typed; the words beside are joined in `extra`.
    """
    found: dict[str, str] = {}
    read = [read_phones(value, region) for value in values]
    for one in read:
        for number, typed in zip(one.numbers or one.typed, one.typed, strict=False):
            found.setdefault(number, typed)
    extra = ", ".join(one.extra for one in read if one.extra)
    troubles = [one.trouble for one in read if one.trouble]
    return Phones(tuple(found), tuple(found.values()), extra), troubles


def read_yes(value: Cell) -> bool | None:
    """Yes or no in words, signs or numbers; None when it says neither."""
    if isinstance(value, bool):
        return value
    word = shown(value).strip().casefold().rstrip(".!")
    if not word:
        return None
    word = re.sub(r"^(opted) (in|out)$", r"\1-\2", word)
    if word in _YES or re.match(r"(?:yes|ok|ja|sí|si)\b", word):
        return True
    if word in _NO or re.match(r"(?:no|not|nein|stop|don'?t|do not|never)\b", word):
        return False
    return None


def read_channel(value: Cell) -> str:
    """letter, mail, phone or text; "" when the words say none of them."""
    text = shown(value).casefold()
    words = re.findall(r"[a-z-]+", text)
    for channel in ("text", "phone", "letter", "mail"):
        known = _CHANNELS[channel].split()
        if channel == "mail" and {"snail", "post", "postal", "us"} & set(words):
            return "letter"
        if any(word in known for word in words):
            return channel
    return ""


@lru_cache(maxsize=50_000)
def is_firm_name(name: str) -> bool:
    """True when a name reads like a firm's."""
    return _FIRM.search(name) is not None


def read_name(text: str) -> tuple[str, bool]:
    """A name in its natural order, and whether it is a firm's.

    "Miller, Ann" is Ann Miller; "Miller, Ann & Bob" is Ann & Bob Miller; "Hill Bakery, Inc." and
    "Ann Miller, Jr." keep their order.
    """
    text = " ".join(text.replace("\n", " ").split()).strip(" ,;")
    if text.count(",") == 1:
        last, first = (part.strip() for part in text.split(","))
        if (
            first
            and last
            and not is_firm_name(text)
            and not _SUFFIX.match(first)
            and len(last.split()) <= 3
            and len(first.split()) <= 6
            and not re.search(r"\d", text)
        ):
            suffix = ""
            words = last.split()
            if len(words) > 1 and _SUFFIX.match(words[-1]):
                last, suffix = " ".join(words[:-1]), f" {words[-1]}"
            return f"{first} {last}{suffix}", False
    return text, is_firm_name(text)


def joined_name(first: str, last: str) -> str:
    """A name from its two columns."""
    first, last = first.strip(" ,"), last.strip(" ,")
    if first and last and plain(last) in plain(first).split() and len(first.split()) > 1:
        return first
    return f"{first} {last}".strip()


def people_of(name: str) -> tuple[str, ...]:
    """The single persons that a name speaks of: lower case, no titles, else as written.

    "Ann & Bob Miller" gives "ann miller" and "bob miller".
    """
    name = _PREFIX.sub("", name.strip()).casefold()
    parts = [_PREFIX.sub("", part.strip()) for part in _AND.split(name) if part.strip()]
    if len(parts) < 2 or is_firm_name(name):
        return (name,)
    last = parts[-1].split()[-1] if len(parts[-1].split()) > 1 else ""
    return tuple(part if len(part.split()) > 1 else f"{part} {last}" for part in parts)


def read_phones(value: Cell, region: str) -> Phones:
    """The telephone numbers in a cell, in whatever writing; one typed as a number too."""
    text = f"{value:.0f}" if isinstance(value, float) else shown(value)
    return _phones(re.sub(r"^(\d{7,15})\.0$", r"\1", text.strip()), region)


@lru_cache(maxsize=20_000)
def _phones(text: str, region: str) -> Phones:
    import phonenumbers

    if not text:
        return Phones()
    text = re.sub(r"^tel:", "", text, flags=re.IGNORECASE)
    numbers: list[str] = []
    typed: list[str] = []
    rest = text
    extensions: list[str] = []

    def take(number: phonenumbers.PhoneNumber, raw: str) -> bool:
        reason = phonenumbers.is_possible_number_with_reason(number)
        if reason != phonenumbers.ValidationResult.IS_POSSIBLE:
            return False
        told = phonenumbers.format_number(number, phonenumbers.PhoneNumberFormat.E164)
        if told not in numbers:
            numbers.append(told)
            typed.append(raw.strip())
        if number.extension:
            extensions.append(f"ext. {number.extension}")
        return True

    if len(text) <= 40 and sum(c.isdigit() for c in text) >= 4:
        try:
            whole = re.sub(r"^\s*(?:00|011[\s-])(?=\d)", "+", text)
            if take(phonenumbers.parse(whole, region), text):
                return Phones(tuple(numbers), tuple(typed), ", ".join(extensions))
        except phonenumbers.NumberParseException:
            pass
    found = list(
        phonenumbers.PhoneNumberMatcher(
            text[:500], region, leniency=phonenumbers.Leniency.POSSIBLE, max_tries=200
        )
    )
    missed: list[str] = []
    for match in found:
        if not take(match.number, match.raw_string):
            missed.append(match.raw_string.strip())
        rest = rest.replace(match.raw_string, " ", 1)
    extra = re.sub(r"\s+", " ", _PHONE_WORDS.sub(" ", rest)).strip(" ,;:/-()|&.")
    notes = [*extensions]
    if extra and re.search(r"[A-Za-z]{2}", extra):
        notes.append(extra)
    if numbers:
        trouble = f"“{missed[0]}”" if missed else ""
        return Phones(tuple(numbers), tuple(typed), ", ".join(notes), trouble)
    if not re.search(r"\d", text):
        return Phones(extra=text)
    # A number without its area code and the like: kept as it was typed, to be called by a person.
    kept = missed[0] if missed else text[:40]
    return Phones((), (kept,), ", ".join(notes) if missed else "", f"“{kept[:40]}”")


def read_mails(value: Cell) -> Mails:
    """The mail addresses in a cell, checked for their form only; nothing is looked up."""
    return _mails(shown(value))


@lru_cache(maxsize=20_000)
def _mails(text: str) -> Mails:
    from email_validator import EmailNotValidError, validate_email

    text = re.sub(r"\s*(?:\(at\)|\[at\])\s*", "@", text.strip(), flags=re.IGNORECASE)
    if not text:
        return Mails()
    good: list[str] = []
    bad = ""
    found = _MAIL.findall(text.replace("mailto:", ""))
    for address in found:
        address = address.strip(".:,")
        try:
            told = validate_email(
                address, check_deliverability=False, test_environment=True
            ).normalized
        except EmailNotValidError:
            bad = bad or f"“{address[:60]}”"
            continue
        if told.casefold() not in (known.casefold() for known in good):
            good.append(told)
    if not found:
        bad = f"“{text[:60]}”"
    return Mails(tuple(good), bad)


_ZIP = r"\d{5}(?:-\d{4})?"
_TAILS = (
    re.compile(rf"^(?P<city>[^,\d]+?),?\s+(?P<region>[A-Z]{{2}})\.?,?\s+(?P<zip>{_ZIP})$"),
    re.compile(r"^(?P<city>[^,\d]+?),?\s+(?P<zip>[A-Z]{1,2}\d[A-Z\d]? ?\d[A-Z]{2})$"),
    re.compile(r"^(?:[A-Z]{1,2}-)?(?P<zip>\d{4,5})\s+(?P<city>[^,\d]+)$"),
    re.compile(r"^(?P<city>[^,\d]+?),\s*(?P<region>[A-Z]{2})\.?$"),
    re.compile(
        rf"^(?P<city>[^,\d]+?),?\s+(?P<region>[A-Z][a-z]+(?: [A-Z][a-z]+)?)\s+(?P<zip>{_ZIP})$"
    ),
)


def read_city_line(text: str) -> Address:
    """ "Millbrook, OH 43001", "43001 Millbrook": city, state and postal code from one line."""
    text = " ".join(text.split()).strip(" ,")
    for pattern in _TAILS:
        match = pattern.match(text)
        if match:
            parts = match.groupdict()
            city, zip_code = parts["city"].strip(" ,"), parts.get("zip", "")
            return Address("", city, parts.get("region", ""), zip_code)
    return Address(city=text)


def read_address(text: str) -> Address:
    """A whole postal address in one cell, in its parts; what is not understood stays street."""
    parts = [part.strip(" ,") for part in re.split(r"\n|;|\|", text) if part.strip(" ,")]
    if len(parts) == 1:
        parts = [part.strip() for part in parts[0].split(",") if part.strip()]
    country = ""
    if len(parts) > 1 and re.fullmatch(
        r"usa|u\.s\.a\.?|us|united states(?: of america)?|uk|united kingdom|england|deutschland|"
        r"germany|españa|espana|spain|canada|australia|austria|österreich",
        parts[-1],
        re.IGNORECASE,
    ):
        country = parts.pop()
    for start in range(1, len(parts)):
        tail = ", ".join(parts[start:])
        found = read_city_line(tail)
        if found.postal_code or found.region:
            return Address(
                ", ".join(parts[:start]), found.city, found.region, found.postal_code, country
            )
    if len(parts) == 1:
        # "12 Mill Lane Millbrook OH 43001": only the end can be told for sure.
        match = re.match(rf"^(.*?)[,\s]+([A-Z]{{2}})\.?[,\s]+({_ZIP})$", parts[0])
        if match:
            return Address(match.group(1), "", match.group(2), match.group(3), country)
        return Address(parts[0], country=country)
    if len(parts) >= 2 and not re.search(r"\d", parts[-1]):
        return Address(", ".join(parts[:-1]), parts[-1], country=country)
    return Address(", ".join(parts), country=country)


def read_postal_code(value: Cell, region: str) -> str:
    """A postal code as text; a US one that lost its leading zero as a number gets it back."""
    text = shown(value).strip()
    if region == "US" and re.fullmatch(r"\d{3,4}", text) and not isinstance(value, str):
        return text.zfill(5)
    if region == "US" and re.fullmatch(r"\d{9}", text):
        return f"{text[:5]}-{text[5:]}"
    return re.sub(r"\.0$", "", text)

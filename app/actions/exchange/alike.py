"""When two spellings mean the same person, vehicle or thing."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection
from difflib import SequenceMatcher
from functools import lru_cache
from itertools import pairwise

from app.calculations.numbers.wording import word_set
from app.documents.reading.people import is_firm_name, people_of

# Short forms of given names in English; from memory, common use.
_SHORT = (
    "robert bob rob bobby|william bill will billy|elizabeth liz beth lisa betty|"
    "katherine kate kathy katie cathy catherine|michael mike mick|james jim jimmy jamie|"
    "thomas tom tommy|richard rick dick rich|anthony tony|john jack johnny|"
    "charles chuck charlie|edward ed eddie ted|joseph joe joey|daniel dan danny|david dave|"
    "steven steve stephen|matthew matt|christopher chris|patricia pat patty tricia|"
    "margaret maggie peggy meg|susan sue suzy|deborah deb debbie|barbara barb|"
    "jennifer jen jenny|samuel sam|samantha sam|alexander alex|benjamin ben|nicholas nick|"
    "gregory greg|jeffrey jeff|kenneth ken|lawrence larry|ronald ron|donald don|"
    "timothy tim|andrew andy drew|peter pete|philip phil|raymond ray|rebecca becky|"
    "theodore ted|victoria vicky|jessica jess|abigail abby|amanda mandy|frederick fred|"
    "gerald jerry|leonard len|nathaniel nate"
)
_GROUPS: dict[str, set[int]] = {}
for _index, _group in enumerate(_SHORT.split("|")):
    for _name in _group.split():
        _GROUPS.setdefault(_name, set()).add(_index)
_RANKS = word_set("jr jnr junior sr snr senior ii iii iv")
_FIRM_ENDS = re.compile(
    r"\b(?:llc|inc|incorporated|ltd|limited|corp|corporation|co|company|gmbh|plc|the)\b"
)


@lru_cache(maxsize=50_000)
def plain_name(text: str) -> str:
    """A name or label as compared: no case, accents, punctuation or double spaces."""
    text = unicodedata.normalize("NFKD", text.casefold())
    text = "".join(c for c in text if not unicodedata.combining(c))
    return " ".join(re.findall(r"[^\W_]+", text.replace("'", "").replace("’", "")))


@lru_cache(maxsize=50_000)
def persons(name: str) -> tuple[str, ...]:
    """The persons in a name, as compared; a firm is one, without its legal form."""
    if is_firm_name(name):
        plain = " ".join(_FIRM_ENDS.sub(" ", plain_name(name)).split())
        return (plain or plain_name(name),)
    return tuple(plain_name(person) for person in people_of(name))


def same_name(one: str, other: str) -> bool:
    """The same name but for case, accents, the order of its words and a firm's legal form."""
    return called(one) == called(other)


@lru_cache(maxsize=50_000)
def called(name: str) -> frozenset[frozenset[str]]:
    """What two names must share to be the same: the words of each person."""
    return frozenset(frozenset(person.split()) for person in persons(name))


def bare_person(person: str) -> str:
    """A person without what tells a father from a son: "dan frost" of "dan frost jr"."""
    words = person.split()
    return " ".join(words[:-1]) if len(words) > 2 and words[-1] in _RANKS else person


def ranks_differ(one: str, other: str) -> bool:
    """Two names that only "Jr." and the like tell apart: relations, as a rule, not one person."""
    if is_firm_name(one) or is_firm_name(other):
        return False
    a, b = persons(one), persons(other)
    return a != b and any(bare_person(x) == bare_person(y) and x != y for x in a for y in b)


def names_alike(one: str, other: str) -> bool:
    """Two spellings that mean the same person where a telephone number or address agrees too.

    A typing error, an initial, a short form, a missing first name or middle name, one of a couple.
    """
    return any(_alike(bare_person(a), bare_person(b)) for a in persons(one) for b in persons(other))


def spelling_keys(person: str, *, known: bool) -> set[tuple[str, str]]:
    """Where a person is looked for and, once `known`, stands: near spellings share one of these.

    The first or last word, with what another word is like, for of one word alone there may be
    thousands ("Customer 0001").
    """
    words = bare_person(person).split()
    keys = {(person, "="), (" ".join(sorted(words)), "=")}
    for end in {*words[:1], *words[-1:]}:
        others = [word for word in words if word != end] or [end] * (len(words) - 1)
        keys |= {(end, begin) for word in others for begin in _begins(word, known=known)}
        if known or not others:
            keys.add((end, "any"))
        if not known or not others:
            keys.add((end, "alone"))
    return keys


def _begins(word: str, *, known: bool) -> set[str]:
    """What a word shares with those that `_first_alike` takes for it.

    Its letters; a short form; its initial, where one of the two is no more; else its initial and
    two letters that follow each other: nobody's typing error leaves fewer (`_close`).
    """
    first, pairs = word[0], pairwise(word)
    keys = {"".join(sorted(word)), *(f"short {group}" for group in _GROUPS.get(word, ()))}
    keys |= {f"{first}:{one}{other}" for one, other in pairs}
    if known:
        keys.add(f"any {first}")
    if (len(word) == 1) is known:
        keys.add(f"only {first}")
    elif not known:
        keys.add(f"any {first}")
    return keys


def shortened(told: str, known: str) -> bool:
    """True when a name only says less of the same person: "Hill", "A. Miller", one of a couple.

    Never between firms: "Marlow" is not "Marlow & Sons".
    """
    if is_firm_name(told) or is_firm_name(known):
        return False

    def says_less(person: str) -> bool:
        words = [word for name in persons(known) for word in name.split()]
        return all(
            any(word == one or (len(word) == 1 and one.startswith(word)) for one in words)
            for word in person.split()
        )

    return all(says_less(person) for person in persons(told))


def firms_near(one: str, other: str) -> bool:
    """True when a firm's name and another hold each other's words: "Marlow" and "Marlow & Sons"."""
    if not (is_firm_name(one) or is_firm_name(other)):
        return False
    a, b = (set(" ".join(persons(name)).split()) for name in (one, other))
    less, more = sorted((a, b), key=len)
    return bool(less) and less < more and max(len(word) for word in less) > 2


@lru_cache(maxsize=50_000)
def _alike(one: str, other: str) -> bool:
    if one == other:
        return True
    if not one or not other:
        return False
    a, b = one.split(), other.split()
    if len(a) == 1 or len(b) == 1:
        # "Miller" alone is any of the Millers at this number.
        return a[-1] == b[-1] or (len(a) == len(b) == 1 and _close(a[0], b[0]))
    if set(a) == set(b) or a == b[-len(a) :] or b == a[-len(b) :]:
        return True  # "O'Hara Lane" is the last name of "Siobhan O'Hara Lane"
    if not _close(a[-1], b[-1]):
        # Written the other way round: "Miller Ann".
        return _close(a[-1], b[0]) and _first_alike(a[0], b[-1])
    return _first_alike(a[0], b[0])


def _first_alike(one: str, other: str) -> bool:
    if one == other or (one[0] == other[0] and (len(one) == 1 or len(other) == 1)):
        return True
    if _GROUPS.get(one, set()) & _GROUPS.get(other, set()):
        return True
    return _close(one, other)


def _close(one: str, other: str) -> bool:
    if one == other:
        return True
    if one.isdigit() or other.isdigit():
        return False  # a number is another number, never a typing error
    if min(len(one), len(other)) < 3 or one[0] != other[0]:
        return len(one) == len(other) > 3 and sorted(one) == sorted(other)
    if one.startswith(other) or other.startswith(one):
        return True
    if 10 * (_letters(one) & _letters(other)).bit_count() < 4 * (len(one) + len(other)):
        return False  # not even if the letters that they share stood in the same order
    return SequenceMatcher(None, one, other, autojunk=False).ratio() >= 0.8


@lru_cache(maxsize=50_000)
def _letters(word: str) -> int:
    """A bit for each letter of a word, and another for each time that it comes again.

    Letters of other alphabets may share theirs: two words share no fewer bits than letters.
    """
    letters = [ord(c) % 128 for c in word]
    return sum(1 << (one + 128 * letters[:at].count(one)) for at, one in enumerate(letters))


_VAGUE = word_set(
    "the a an his her their car vehicle auto with and of old new family work company plate unit no "
    "vin"
)
_SAME_WORD = {
    "grey": "gray", "colour": "color", "estate": "wagon", "saloon": "sedan", "lorry": "truck",
    "pick": "pickup", "hatch": "hatchback", "cabrio": "convertible",
    "cabriolet": "convertible", "coupé": "coupe", "minivan": "van",
}  # fmt: skip


@lru_cache(maxsize=50_000)
def vehicle_words(text: str) -> frozenset[str]:
    """The telling words of a vehicle's description."""
    words = plain_name(text).split()
    return frozenset(
        _SAME_WORD.get(word, word)
        for word in words
        if word not in _VAGUE and not re.fullmatch(r"(?:19|20)\d\d", word)
    )


def descriptions_alike(one: Collection[str], other: Collection[str]) -> bool:
    """Two sets of telling words that may mean one vehicle: one within the other, or most shared."""
    a, b = set(one), set(other)
    if not a or not b:
        return not a and not b
    if a <= b or b <= a:
        return True
    return len(a & b) / len(a | b) >= 0.6


def plain_plate(plate: str) -> str:
    """A plate as compared: letters and digits only."""
    return re.sub(r"[^A-Z0-9ÄÖÜ]", "", plate.upper())

"""Reading a person typed in one line: "Ilse Varga, 312 555 0142, ilse@example.org"."""

from __future__ import annotations

import re
from dataclasses import dataclass

from app.documents.reading.people import read_mails, read_name, read_phones

_MAIL = re.compile(
    r"[^\s,;<>()\[\]|\"']+(?:@|\s*[(\[]at[)\]]\s*)[^\s,;<>()\[\]|\"']+", re.IGNORECASE
)
_NUMBER = re.compile(r"(?<![\w.])\+?\(?\d[\d\s().\-/]{4,}\d(?:\s*(?:x|ext\.?)\s*\d{1,5})?(?!\w)")
_FEWEST_DIGITS = 6  # a shorter number is a part of a name: "Studio 54", "Unit 1200"
# What stands before a number or an address, and says only what it is.
_SAYS_WHAT = re.compile(
    r"(?:[,;(]|\b(?:tel(?:ephone)?|phone|cell|mob(?:ile)?|ph|handy|e-?mail|mail|on|at)\b\.?:?|\s)+$",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class CallerWords:
    """What a line says of a person; `phones` and `mails` as typed, those only that can be read.

    `unread` is what looks like a number or an address and cannot be read, to be kept in words.
    """

    name: str = ""
    is_firm: bool = False
    phones: tuple[str, ...] = ()
    mails: tuple[str, ...] = ()
    unread: tuple[str, ...] = ()

    @property
    def reachable(self) -> bool:
        """Whether it says more than a name."""
        return bool(self.phones or self.mails or self.unread)


def read_caller(text: str, region: str) -> CallerWords:
    """A name with a telephone number or a mail address beside it, in any order."""
    rest = " ".join(text.split())
    phones: list[str] = []
    mails: list[str] = []
    unread: list[str] = []
    for found in _MAIL.findall(rest):
        good = read_mails(found).addresses
        (mails if good else unread).append(found.strip(".,:"))
        rest = _without(rest, found)
    for match in list(_NUMBER.finditer(rest)):
        found = match.group().strip()
        if sum(sign.isdigit() for sign in found) < _FEWEST_DIGITS:
            continue
        (phones if read_phones(found, region).numbers else unread).append(found)
        rest = _without(rest, match.group())
    name, is_firm = read_name(rest.strip(" ,;:-()/"))
    return CallerWords(
        name=name[:200],
        is_firm=is_firm,
        phones=tuple(phones),
        mails=tuple(mails),
        unread=tuple(unread),
    )


def _without(text: str, part: str) -> str:
    before, _, after = text.partition(part)
    return f"{_SAYS_WHAT.sub('', before)}, {after.strip(' ,;)')}".strip(" ,")

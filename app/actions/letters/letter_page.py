"""One letter as it is read before it goes: why, to whom, by which way, and what stands beneath."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, timedelta

from app.actions.desk.desk import Desk, there
from app.actions.letters.choosing import household_facts, rules_of, ways
from app.actions.letters.letter_views import LetterView
from app.actions.letters.reminder_files import letter_to
from app.actions.people.consents import CHANNELS
from app.actions.people.customers import shown_phone
from app.calculations.numbers.dates import near
from app.documents.papers.mail import full_text
from app.records.queries import protection as queries
from app.records.queries.protection import PersonRow

LONGEST_WORDS = 90  # a letter of more is hardly read to its end; common practice, no source
WAY_NAMES = {"mail": "e-mail", "letter": "posted letter", "phone": "phone", "text": "text"}
_STOPS = re.compile(r"\bstop\b", re.IGNORECASE)


@dataclass(frozen=True)
class Way:
    """A way to reach a customer; `why_not` says what it lacks, or nothing."""

    channel: str
    name: str
    why_not: str


@dataclass(frozen=True, kw_only=True)
class LetterPage:
    """What stands around the words of a letter."""

    name: str
    where: str
    ways: tuple[Way, ...]
    tail: str  # what goes beneath the words, and cannot be changed here
    facts: tuple[tuple[str, str], ...]


def letter_page(desk: Desk, day: date, letter: LetterView) -> LetterPage:
    """The page of a letter; its words are those of `letter`."""
    with desk.book.reading() as session:
        rows = queries.people(session, {letter.customer_id})
    person = there(rows[0] if rows else None, "This customer")
    return LetterPage(
        name=person.name,
        where=_where(desk, person, letter.channel),
        ways=tuple(Way(one, WAY_NAMES[one], _why_not(person, one)) for one in CHANNELS),
        tail=_tail(desk, person, letter),
        facts=_facts(desk, day, letter.customer_id),
    )


def count_words(text: str) -> int:
    """The words of a text, as they are counted against `LONGEST_WORDS`."""
    return len(text.split())


def why_not_so(letter: LetterView, text: str) -> str:
    """Why a letter must not go in these words; nothing where it may.

    How to stop may be said in other words, but not left out where the letter said it.
    """
    if not text.strip():
        return "It has no words yet; Esc brings the proposed ones back."
    if _STOPS.search(letter.text) and not _STOPS.search(text):
        return "It does not say how to stop any more; say it with the word stop."
    return ""


def says_stop(paragraph: str) -> bool:
    """Whether a paragraph says how to stop."""
    return bool(_STOPS.search(paragraph))


def _where(desk: Desk, person: PersonRow, channel: str) -> str:
    if channel == "mail":
        return person.email
    if channel == "letter":
        return ", ".join(part for part in (person.street, person.city, person.postal_code) if part)
    return shown_phone(person.phone, desk.settings.region)


def _why_not(person: PersonRow, channel: str) -> str:
    if channel in ways(person):
        return ""
    if channel in person.withdrawn or (channel == "text" and person.phone and not person.may_text):
        return "not agreed"
    if channel == "mail":
        return "address refused" if person.email and person.email_bad else "no address"
    if channel == "letter":
        return "came back" if person.address_bad else "no address"
    return "no number"


def _tail(desk: Desk, person: PersonRow, letter: LetterView) -> str:
    """What the mail or the paper says beneath; a call and a text message have nothing there."""
    if letter.channel not in ("mail", "letter"):
        return ""
    whole = full_text(letter_to(desk, person, "", letter.subject, "."))
    *shop, how_to_stop = whole.partition("-- \n")[2].strip().split("\n")
    return f"{', '.join(shop)}. {how_to_stop}"


def _facts(desk: Desk, day: date, customer_id: int) -> tuple[tuple[str, str], ...]:
    facts = household_facts(desk, day, customer_id)
    last = facts.letters[-1] if facts.letters else None
    year = sum(one.day > day - timedelta(days=365) for one in facts.letters)
    found = [("Last visit", near(facts.last_visit, day) if facts.last_visit else "none yet")]
    found.append(("Last letter", near(last.day, day) if last else "none yet"))
    if last is not None:
        visited = facts.last_visit is not None and facts.last_visit >= last.day
        found.append(("It was answered", "yes" if last.answered or visited else "no"))
    found.append(("Letters this year", f"{year} of {rules_of(desk).letters_a_year}"))
    return tuple(found)

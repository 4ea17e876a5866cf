"""Reading address cards (.vcf; vCard 2.1, 3.0 and 4.0) into lines of customers."""

from __future__ import annotations

import logging
import re
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any

from app.documents.reading.delimited_file import decode
from app.documents.reading.grid import clean_text
from app.documents.reading.lines import CustomerLine, Line, Source, VehicleLine
from app.documents.reading.options import Options, Progress, Room, Step
from app.documents.reading.people import (
    Address,
    all_phones,
    is_firm_name,
    joined_name,
    read_mails,
    read_name,
)
from app.documents.reading.vehicles import read_vehicles
from app.errors import Mendable

_CARD = re.compile(r"^[ \t]*BEGIN[ \t]*:[ \t]*VCARD[ \t]*$", re.IGNORECASE | re.MULTILINE)
_END = re.compile(r"^[ \t]*END[ \t]*:[ \t]*VCARD[ \t]*$", re.IGNORECASE | re.MULTILINE)
# Anything but its frame. The library takes a third of a millisecond for an empty card as well.
_SAYS = re.compile(
    r"^(?![ \t]*(?:BEGIN|END|VERSION)[ \t]*[:;])[^\n]*[:;]", re.IGNORECASE | re.MULTILINE
)
# Pictures and sounds are not read, and would make a whole card too long to be read at all.
_ENCLOSED = re.compile(
    r"^(?:[\w-]+\.)?(?:PHOTO|LOGO|SOUND|KEY)[;:][^\n]*\n(?:[ \t][^\n]*\n)*",
    re.IGNORECASE | re.MULTILINE,
)
_LARGE = 10_000
_MOST_CARDS = 200_000
_LONGEST_CARD = 2_000_000
_CELLS_OF_A_CARD = 12  # what reading one costs


def read_cards(
    path: Path, options: Options, progress: Progress | None = None
) -> tuple[tuple[Line, ...], tuple[str, ...]]:
    """The lines of every card, and sentences on the file; one broken card spoils no other."""
    text, notes = _decoded(path, options)
    text = text.replace("\r\n", "\n").replace("\r", "\n").replace("\0", "")
    text = _ENCLOSED.sub(lambda found: "" if len(found[0]) > _LARGE else found[0], text)
    starts = [match.start() for match in _CARD.finditer(text)]
    if not starts:
        raise Mendable(f"{path.name} holds no address card; choose a vCard file (.vcf).")
    if len(starts) > _MOST_CARDS:
        raise Mendable(f"{path.name} holds more cards than can be read at once; split the file.")
    step = Step(progress, len(starts), every=50)
    room = Room(path.name, options)
    lines: list[Line] = []
    for number, start in enumerate(starts, start=1):
        end = starts[number] if number < len(starts) else len(text)
        source = Source(path.name, "", number)
        card = text[start:end]
        room.take((card,), _CELLS_OF_A_CARD, f"card {number}")
        closing = _END.search(card)
        lines.extend(
            _card(card[: closing.end()] if closing else f"{card}\nEND:VCARD\n", source, options)
        )
        step.on()
    return tuple(lines), tuple(notes)


def _decoded(path: Path, options: Options) -> tuple[str, list[str]]:
    """The file's text; where it is not one encoding throughout, card by card."""
    raw = path.read_bytes()
    text, notes = decode(raw, options, path.name)
    if not notes:
        return text, notes
    cards = re.split(rb"(?im)^(?=[ \t]*BEGIN[ \t]*:[ \t]*VCARD)", raw)
    return "".join(decode(card, options, path.name)[0] for card in cards if card), []


def _card(text: str, source: Source, options: Options) -> list[Line]:
    """The lines of one card: its person and the vehicles that its note speaks of."""
    card = _parsed(text) if len(text) <= _LONGEST_CARD and _SAYS.search(text) else None
    if card is None:
        return [
            CustomerLine(
                source=source,
                problems=(f"Card {source.row} is damaged and could not be read.",),
                unreadable=True,
            )
        ]
    customer = _customer(card, source, options)
    lines: list[Line] = [customer]
    if not customer.unreadable and customer.notes:
        lines.extend(
            VehicleLine(
                source=source, owner=customer.who, description=words.description or "vehicle",
                year=words.year, color=words.color, plate=words.plate,
                plate_region=words.plate_region, vin=words.vin, size=words.size,
            )
            for words in read_vehicles(customer.notes, loose=False)
        )  # fmt: skip
    return lines


def _parsed(text: str) -> Any:
    """The card as vobject reads it, without its odd lines where it cannot else; None if none."""
    import vobject

    for again in (text, _without_odd_lines(text)):
        try:
            with warnings.catch_warnings(), _silenced():
                warnings.simplefilter("ignore")
                return next(
                    vobject.readComponents(again, ignoreUnreadable=True, allowQP=True), None
                )
        except RecursionError:
            return None
        except Exception:
            # vobject raises whatever its parser met; a stranger's card is not our bug.
            continue
    return None


@contextmanager
def _silenced() -> Iterator[None]:
    """vobject logs what it leaves out of a broken card; the line's own problems say it here."""
    logger = logging.getLogger("vobject.base")
    was = logger.disabled
    logger.disabled = True
    try:
        yield
    finally:
        logger.disabled = was


def _without_odd_lines(text: str) -> str:
    """Only the lines that look like properties, for cards that are broken inside."""
    unfolded = re.sub(r"\n[ \t]", "", text)
    kept = [
        line
        for line in unfolded.split("\n")
        if re.match(
            r"^(?:[\w-]+\.)?(?:BEGIN|END|VERSION|FN|N|ORG|TEL|EMAIL|ADR|NOTE|UID|"
            r"CATEGORIES)\b[^:]{0,200}:",
                    line, re.IGNORECASE)
        and not re.search(r"ENCODING|;BASE64", line.split(":")[0], re.IGNORECASE)
    ]  # fmt: skip
    return "\n".join(kept) + "\n"


def _all(card: Any, name: str) -> list[Any]:
    return list(card.contents.get(name, ()))


def _text(value: Any) -> str:
    """A property's value as text; lists and bytes too."""
    if isinstance(value, list | tuple):
        return " ".join(_text(part) for part in value if part)
    if isinstance(value, bytes):
        value = value.decode("utf-8", "replace")
    return clean_text(str(value)) if value else ""


def _customer(card: Any, source: Source, options: Options) -> CustomerLine:
    problems: list[str] = []
    notes: list[str] = []
    name, firm = _names(card)
    phones, troubles = all_phones((_text(line.value) for line in _all(card, "tel")), options.region)
    notes.extend([f"Phone: {phones.extra}"] if phones.extra else [])
    problems.extend(
        f"Card {source.row}: {trouble} is no whole telephone number and is kept as typed."
        for trouble in troubles
    )
    mails: list[str] = []
    for line in _all(card, "email"):
        read = read_mails(_text(line.value))
        mails.extend(address for address in read.addresses if address not in mails)
        if read.trouble:
            problems.append(f"Card {source.row}: {read.trouble} is no mail address.")
    notes.extend(_text(line.value) for line in _all(card, "note"))
    for key, word in (("title", "Title"), ("url", "Website"), ("bday", "Birthday")):
        told = [_text(line.value) for line in _all(card, key)]
        if told and told[0]:
            notes.append(f"{word}: {told[0]}")
    address, more = _address(card)
    notes.extend(more)
    is_firm = bool(firm) or is_firm_name(name)
    contact = name if firm and name and name.casefold() != firm.casefold() else ""
    if contact:
        notes.insert(0, f"Contact: {contact}")
    line = CustomerLine(
        source=source,
        name=(firm or name)[:200],
        is_firm=is_firm,
        contact=contact,
        phones=phones.numbers,
        phones_as_typed=phones.typed,
        emails=tuple(mails),
        street=address.street,
        city=address.city,
        region=address.region,
        postal_code=address.postal_code,
        country=address.country,
        notes="\n".join(dict.fromkeys(note for note in notes if note))[:10_000],
        problems=tuple(problems),
    )
    if not line.name:
        sentence = f"Card {source.row} has no name; type one in the address book and save it again."
        return replace(line, problems=(*problems, sentence), unreadable=True)
    return line


def _names(card: Any) -> tuple[str, str]:
    """The person's name and the firm's."""
    person = ""
    for line in _all(card, "n"):
        value = line.value
        if hasattr(value, "family"):
            given = " ".join(part for part in (_text(value.given), _text(value.additional)) if part)
            person = joined_name(given, _text(value.family))
            suffix = _text(value.suffix)
            person = f"{person} {suffix}".strip() if suffix and person else person
        break
    shown = next((_text(line.value) for line in _all(card, "fn") if _text(line.value)), "")
    firm = ""
    for line in _all(card, "org"):
        firm = _text(
            line.value[0] if isinstance(line.value, list | tuple) and line.value else line.value
        )
        break
    name = read_name(shown)[0] if shown else person
    if firm and shown.casefold() == firm.casefold():
        name = person
    return name, firm


def _address(card: Any) -> tuple[Address, list[str]]:
    """The first address; the others as notes."""
    found: list[tuple[str, ...]] = []
    for line in _all(card, "adr"):
        value = line.value
        if not hasattr(value, "street"):
            continue
        street = ", ".join(
            part for part in (_text(value.box), _text(value.street), _text(value.extended)) if part
        ).replace("\n", ", ")
        more = (_text(part) for part in (value.city, value.region, value.code, value.country))
        found.append((street, *more))
    told = [address for address in found if any(address)]
    also = ["Also: " + ", ".join(part for part in address if part) for address in told[1:]]
    return Address(*(told[0] if told else ())).shortened(), also

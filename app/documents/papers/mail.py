"""Mail as files and for sending: one reminder, one address, headers that cannot be forged into.

The headers follow RFC 5322; a marketing mail says how to stop in its text and in `List-Unsubscribe`
(RFC 2369) with a mail address, for a program without a web server cannot honestly offer one click.
"""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from datetime import datetime
from email.headerregistry import Address, BaseHeader, HeaderRegistry, UnstructuredHeader
from email.message import EmailMessage
from email.policy import SMTP, Policy
from email.utils import format_datetime
from mimetypes import guess_type
from pathlib import Path
from urllib.parse import quote

from app.errors import Mendable

LONGEST_SUBJECT = 200
LONGEST_TEXT = 20_000


class _Bare(UnstructuredHeader, BaseHeader):
    """A header that is one word in angle brackets: it stands in one line as it is.

    Any other header that is longer than a line is encoded when it has no space to break at, and
    no mail program reads a list command in that form (RFC 2369, section 2).
    """

    def fold(self, *, policy: Policy) -> str:
        return f"{self.name}: {self}{policy.linesep}"


_HEADERS = HeaderRegistry()
_HEADERS.map_to_type("list-unsubscribe", _Bare)
_HEADERS.map_to_type("message-id", _Bare)
_POLICY = SMTP.clone(header_factory=_HEADERS)


@dataclass(frozen=True, kw_only=True)
class Letter:
    """One message as it goes out, by whichever way.

    `uid` names it for ever, so that a mail or calendar entry written twice is known as the same.
    """

    uid: str
    sender_name: str
    sender_mail: str
    sender_phone: str = ""
    sender_address: str
    name: str
    mail: str
    address: tuple[str, ...]
    subject: str
    text: str
    at: datetime


def message(letter: Letter) -> EmailMessage:
    """The letter as a mail.

    Raises `Mendable` where an address or the subject cannot stand in a header.
    """
    mail = EmailMessage(policy=_POLICY)
    mail["From"] = _address(letter.sender_name, letter.sender_mail, "of the shop")
    mail["To"] = _address(letter.name, letter.mail, f"of {_shown(letter.name)}")
    mail["Subject"] = _one_line(letter.subject, "subject")
    mail["Date"] = format_datetime(letter.at)
    host = letter.sender_mail.rpartition("@")[2]
    mail["Message-ID"] = f"<{_token(letter.uid)}@{host}>"
    subject = quote(f"stop {letter.uid}")
    to = quote(letter.sender_mail.strip(), safe="@!$'*+-./=_~")
    mail["List-Unsubscribe"] = f"<mailto:{to}?subject={subject}>"
    mail.set_content(full_text(letter))
    return mail


def full_text(letter: Letter) -> str:
    """The words with who writes, where to answer and how to stop beneath, as mail law asks."""
    if len(letter.text) > LONGEST_TEXT:
        raise Mendable(
            f"The message to {_shown(letter.name)} is {len(letter.text):,} characters long; "
            f"shorten it to {LONGEST_TEXT:,}."
        )
    from_whom = (letter.sender_name, *letter.sender_address.splitlines(), answer_to(letter))
    below = [line for line in from_whom if line]
    text = letter.text.replace("\r\n", "\n").replace("\r", "\n").replace("\x00", "")
    return (
        text.rstrip()
        + "\n\n-- \n"
        + "\n".join(below)
        + "\nTo hear no more reminders, answer with the word stop.\n"
    )


def answer_to(letter: Letter) -> str:
    """Where an answer goes: the shop's telephone and mail, as far as it has them."""
    return ", ".join(filter(None, (letter.sender_phone, letter.sender_mail)))


def write_eml(letter: Letter, path: Path) -> Path:
    """The mail as a file that a mail program opens as a draft: `X-Unsent` says that it is one."""
    draft = message(letter)
    draft["X-Unsent"] = "1"
    path.write_bytes(draft.as_bytes())
    return path


@dataclass(frozen=True, kw_only=True)
class OrderMail:
    """An order as it goes to the supplier; an address that is not known stays to be written in."""

    sender_name: str
    sender_mail: str
    name: str
    mail: str
    subject: str
    text: str
    files: tuple[Path, ...]
    at: datetime


def write_order_mail(mail: OrderMail, path: Path) -> Path:
    """Write the draft. `X-Unsent` asks the mail program to open it for writing, not as received.

    Raises `Mendable` where an address or the subject cannot stand in a header.
    """
    message = EmailMessage(policy=SMTP)
    if mail.sender_mail.strip():
        message["From"] = _address(mail.sender_name, mail.sender_mail, "of the shop")
    if mail.mail.strip():
        message["To"] = _address(mail.name, mail.mail, f"of {mail.name}")
    message["Subject"] = _one_line(mail.subject, "subject")
    message["Date"] = format_datetime(mail.at)
    message["X-Unsent"] = "1"
    message.set_content(mail.text + "\n")
    for file in mail.files:
        main, _, kind = (guess_type(file.name)[0] or "application/octet-stream").partition("/")
        message.add_attachment(file.read_bytes(), maintype=main, subtype=kind, filename=file.name)
    try:
        path.write_bytes(message.as_bytes())
    except OSError as trouble:
        raise Mendable(f"{path} could not be written; check the folder and the disk.") from trouble
    return path


def _address(name: str, mail: str, whose: str) -> Address:
    _one_line(mail, f"mail address {whose}")
    local, at, host = mail.strip().rpartition("@")
    if not at or not local or not host:
        raise Mendable(
            f"The mail address {whose} ({_shown(mail) or 'none'}) is not whole; mend it first."
        )
    try:
        return Address(_one_line(name, f"name {whose}"), local, host)
    except (ValueError, IndexError) as trouble:
        raise Mendable(
            f"The mail address {whose} ({_shown(mail)}) cannot be used; mend it."
        ) from trouble


def _one_line(text: str, what: str) -> str:
    # Also the line ends beyond ASCII (U+0085, U+2028, U+2029), at which headers would break too.
    if any(unicodedata.category(character) in ("Cc", "Zl", "Zp") for character in text):
        raise Mendable(
            f"The {what} has a line break or control character in it; write it in one line."
        )
    if len(text) > LONGEST_SUBJECT:
        raise Mendable(
            f"The {what} is {len(text):,} characters long; shorten it to {LONGEST_SUBJECT}."
        )
    return text.strip()


def _shown(text: str) -> str:
    """A name as it may stand in a sentence to the person: one line, not too long."""
    return " ".join(text.replace("\x00", " ").split())[:60]


def _token(uid: str) -> str:
    return "".join(c if c.isalnum() or c in "-._" else "-" for c in uid)

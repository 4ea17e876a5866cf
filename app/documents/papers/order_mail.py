"""An order as a mail that a mail program opens as a draft, its sheets with it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from email.message import EmailMessage
from email.policy import SMTP
from email.utils import format_datetime
from mimetypes import guess_type
from pathlib import Path

from app.documents.papers.mail import _address, _one_line
from app.errors import Mendable


@dataclass(frozen=True, kw_only=True)
class OrderMail:
    """What goes to the supplier; an address that is not known stays to be written in."""

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

"""Handing a mail to the owner's own server, and knowing for certain what became of it.

The point of no return of SMTP is the line with the single dot that ends DATA (RFC 5321, section
4.1.1.4): before it the server may not deliver, after its 250 reply it has taken the mail. If the
line drops in between, nobody can tell; that outcome is said as what it is, `UNCERTAIN`, and such a
mail is never sent again without a person saying so.
"""

from __future__ import annotations

import re
import smtplib
import ssl
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from email.message import EmailMessage
from email.policy import SMTP as SMTP_POLICY
from enum import StrEnum

from app.errors import Mendable

SECONDS = 30.0
# The enhanced status of a refusal for good, as (subject, detail).
_STATUS = re.compile(r"5\.(\d{1,3})\.(\d{1,3})\b")


class Security(StrEnum):
    """How the line to the server is kept private."""

    TLS = "tls"
    STARTTLS = "starttls"
    NONE = "none"  # only for a server on this very machine


@dataclass(frozen=True)
class MailServer:
    """The owner's own mail server; the password is passed beside it, never stored with it."""

    host: str
    port: int
    security: Security = Security.STARTTLS
    user: str = ""


class MailOutcome(StrEnum):
    """What became of one mail."""

    TAKEN = "taken"  # the server has it
    LATER = "later"  # it asks to come back later (4xx); not sent
    REFUSED = "refused"  # it will not take it (5xx); not sent
    NOT_SENT = "not sent"  # the line failed before the mail was complete
    UNCERTAIN = "uncertain"  # the line failed while the server was to answer: it may have it


@dataclass(frozen=True)
class Delivery:
    """The outcome with one plain sentence.

    `bad_address` are the server's words where it is the receiver's address that it refuses for
    good: no later try can bring a mail there.
    """

    outcome: MailOutcome
    sentence: str
    bad_address: str = ""


class Post:
    """An open line to the mail server; use it in a `with` block of `open_post`.

    A line that broke with one mail is opened anew for the next.
    """

    def __init__(self, connect: Callable[[], smtplib.SMTP]) -> None:
        self._connect = connect
        self._line = connect()

    def send(self, message: EmailMessage) -> Delivery:
        """Hand over one mail; every way it can end is an outcome, nothing is raised."""
        sender, receiver = _envelope(message)
        payload = message.as_bytes(policy=SMTP_POLICY)
        if self._line.sock is None:
            try:
                self._line = self._connect()
            except Mendable as trouble:
                return Delivery(MailOutcome.NOT_SENT, trouble.sentence)
        try:
            refused = self._address(sender, receiver)
            if refused is not None:
                self._reset()
                return refused
            code, words = self._line.docmd("DATA")
            if code != 354:
                self._reset()
                return _answered(code, words)
        except (OSError, smtplib.SMTPException) as trouble:
            return _not_sent(receiver, trouble)
        return self._deliver(payload, receiver)

    def _address(self, sender: str, receiver: str) -> Delivery | None:
        code, words = self._line.mail(sender)
        if code != 250:
            return _answered(code, words)
        code, words = self._line.rcpt(receiver)
        return None if code in (250, 251) else _answered(code, words, of_receiver=True)

    def _deliver(self, payload: bytes, receiver: str) -> Delivery:
        body = _dotted(payload)
        try:
            self._line.send(body)
        except (OSError, smtplib.SMTPException) as trouble:
            # Without its closing dot the server must not deliver what it got so far.
            self._line.close()
            return _not_sent(receiver, trouble)
        try:
            self._line.send(b".\r\n")
            code, words = self._line.getreply()
        except (OSError, smtplib.SMTPException) as trouble:
            self._line.close()
            return Delivery(
                MailOutcome.UNCERTAIN,
                f"The line failed before the server answered ({_plain(trouble)}): "
                f"the mail to {receiver} may have gone; ask before sending it again.",
            )
        return _answered(code, words)

    def hang_up(self) -> None:
        """End the line."""
        try:
            self._line.quit()
        except (OSError, smtplib.SMTPException):
            self._line.close()

    def _reset(self) -> None:
        try:
            self._line.rset()
        except (OSError, smtplib.SMTPException):
            self._line.close()


@contextmanager
def open_post(server: MailServer, password: str = "", seconds: float = SECONDS) -> Iterator[Post]:
    """A line to the server, private and logged in; `Mendable` says what is wrong otherwise."""
    post = Post(lambda: _line(server, password, seconds))
    try:
        yield post
    finally:
        post.hang_up()


def _line(server: MailServer, password: str, seconds: float) -> smtplib.SMTP:
    context = ssl.create_default_context()
    try:
        if server.security is Security.TLS:
            line: smtplib.SMTP = smtplib.SMTP_SSL(
                server.host, server.port, timeout=seconds, context=context
            )
        else:
            line = smtplib.SMTP(server.host, server.port, timeout=seconds)
            if server.security is Security.STARTTLS:
                line.starttls(context=context)
        line.ehlo_or_helo_if_needed()
        if server.user:
            line.login(server.user, password)
    except smtplib.SMTPAuthenticationError as trouble:
        raise Mendable(
            f"The mail server {server.host} does not accept the user or the password; "
            "check both in the settings."
        ) from trouble
    except ssl.SSLError as trouble:
        raise Mendable(
            f"The line to {server.host} cannot be made private ({_plain(trouble)}); "
            "check the port and the kind of security in the settings."
        ) from trouble
    except (OSError, smtplib.SMTPException) as trouble:
        raise Mendable(
            f"The mail server {server.host} does not answer ({_plain(trouble)}); "
            "nothing was sent, try again when the line stands."
        ) from trouble
    return line


def _envelope(message: EmailMessage) -> tuple[str, str]:
    """The bare sender and the one receiver of a message."""
    sender = message["From"].addresses[0].addr_spec
    receivers = [address.addr_spec for address in message["To"].addresses]
    if len(receivers) != 1:
        raise ValueError("a reminder goes to exactly one address")
    return sender, receivers[0]


def _dotted(payload: bytes) -> bytes:
    """The body with CRLF ends and leading dots doubled (RFC 5321, section 4.5.2)."""
    lines = payload.replace(b"\r\n", b"\n").replace(b"\r", b"\n").split(b"\n")
    if lines and lines[-1] == b"":
        lines.pop()
    return b"".join((b"." + line if line.startswith(b".") else line) + b"\r\n" for line in lines)


def _not_sent(receiver: str, trouble: Exception) -> Delivery:
    return Delivery(
        MailOutcome.NOT_SENT, f"The mail to {receiver} was not sent: {_plain(trouble)}."
    )


def _answered(code: int, words: bytes, *, of_receiver: bool = False) -> Delivery:
    answer = words.decode("utf-8", "replace").splitlines()[0] if words else ""
    if 200 <= code < 300:
        return Delivery(MailOutcome.TAKEN, "The server has taken the mail.")
    if 400 <= code < 500:
        return Delivery(
            MailOutcome.LATER,
            f"The server asks to come back later ({code} {answer}); it was not sent.",
        )
    said = f"{code} {answer}".strip()
    if _box_is_full(code, answer):
        return Delivery(
            MailOutcome.LATER, f"Their mailbox is full ({said}); it was not sent, try again later."
        )
    return Delivery(
        MailOutcome.REFUSED,
        f"The server refuses it ({said}); it was not sent.",
        said if _refuses_address(code, answer, of_receiver) else "",
    )


def _refuses_address(code: int, answer: str, of_receiver: bool) -> bool:
    """Whether a refusal for good is about the receiver's address, not about the mail or the shop.

    By the enhanced status code where the server gives one: 5.1 is of addresses, but 5.1.7 and 5.1.8
    of the sender's, and 5.2.1 a mailbox that takes no mail any more; 5.7 is somebody's policy,
    which the shop's own server answers as well (RFC 3463, sections 3.2, 3.3 and 3.8). Else by the
    answer to RCPT: no mailbox, not here, no name (RFC 5321, section 4.2.3), takes no mail
    (RFC 7504).
    """
    status = _STATUS.match(answer)
    if status is not None:
        subject, detail = status.groups()
        return (subject == "1" and detail not in ("7", "8")) or (subject, detail) == ("2", "1")
    return of_receiver and code in (550, 551, 553, 556)


def _box_is_full(code: int, answer: str) -> bool:
    """Whether the receiver's mailbox is full: 5.2.2 (RFC 3463, section 3.3), or 552 with no such
    code beside it (RFC 5321, section 4.2.3). A mail goes later; common practice, no source."""
    status = _STATUS.match(answer)
    return code == 552 if status is None else status.groups() == ("2", "2")


def _plain(trouble: Exception) -> str:
    """The trouble in a few words, without the class's name or line breaks."""
    if isinstance(trouble, smtplib.SMTPResponseException):
        error = trouble.smtp_error
        words = error.decode("utf-8", "replace") if isinstance(error, bytes) else str(error)
        return f"{trouble.smtp_code} {words}".splitlines()[0]
    if isinstance(trouble, TimeoutError):
        return "no answer in time"
    return (str(trouble) or type(trouble).__name__).splitlines()[0].rstrip(".")

"""Mail handed to a real local server that takes, refuses, asks to wait, or drops the line.

The server is aiosmtpd; where it must misbehave on the wire, a plain socket does it.
"""

from __future__ import annotations

import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from email import message_from_bytes
from email.message import EmailMessage
from email.policy import default

import pytest

from app.documents.papers.post import MailOutcome, MailServer, Security, open_post
from app.errors import Mendable
from tests.mailserver import Box, free_port, serving


def message(
    to: str = "ida@example.org", body: str = "Hello,\n.a line with a dot\n"
) -> EmailMessage:
    mail = EmailMessage()
    mail["From"] = "Shop <shop@example.org>"
    mail["To"] = to
    mail["Subject"] = "Time for a look"
    mail.set_content(body)
    return mail


def test_a_mail_that_the_server_takes_arrives_once_and_whole() -> None:
    box = Box()
    with serving(box) as server, open_post(server, seconds=5) as post:
        delivery = post.send(message())
    assert delivery.outcome is MailOutcome.TAKEN
    assert len(box.taken) == 1
    arrived = message_from_bytes(box.taken[0], policy=default)
    assert arrived["Subject"] == "Time for a look"
    assert ".a line with a dot" in arrived.get_content()


@pytest.mark.parametrize(
    ("answer", "rcpt", "outcome"),
    [
        ("550 no", "250 OK", MailOutcome.REFUSED),
        ("451 come back later", "250 OK", MailOutcome.LATER),
        ("250 OK", "550 unknown here", MailOutcome.REFUSED),
        ("250 OK", "450 greylisted", MailOutcome.LATER),
        # A full mailbox is emptied some day; a mail too big (5.3.4) stays too big.
        ("250 OK", "552 5.2.2 mailbox full", MailOutcome.LATER),
        ("552 exceeded storage allocation", "250 OK", MailOutcome.LATER),
        ("552 5.3.4 message too big", "250 OK", MailOutcome.REFUSED),
    ],
)
def test_a_refusal_or_a_wait_is_said_and_nothing_is_taken(
    answer: str, rcpt: str, outcome: MailOutcome
) -> None:
    box = Box(answer, rcpt)
    with serving(box) as server, open_post(server, seconds=5) as post:
        delivery = post.send(message())
        box.answer = box.rcpt = "250 OK"
        after = post.send(message("next@example.org"))
    assert delivery.outcome is outcome
    assert after.outcome is MailOutcome.TAKEN, "the line goes on after a refusal"
    assert len(box.taken) == 1


@pytest.mark.parametrize(
    ("answer", "rcpt", "words"),
    [
        ("250 OK", "550 no such user", "550 no such user"),
        ("250 OK", "553 mailbox name not allowed", "553 mailbox name not allowed"),
        ("250 OK", "550 5.1.1 user unknown", "550 5.1.1 user unknown"),
        ("554 5.1.1 user unknown", "250 OK", "554 5.1.1 user unknown"),
        ("250 OK", "550 5.2.1 mailbox disabled", "550 5.2.1 mailbox disabled"),
        # The mail, the shop's own server or address, a full box: no fault of the address.
        ("550 no", "250 OK", ""),
        ("554 5.7.1 looks like spam", "250 OK", ""),
        ("250 OK", "550 5.7.1 relaying denied", ""),
        ("250 OK", "550 5.1.8 bad sender", ""),
        ("250 OK", "552 5.2.2 mailbox full", ""),
        ("250 OK", "450 greylisted", ""),
    ],
)
def test_an_address_is_bad_where_the_server_refuses_the_receiver_for_good(
    answer: str, rcpt: str, words: str
) -> None:
    """Codes of RFC 5321 (4.2.3) and enhanced status codes of RFC 3463 (3.2)."""
    with serving(Box(answer, rcpt)) as server, open_post(server, seconds=5) as post:
        assert post.send(message()).bad_address == words


@contextmanager
def wire(script: Callable[[socket.socket], None]) -> Iterator[MailServer]:
    """A server on a bare socket that follows a script once."""
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        listener.listen(1)

        def serve() -> None:
            line, _ = listener.accept()
            with line:
                script(line)

        thread = threading.Thread(target=serve)
        thread.start()
        try:
            yield MailServer("127.0.0.1", listener.getsockname()[1], Security.NONE)
        finally:
            thread.join(timeout=10)


def _until(line: socket.socket, ending: bytes) -> bytes:
    got = b""
    while not got.endswith(ending):
        chunk = line.recv(4096)
        if not chunk:
            break
        got += chunk
    return got


def _polite_until_data(line: socket.socket) -> None:
    line.sendall(b"220 here\r\n")
    for answer in (b"250 hello\r\n", b"250 sender\r\n", b"250 receiver\r\n", b"354 go on\r\n"):
        _until(line, b"\r\n")
        line.sendall(answer)


def test_a_line_dropped_after_the_closing_dot_is_uncertain_and_said_so() -> None:
    got: list[bytes] = []

    def script(line: socket.socket) -> None:
        _polite_until_data(line)
        got.append(_until(line, b"\r\n.\r\n"))

    with wire(script) as server, open_post(server, seconds=5) as post:
        delivery = post.send(message())
    assert got[0].endswith(b"\r\n.\r\n")
    assert delivery.outcome is MailOutcome.UNCERTAIN
    assert "may have gone" in delivery.sentence


def test_a_line_dropped_before_data_did_not_send() -> None:
    def script(line: socket.socket) -> None:
        line.sendall(b"220 here\r\n")
        _until(line, b"\r\n")
        line.sendall(b"250 hello\r\n")
        _until(line, b"\r\n")

    with wire(script) as server, open_post(server, seconds=5) as post:
        assert post.send(message()).outcome is MailOutcome.NOT_SENT


def test_a_server_that_never_answers_the_dot_is_uncertain() -> None:
    done = threading.Event()

    def script(line: socket.socket) -> None:
        _polite_until_data(line)
        _until(line, b"\r\n.\r\n")
        done.wait(5)

    with wire(script) as server, open_post(server, seconds=0.4) as post:
        delivery = post.send(message())
        done.set()
    assert delivery.outcome is MailOutcome.UNCERTAIN


def test_no_server_is_one_plain_sentence() -> None:
    server = MailServer("127.0.0.1", free_port(), Security.NONE)
    with pytest.raises(Mendable, match="nothing was sent"), open_post(server, seconds=2):
        pass


def test_a_line_that_drops_with_one_mail_is_opened_anew_for_the_next() -> None:
    box = Box(drop_after=1)
    with serving(box) as server, open_post(server, seconds=5) as post:
        outcomes = [post.send(message()).outcome for _ in range(3)]
    assert outcomes == [MailOutcome.UNCERTAIN, MailOutcome.TAKEN, MailOutcome.TAKEN]
    assert len(box.taken) == 3


def test_a_server_that_stays_away_is_said_in_plain_words_for_each_mail_after() -> None:
    box = Box(drop_after=1)
    with serving(box) as server:
        line = open_post(server, seconds=5)
        post = line.__enter__()
        post.send(message())
    found = [post.send(message()) for _ in range(2)]
    line.__exit__(None, None, None)
    assert {one.outcome for one in found} == {MailOutcome.NOT_SENT}
    for one in found:
        assert "does not answer" in one.sentence
        assert "connect()" not in one.sentence

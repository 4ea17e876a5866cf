"""A real local mail server for tests (aiosmtpd), which can also be told to misbehave."""

from __future__ import annotations

import socket
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from aiosmtpd.controller import Controller

from app.documents.papers.post import MailServer, Security


class Box:
    """Keeps what was taken, and answers as told.

    `drop_after` ends the line, without an answer, after so many mails came in whole: the worst
    moment, for the server has the mail and the sender does not know.
    """

    def __init__(self, answer: str = "250 OK", rcpt: str = "250 OK", drop_after: int = -1) -> None:
        self.taken: list[bytes] = []
        self.answer, self.rcpt, self.drop_after = answer, rcpt, drop_after

    async def handle_RCPT(
        self, server: Any, session: Any, envelope: Any, address: str, options: Any
    ) -> str:
        """Accept or refuse a receiver."""
        if self.rcpt.startswith("250"):
            envelope.rcpt_tos.append(address)
        return self.rcpt

    async def handle_DATA(self, server: Any, session: Any, envelope: Any) -> str:
        """Take or refuse a mail."""
        if self.answer.startswith("250"):
            self.taken.append(envelope.content)
        if len(self.taken) == self.drop_after:
            server.transport.abort()
        return self.answer


@contextmanager
def serving(box: Box) -> Iterator[MailServer]:
    """Run the server on a free port of this machine."""
    controller = Controller(box, hostname="127.0.0.1", port=free_port())
    controller.start()
    try:
        yield MailServer("127.0.0.1", controller.port, Security.NONE)
    finally:
        controller.stop()


def free_port() -> int:
    """A port that nothing listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])

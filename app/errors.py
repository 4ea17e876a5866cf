"""The two kinds of trouble: what a person can mend, and what is our own bug.

A `Mendable` carries one plain sentence (what, where, what to do) that may be shown as it is.
Anything else that escapes is a bug: it is logged with details and the book stays whole.
"""

from __future__ import annotations

import errno
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path


class Mendable(Exception):
    """Something a person can put right; its text is one plain sentence for them.

    `field` names the entry that it is about, where an action takes several: "price".
    """

    def __init__(self, sentence: str = "", *, field: str = "") -> None:
        super().__init__(sentence)
        self.field = field

    @property
    def sentence(self) -> str:
        """The sentence to show."""
        return str(self)


class Refused(Mendable):
    """An action the book will not take, such as undoing what has changed since."""


class BookBusy(Mendable):
    """Another window or command is writing in this book."""


class BeingWritten(Mendable):
    """The book is being written in the background, and a change here would have to wait."""


class BookTooNew(Mendable):
    """The book was written by a newer Bayledger."""


class BookDamaged(Mendable):
    """The file is not a whole book."""


class BookGone(Mendable):
    """The path of an open book does not lead to the file that is open any more."""

    def __init__(self, path: Path, what: str) -> None:
        super().__init__(
            f"{path} {what} while it was open; nothing is saved there any more. "
            "Save what is open here under another name, or open what lies there now."
        )


class Stopped(Exception):
    """The person asked the work to stop; nothing of it is kept."""


_here = threading.local()


@contextmanager
def stoppable(asked: Callable[[], bool]) -> Iterator[None]:
    """Work of this thread that ends, with `Stopped`, soon after `asked()` says so.

    Only for what writes nothing: it may end anywhere.
    """
    _here.asked = asked
    try:
        yield
    finally:
        _here.asked = None


def asked_to_stop() -> bool:
    """Whether the work of this thread was asked to stop, and may."""
    asked = getattr(_here, "asked", None)
    return asked is not None and asked()


def check_stop() -> None:
    """Raise `Stopped` where that was asked for: now and then in what takes long."""
    if asked_to_stop():
        raise Stopped


# Why the computer refused a file or folder, in words that a person reads.
_REASONS = {
    errno.ENOENT: "there is no such file or folder",
    errno.EACCES: "you may not read or write it",
    errno.EPERM: "you may not read or write it",
    errno.EROFS: "nothing can be written on that disk",
    errno.ENOSPC: "the disk is full",
    errno.EDQUOT: "your share of the disk is full",
    errno.EISDIR: "it is a folder",
    errno.ENOTDIR: "a part of its path is no folder",
    errno.EEXIST: "it is there already",
    errno.ENOTEMPTY: "the folder is not empty",
    errno.ENAMETOOLONG: "its name is too long",
    errno.EINVAL: "its name cannot be used",
    errno.ELOOP: "its path leads back to itself",
    errno.EBUSY: "another program is using it",
    errno.ETXTBSY: "another program is using it",
    errno.EIO: "the disk has a fault",
    errno.EMFILE: "too many files are open",
    errno.ENFILE: "too many files are open",
}


def reason_of(trouble: Exception) -> str:
    """Why the computer refused, in plain words instead of the system's own."""
    if not isinstance(trouble, OSError):
        return str(trouble)
    return _REASONS.get(trouble.errno or 0, f"the computer refused it (code {trouble.errno or 0})")


@contextmanager
def about(field: str) -> Iterator[None]:
    """What cannot be read in here is about this entry."""
    try:
        yield
    except Mendable as trouble:
        trouble.field = trouble.field or field
        raise

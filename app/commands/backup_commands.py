"""The commands `backup` and `restore`: what they print, and where a passphrase comes from."""

from __future__ import annotations

import argparse
import getpass
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from app.commands.saying import DONE, open_book, say_aside, say_mendable
from app.errors import Mendable

if TYPE_CHECKING:
    from app.actions.desk.desk import Desk

PASSPHRASE = "BAYLEDGER_PASSPHRASE"  # the environment's name for it


def back_up(wanted: argparse.Namespace) -> int:
    """Copy a book, or print how to get it back."""
    with open_book(wanted.book, write=False) as desk:
        trouble = _back_up(desk, wanted.dest, paper=wanted.paper)
    return say_mendable(trouble) if trouble else DONE


def restore(wanted: argparse.Namespace) -> int:
    """Put a backup in a book's place."""
    from app.actions.people.erasing import erased_and_back

    aside = _put_back(wanted.backup, wanted.book)
    if aside is not None:
        say_aside(aside)
    if told := erased_and_back(wanted.book, aside):
        print(told)
    return DONE


def _back_up(desk: Desk, to: Path | None, *, paper: bool) -> str:
    """Make a backup and print where, or print the paper; returns what went wrong.

    A copy that goes where one says is that one copy only.
    """
    if paper:
        from app.actions.shop.backup_paper import paper_lines

        print("\n".join(paper_lines(desk)))
        return ""
    from app.actions.shop.backups import back_up as make

    made = make(desk, to, second=to is None)
    if made.sentence:
        print(made.sentence)
    return " ".join(one[0].upper() + one[1:] for one in made.trouble)


def _put_back(backup: Path, book: Path) -> Path | None:
    """Put a backup in the book's place and say so; returns where the former book is now."""
    from app.calculations.numbers.wording import count_of
    from app.records.storage import backup as backups
    from app.records.storage.sealing import is_sealed, key_for

    key = None
    if is_sealed(backup):
        key = key_for(backup, _passphrase(backup))
    aside = backups.restore(backup, book, key)
    holds = count_of(backups.jobs_in(book), "job")
    print(f"{book} is as it was when {backup} was made; it holds {holds}.")
    return aside


def _passphrase(backup: Path) -> str:
    """From the environment, else typed unseen, else one line of the standard input."""
    found = os.environ.get(PASSPHRASE, "")
    if not found and sys.stdin.isatty():
        found = getpass.getpass(f"Passphrase of {backup.name}: ")
    elif not found:
        found = sys.stdin.readline().rstrip("\r\n")
    if not found:
        raise Mendable(
            f"{backup} is sealed; give its passphrase on the standard input or in {PASSPHRASE}."
        )
    return found

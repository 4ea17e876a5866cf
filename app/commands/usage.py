"""Every command with its arguments, as the command line reads them and the help shows them."""

from __future__ import annotations

import argparse
import sys
from datetime import date
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import NoReturn

USAGE = 2  # the exit code of wrong usage

# Command, its arguments as the help shows them, and what it does. docs/commands.md says more.
COMMANDS = {
    "new": ("BOOK", "begin a new, empty book"),
    "import": (
        "BOOK FILE... [--accept-proposals] [--dry-run] [--yes]",
        "bring in workbooks, CSV files or address cards",
    ),
    "template": ("FILE.xlsx", "write an empty workbook with headings to fill in"),
    "day": ("BOOK [--date D] [--json]", "show the day sheet"),
    "close": (
        "BOOK [--date D] [--yes] [--out DIR] [--json]",
        "close a day: book it, make a backup",
    ),
    "export": ("BOOK FILE.xlsx", "write everything into one workbook"),
    "accounts": (
        "BOOK FILE.xlsx [--from D] [--to D]",
        "write invoices, taxes and receipts of a span for an accountant",
    ),
    "calendar": (
        "BOOK FILE.ics [--without-holds]",
        "write the open jobs as a calendar file, with cures and drying",
    ),
    "week": ("BOOK FILE.pdf [--date D]", "write a week's plan for the wall"),
    "person": ("BOOK WHO FILE.xlsx", "write what is kept of one customer, also as text"),
    "erase": ("BOOK WHO [--yes]", "erase one customer for good, or say what that takes away"),
    "check": ("BOOK", "say whether the book is whole"),
    "backup": ("BOOK [DEST] [--paper]", "copy the book while it is open"),
    "restore": ("BACKUP BOOK", "put a backup in the book's place"),
    "salvage": (
        "BOOK NEW [--log LOG]",
        "make a new, whole book of what a damaged one still holds",
    ),
    "demo": (
        "BOOK [--years N] [--jobs-per-week N] [--seed S]",
        "write a made-up shop of any size",
    ),
}

# What BOOK means, where it is not a book that is there already.
_BOOKS = {
    "new": "the book that is begun, such as shop.bayledger",
    "demo": "the book that is written",
    "restore": "the book that the backup takes the place of; it is kept beside it",
    "salvage": "the damaged book",
}


class _Parser(argparse.ArgumentParser):
    """A parser whose complaint is one line and whose exit code is 2."""

    def error(self, message: str) -> NoReturn:
        print(f"{self.prog}: {message}; see {self.prog} --help", file=sys.stderr)
        raise SystemExit(USAGE)


def _our_version() -> str:
    try:
        return version("bayledger")
    except PackageNotFoundError:
        return "unpacked"


def top_parser() -> argparse.ArgumentParser:
    """The parser of the command line without a command: it opens the window."""
    width = max(len(name) + len(usage) for name, (usage, _) in COMMANDS.items()) + 1
    listed = "\n".join(
        f"  {f'{name} {usage}':<{width}}  {does}" for name, (usage, does) in COMMANDS.items()
    )
    parser = _Parser(
        prog="bayledger",
        usage="bayledger [BOOK] [--read] | bayledger --demo | bayledger COMMAND ...",
        description="The day book of a vehicle paint-care shop. Without a command it opens the\n"
        "window on BOOK, or on the last book.",
        epilog=f"commands:\n{listed}\n\nbayledger COMMAND --help says more about each. A book "
        "named like a command is\nopened as ./new.",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("book", nargs="?", type=Path, metavar="BOOK", help="the book to open")
    parser.add_argument(
        "--demo", action="store_true", help="open a copy of a made-up shop, to look around in"
    )
    parser.add_argument(
        "--read", action="store_true", help="only to read, also while it is open elsewhere"
    )
    parser.add_argument("--version", action="version", version=f"bayledger {_our_version()}")
    return parser


def _day(text: str) -> date:
    """A day as a command takes it: 2025-08-14, today or yesterday."""
    plain = text.strip().lower()
    if plain in ("today", "yesterday"):
        return date.min if plain == "today" else date.max
    return _written_day(plain)


def _written_day(text: str) -> date:
    """A day that is written out: 2025-08-14."""
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise argparse.ArgumentTypeError(f"“{text}” is no day; write 2025-08-14") from None


def command_parser(command: str) -> argparse.ArgumentParser:
    """The parser of one command."""
    usage, does = COMMANDS[command]
    parser = _Parser(
        prog=f"bayledger {command}",
        usage=f"bayledger {command} {usage}",
        description=does[0].upper() + does[1:] + ".",
    )
    if command == "template":
        parser.add_argument(
            "file", type=Path, metavar="FILE.xlsx", help="the workbook that is written"
        )
    elif command == "restore":
        parser.add_argument(
            "backup", type=Path, metavar="BACKUP", help="a backup of the book, also a sealed one"
        )
    if command != "template":
        said = _BOOKS.get(command, "the book, such as shop.bayledger")
        parser.add_argument("book", type=Path, metavar="BOOK", help=said)
    if command == "import":
        parser.add_argument(
            "files", type=Path, nargs="+", metavar="FILE", help="an .xlsx, .csv or .vcf file"
        )
        parser.add_argument(
            "--accept-proposals",
            action="store_true",
            help="take titles of jobs for the services that are proposed, and towels for a pool",
        )
        parser.add_argument(
            "--dry-run", action="store_true", help="say what would happen, and do nothing"
        )
        parser.add_argument(
            "--yes", action="store_true", help="also where the clock does not fit the book"
        )
    elif command in ("day", "close"):
        parser.add_argument(
            "--date", type=_day, metavar="D", help="2025-08-14, today (usual) or yesterday"
        )
        if command == "close":
            parser.add_argument(
                "--yes", action="store_true", help="also a day far from all days of the book"
            )
            parser.add_argument(
                "--out", type=Path, metavar="DIR", help="folder for order sheets, drafts, backup"
            )
        parser.add_argument("--json", action="store_true", help="as JSON, for other programs")
    elif command in ("export", "person", "accounts"):
        if command == "accounts":
            for name, words in (("from", "the first day; usual: 1 January"),
                                ("to", "the last day; usual: today")):  # fmt: skip
                dest = {"from": "first", "to": "last"}[name]
                parser.add_argument(
                    f"--{name}", type=_written_day, dest=dest, metavar="D", help=words
                )
        if command == "person":
            parser.add_argument("who", metavar="WHO", help="name or number of the customer")
        parser.add_argument(
            "file", type=Path, metavar="FILE.xlsx", help="the workbook that is written"
        )
    elif command == "calendar":
        parser.add_argument(
            "file", type=Path, metavar="FILE.ics", help="the calendar file that is written"
        )
        parser.add_argument("--without-holds", action="store_true", help="only hands on")
    elif command == "week":
        parser.add_argument("file", type=Path, metavar="FILE.pdf", help="the paper that is written")
        parser.add_argument(
            "--date", type=_written_day, metavar="D", help="its first day; usual: this Monday"
        )
    elif command == "erase":
        parser.add_argument("who", metavar="WHO", help="name or number of the customer")
        parser.add_argument("--yes", action="store_true", help="do it; it cannot be undone")
    elif command == "salvage":
        parser.add_argument(
            "new", type=Path, metavar="NEW", help="the new book that is written; BOOK is only read"
        )
        parser.add_argument(
            "--log", type=Path, metavar="LOG", help="a log that was moved aside, laid over BOOK"
        )
    elif command == "backup":
        parser.add_argument(
            "dest", type=Path, nargs="?", metavar="DEST", help="file or folder; usual: backups/"
        )
        parser.add_argument(
            "--paper", action="store_true", help="say how to get the book back on another PC"
        )
    elif command == "demo":
        parser.add_argument(
            "--years", type=float, default=2, metavar="N", help="years of work; usual: 2"
        )
        parser.add_argument(
            "--jobs-per-week", type=float, default=8, metavar="N", help="jobs of a week; usual: 8"
        )
        parser.add_argument(
            "--seed",
            type=int,
            default=1,
            metavar="S",
            help="another number, another shop; usual: 1",
        )
    return parser

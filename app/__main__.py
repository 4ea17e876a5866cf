"""The command line: opens the window, or runs one command beside it.

Exit codes: 0 done, 1 a person can mend it (one line says how), 2 wrong usage, 3 our bug.
"""

from __future__ import annotations

import argparse
import io
import json
import os
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from datetime import date, datetime, timedelta
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

from app.errors import Mendable, reason_of
from app.reports import log_folder, told

if TYPE_CHECKING:
    from app.actions.desk.desk import Desk

DONE, MENDABLE, USAGE, BUG = 0, 1, 2, 3

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
    "person": ("BOOK WHO FILE.xlsx", "write what is kept of one customer, also as text"),
    "check": ("BOOK", "say whether the book is whole"),
    "backup": ("BOOK [DEST] [--paper]", "copy the book while it is open"),
    "restore": ("BACKUP BOOK", "put a backup in the book's place"),
    "salvage": ("BOOK NEW", "make a new, whole book of what a damaged one still holds"),
    "demo": (
        "BOOK [--years N] [--jobs-per-week N] [--seed S]",
        "write a made-up shop of any size",
    ),
}


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command, or open the window; returns the exit code."""
    # What we write is for the one who wrote it: books, backups, exports, drafts and logs hold the
    # names of customers. Windows keeps this by the folders of each user (docs/commands.md).
    os.umask(0o077)
    if getattr(sys, "frozen", False):
        # A frozen program begins its other processes by itself; this one may be such.
        from multiprocessing import freeze_support

        freeze_support()
    given = list(sys.argv[1:] if arguments is None else arguments)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # a terminal may know fewer letters
    try:
        if given and given[0] in COMMANDS:
            code = _run(given[0], given[1:])
            print(end="", flush=True)  # what finds no room is told, not lost at the end
            return code
        return _window(given)
    except SystemExit as stop:  # argparse: help or wrong usage
        return stop.code if isinstance(stop.code, int) else USAGE
    except Mendable as trouble:
        return _say_mendable(trouble.sentence)
    except BrokenPipeError:
        # Whoever read our output has enough; nothing is left to say to them.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return DONE
    except KeyboardInterrupt:
        return _say_mendable("Stopped; what was not done yet is not half done either.")
    except OSError as trouble:
        where = f"{trouble.filename}: " if trouble.filename else ""
        return _say_mendable(f"{where}{reason_of(trouble)}; check the name and the disk.")
    except Exception as trouble:
        return _say_bug(told(trouble))


def _say_mendable(sentence: str) -> int:
    print(" ".join(sentence.split()), file=sys.stderr)
    return MENDABLE


def _say_bug(details: str) -> int:
    """Our own mistake: the details go to a file, without what was typed; one line says where."""
    import tempfile

    name = f"bayledger-{datetime.now():%Y%m%d-%H%M%S}.log"
    for folder in (log_folder(), None):
        try:
            place = folder or Path(tempfile.gettempdir())
            place.mkdir(parents=True, exist_ok=True)
            (place / name).write_text(details, encoding="utf-8")
        except OSError:
            continue
        print(
            f"Something went wrong that is our mistake; the book is whole. Details: {place / name}",
            file=sys.stderr,
        )
        return BUG
    print(details, file=sys.stderr)
    return BUG


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
        usage="bayledger [BOOK] | bayledger --demo | bayledger COMMAND ...",
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
    parser.add_argument("--version", action="version", version=f"bayledger {_our_version()}")
    return parser


def _window(given: Sequence[str]) -> int:
    wanted = top_parser().parse_args(given)
    if wanted.demo and wanted.book is not None:
        top_parser().error("--demo opens a book of its own; leave BOOK out")
    from app.bootstrap import open_window

    return open_window(wanted.book, demo=wanted.demo)


def _day(text: str) -> date:
    """A day as a command takes it: 2025-08-14, today or yesterday."""
    plain = text.strip().lower()
    if plain in ("today", "yesterday"):
        return date.min if plain == "today" else date.max
    try:
        return date.fromisoformat(plain)
    except ValueError:
        raise argparse.ArgumentTypeError(f"“{text}” is no day; write 2025-08-14") from None


def _on_day(desk: Desk, wanted: date | None) -> date:
    """The day that was asked for, by the shop's own calendar."""
    if wanted is None or wanted == date.min:
        return desk.today
    return desk.today - timedelta(days=1) if wanted == date.max else wanted


def command_parser(command: str) -> argparse.ArgumentParser:
    """The parser of one command."""
    usage, does = COMMANDS[command]
    parser = _Parser(
        prog=f"bayledger {command}",
        usage=f"bayledger {command} {usage}",
        description=does[0].upper() + does[1:] + ".",
    )
    if command == "template":
        parser.add_argument("file", type=Path, metavar="FILE.xlsx")
    elif command == "restore":
        parser.add_argument("backup", type=Path, metavar="BACKUP")
        parser.add_argument("book", type=Path, metavar="BOOK")
    else:
        parser.add_argument("book", type=Path, metavar="BOOK")
    if command == "import":
        parser.add_argument("files", type=Path, nargs="+", metavar="FILE")
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
        parser.add_argument("--json", action="store_true", help="as data: see docs/day-json.md")
    elif command in ("export", "person"):
        if command == "person":
            parser.add_argument("who", metavar="WHO", help="name or number of the customer")
        parser.add_argument("file", type=Path, metavar="FILE.xlsx")
    elif command == "salvage":
        parser.add_argument("new", type=Path, metavar="NEW")
    elif command == "backup":
        parser.add_argument(
            "dest", type=Path, nargs="?", metavar="DEST", help="file or folder; usual: backups/"
        )
        parser.add_argument(
            "--paper", action="store_true", help="say how to get the book back on another PC"
        )
    elif command == "demo":
        parser.add_argument("--years", type=float, default=2, metavar="N", help="usual: 2")
        parser.add_argument("--jobs-per-week", type=float, default=8, metavar="N", help="usual: 8")
        parser.add_argument("--seed", type=int, default=1, metavar="S", help="usual: 1")
    return parser


def _run(command: str, given: Sequence[str]) -> int:
    wanted = command_parser(command).parse_args(given)
    runners: dict[str, Callable[[argparse.Namespace], int]] = {
        "new": _new,
        "import": _import,
        "template": _template,
        "day": _show_day,
        "close": _close,
        "export": _export,
        "person": _person,
        "check": _check,
        "backup": _backup,
        "restore": _restore,
        "salvage": _salvage,
        "demo": _demo,
    }
    return runners[command](wanted)


@contextmanager
def _desk(path: Path, *, write: bool) -> Iterator[Desk]:
    from app.actions.desk.desk import Desk
    from app.records.book import Book

    with Book.open(path, write=write) as book, book.damage_told():
        if book.at_opening:
            print(book.at_opening, file=sys.stderr)
        yield Desk(book)


def _new(wanted: argparse.Namespace) -> int:
    from app.actions.opening import found_zone
    from app.records.book import Book

    with Book.create(wanted.book) as book:
        found_zone(book)
        print(f"{book.path} is a new, empty book.")
    return DONE


def _import(wanted: argparse.Namespace) -> int:
    from app.actions.exchange import bringing_in
    from app.actions.exchange.preview_lines import Choices

    with _desk(wanted.book, write=not wanted.dry_run) as desk:
        if not wanted.dry_run:
            _must_be_meant(desk, desk.today, yes=wanted.yes, undone="brought in")
        progress = _progress("read")
        readings = [bringing_in.read(desk, path, progress) for path in wanted.files]
        choices = Choices(accepts=wanted.accept_proposals)
        plan = bringing_in.preview(desk, readings, choices=choices)
        for sentence in (*plan.sentences(), *plan.notes):
            print(sentence)
        for line in plan.lines:
            if wanted.dry_run or line.problems:
                print(f"  {line.sentence()}")
            for problem in line.problems:
                print(f"    {problem}")
        for proposal in plan.proposals:
            print(f"  {proposal.sentence()}")
        if any(one.state == "proposed" for one in plan.proposals):
            print("--accept-proposals takes what is proposed.")
        if wanted.dry_run:
            print("Nothing was written: this was a dry run.")
            return DONE
        changed = bringing_in.bring_in(desk, plan, _progress("written"))
        print(changed.sentence or changed.name)
    return DONE


def _progress(word: str) -> Callable[[int, int], bool]:
    """Progress on the terminal's own line; nothing where no person watches."""
    watched = sys.stderr.isatty()

    def say(done: int, total: int) -> bool:
        if watched:
            end = "\n" if done >= total else ""
            print(f"\r{done:,} of {total:,} {word}", end=end, file=sys.stderr, flush=True)
        return True

    return say


def _template(wanted: argparse.Namespace) -> int:
    from app.actions.exchange.exporting import template

    print(f"{template(wanted.file, _say_aside)} is ready to be filled in.")
    return DONE


def _say_aside(aside: Path) -> None:
    print(f"What stood there before is {aside}.")


def _show_day(wanted: argparse.Namespace) -> int:
    from app.actions.day.day_report import day_json, day_text
    from app.actions.desk.meant_days import why_doubted

    with _desk(wanted.book, write=False) as desk:
        day = _on_day(desk, wanted.date)
        if wanted.json:
            _print_json(day_json(desk, day))
        else:
            print(day_text(desk, day))
        if why := why_doubted(desk, day):
            print(f"{why}.", file=sys.stderr)
    return DONE


def _print_json(data: dict[str, object]) -> None:
    plain = (sys.stdout.encoding or "").lower().replace("-", "") != "utf8"
    print(json.dumps(data, ensure_ascii=plain, indent=2))


def _close(wanted: argparse.Namespace) -> int:
    from app.actions.day.closing import close_day
    from app.actions.day.day_report import day_json

    with _desk(wanted.book, write=True) as desk:
        day = _on_day(desk, wanted.date)
        _must_be_meant(desk, day, yes=wanted.yes, undone="closed")
        closed = close_day(desk, day, out=wanted.out)
        if wanted.json:
            _print_json(day_json(desk, day, closed.files) | closed.written())
            if closed.already and not closed.trouble:
                print(closed.lines[0], file=sys.stderr)
        else:
            for line in closed.lines:
                if line not in closed.trouble:
                    print(line)
            for path in closed.files:
                print(f"  {path}")
    if closed.trouble:
        return _say_mendable(
            f"{' '.join(closed.trouble)} Mend that and close once more: only this is made up."
        )
    return DONE


def _must_be_meant(desk: Desk, day: date, *, yes: bool, undone: str) -> None:
    """Refuse to write on a day that is hardly meant, unless it was said to be."""
    from app.actions.day.closing import far_from_all
    from app.actions.desk.meant_days import why_doubted

    if yes:
        desk.meant.add(day)
    why = "" if yes else far_from_all(desk, day) or why_doubted(desk, day)
    if why:
        raise Mendable(f"{why}; add --yes if this day is meant. Nothing was {undone}.")


def _export(wanted: argparse.Namespace) -> int:
    from app.actions.exchange.exporting import export

    with _desk(wanted.book, write=False) as desk:
        path = export(desk, wanted.file, _progress("written"), _say_aside)
        print(f"Everything stands in {path}.")
    return DONE


def _person(wanted: argparse.Namespace) -> int:
    from app.actions.exchange.person_export import export_person, find_person

    with _desk(wanted.book, write=False) as desk:
        number = find_person(desk, wanted.who)
        path, text = export_person(desk, number, wanted.file, _say_aside)
        print(f"What the book holds of customer {number} stands in {path} and {text}.")
    return DONE


def _check(wanted: argparse.Namespace) -> int:
    with _desk(wanted.book, write=False) as desk:
        found = desk.book.check()
    for complaint in found:
        print(complaint)
    if found:
        many = "one thing is" if len(found) == 1 else f"{len(found)} things are"
        raise Mendable(f"{wanted.book} is not whole: {many} wrong; restore a backup.")
    print(f"{wanted.book} is whole.")
    return DONE


def _backup(wanted: argparse.Namespace) -> int:
    from app.backup_commands import back_up

    with _desk(wanted.book, write=False) as desk:
        trouble = back_up(desk, wanted.dest, paper=wanted.paper)
    return _say_mendable(trouble) if trouble else DONE


def _restore(wanted: argparse.Namespace) -> int:
    from app.backup_commands import put_back

    aside = put_back(wanted.backup, wanted.book)
    if aside is not None:
        _say_aside(aside)
    return DONE


def _salvage(wanted: argparse.Namespace) -> int:
    from app.records.salvage.salvaging import salvage

    told = salvage(wanted.book, wanted.new)
    print(f"{told.path} is a new, whole book; {wanted.book} is as it was.")
    for sentence in told.sentences():
        print(sentence)
    return DONE


def _demo(wanted: argparse.Namespace) -> int:
    from app.demo.story import build_demo

    def told(done: int, total: int) -> None:
        _progress("days told")(done, total)

    built = build_demo(
        wanted.book,
        years=wanted.years,
        jobs_per_week=wanted.jobs_per_week,
        seed=wanted.seed,
        progress=told,
    )
    print(
        f"{built.path}: a made-up shop with {built.days:,} days, {built.customers:,} customers and "
        f"{built.jobs:,} jobs."
    )
    return DONE


if __name__ == "__main__":
    sys.exit(main())

"""The command line: opens the window, or runs one command beside it.

Exit codes: 0 done, 1 a person can mend it (one line says how), 2 wrong usage, 3 our bug.
"""

from __future__ import annotations

import argparse
import gc
import io
import os
import sys
from collections.abc import Callable, Sequence
from datetime import datetime
from importlib import import_module
from pathlib import Path

from app.commands.saying import DONE, say_mendable
from app.commands.usage import COMMANDS, USAGE, command_parser, top_parser
from app.errors import Mendable, reason_of
from app.reports import log_folder, told

BUG = 3
# Where each command is done: its module in `commands`, which is loaded only then, and its function.
_DONE_BY = {
    "new": "book_commands.begin",
    "import": "file_commands.bring_in",
    "template": "file_commands.write_template",
    "day": "day_commands.show_day",
    "close": "day_commands.close",
    "export": "file_commands.write_all",
    "accounts": "file_commands.write_accounts",
    "calendar": "file_commands.write_calendar",
    "week": "file_commands.write_week",
    "person": "file_commands.write_person",
    "erase": "file_commands.erase",
    "check": "book_commands.check",
    "backup": "backup_commands.back_up",
    "restore": "backup_commands.restore",
    "salvage": "book_commands.get_out",
    "demo": "book_commands.make_up",
}


# Objects made, and collections after that, before Python looks for such as hold each other: a book
# of ten years is a hundred thousand rows, and to look through them took a fifth of every reading.
LOOKED_THROUGH = (20_000, 10, 10)


def ready_python() -> None:
    """Set Python up for a book of many years; before numpy is imported."""
    gc.set_threshold(*LOOKED_THROUGH)
    # Our sums are small: threads for them would wait for one another by spinning.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command, or open the window; returns the exit code."""
    # What we write is for the one who wrote it: books, backups, exports, drafts and logs hold the
    # names of customers. Windows keeps this by the folders of each user (docs/commands.md).
    os.umask(0o077)
    ready_python()
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
        return say_mendable(trouble.sentence)
    except BrokenPipeError:
        # Whoever read our output has enough; nothing is left to say to them.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return DONE
    except KeyboardInterrupt:
        return say_mendable("Stopped; what was not done yet is not half done either.")
    except OSError as trouble:
        where = f"{trouble.filename}: " if trouble.filename else ""
        return say_mendable(f"{where}{reason_of(trouble)}; check the name and the disk.")
    except Exception as trouble:
        return _say_bug(told(trouble))


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


def _window(given: Sequence[str]) -> int:
    wanted = top_parser().parse_args(given)
    if wanted.demo and wanted.book is not None:
        top_parser().error("--demo opens a book of its own; leave BOOK out")
    if wanted.demo and wanted.read:
        top_parser().error("--demo opens a copy, in which anything may be tried; leave --read out")
    from app.bootstrap import open_window

    return open_window(wanted.book, demo=wanted.demo, reading=wanted.read)


def _run(command: str, given: Sequence[str]) -> int:
    wanted = command_parser(command).parse_args(given)
    module, name = _DONE_BY[command].split(".")
    do: Callable[[argparse.Namespace], int] = getattr(import_module(f"app.commands.{module}"), name)
    return do(wanted)


if __name__ == "__main__":
    sys.exit(main())

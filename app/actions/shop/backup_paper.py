"""How to get the book back on another PC, in eight lines to print and to put away."""

from __future__ import annotations

from pathlib import Path

from app.actions.desk.desk import Desk
from app.calculations.numbers.dates import day_year
from app.records.storage import backup, sealing


def paper_lines(desk: Desk) -> tuple[str, ...]:
    """Eight lines that need nothing else: where backups lie, and what to type."""
    book, settings = desk.book.path.resolve(), desk.settings
    own, other = str(backup.folder_of(book)), settings.backup_folder
    sealed = bool(other and settings.backup_salt)
    lie = f"in {other}; else in {own} of the old PC" if other else f"in {own} of the old PC"
    name = _example(book, Path(other) if other else None, sealed) or (
        f"{book.stem} {desk.today} 180000.bayledger{sealing.SUFFIX if sealed else ''}"
    )
    asks = (
        "It asks for your passphrase. Only you know it: it stands neither here nor in the book."
        if sealed
        else "It asks for no passphrase: these backups are not sealed."
    )
    shop = settings.shop_name or book.stem
    return (
        f"To get the book of {shop} back on another PC. Written on {day_year(desk.today)}.",
        "1. Set up Bayledger there as its README.md says.",
        f"2. Find the backups: {lie}.",
        "3. Copy the newest one into a folder of your own; its name says its day and time.",
        "4. Open a terminal in that folder and type this line, with the name of your backup:",
        f'   bayledger restore "{name}" "{book.name}"',
        f"5. {asks}",
        f'6. Type: bayledger check "{book.name}" and, to open it: bayledger "{book.name}"',
    )


def _example(book: Path, other: Path | None, sealed: bool) -> str:
    """The name of the newest backup where the paper says to look first."""
    found = [one for one in backup.copies(book, other) if not one.why and one.sealed == sealed]
    return found[0].path.name if found else ""

"""Backups as the shop has set them up: beside the book, in a second place, sealed or not."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from app.actions.desk.desk import NOTHING, Changed, Desk
from app.actions.shop.shop_settings import change_settings
from app.calculations.numbers.dates import day_year, weekday_day
from app.calculations.numbers.wording import count_of, noun
from app.errors import BookDamaged, Mendable, reason_of
from app.records.queries.days import closed_last
from app.records.storage import backup, sealing
from app.records.storage.engine import whole_or_refuse
from app.records.storage.migrating import recognize
from app.records.storage.sealing import Key
from app.records.undo.action_log import first_action_at

SERVICE = "bayledger backup"
SHORTEST = 12  # letters of a passphrase; common practice, no source
HERE, THERE = "beside the book", "second place"


@dataclass(frozen=True)
class Made:
    """What making a backup came to: the copy, the jobs it holds, the copy in the second place."""

    path: Path | None
    jobs: int = 0
    second: Path | None = None
    trouble: tuple[str, ...] = ()

    @property
    def paths(self) -> tuple[Path, ...]:
        """The files that were written."""
        return tuple(path for path in (self.path, self.second) if path is not None)

    @property
    def sentence(self) -> str:
        """What was made, without what went wrong."""
        if self.path is None:
            return f"Second backup in {self.second}." if self.second else ""
        beside = f", and in {self.second.parent}" if self.second else ""
        return f"Backup in {self.path}, with {count_of(self.jobs, 'job')}{beside}."


NONE_MADE = Made(None)


@dataclass(frozen=True)
class Kept:
    """A backup as the page of them shows it."""

    path: Path
    text: str  # `Thu 14 Aug 2025, 17:54`
    place: str
    why: str
    size: int  # bytes
    jobs: int | None  # None: it does not open
    sealed: bool
    anothers: bool = False  # of another book of this name, or sealed with another passphrase


def back_up(
    desk: Desk,
    to: Path | None = None,
    *,
    first: bool = True,
    second: bool = True,
    turn: int | None = None,
) -> Made:
    """Copy the book beside itself, or to `to`, and to the second place if one is set.

    Each copy stands for itself: what is wrong with one is said and keeps none from the other. With
    a `turn` each looks at a part of its indexes, as after a close.
    """
    path = other = None
    jobs, trouble = 0, []
    if first:
        try:
            path = desk.book.backup(to, turn=turn)
            jobs = backup.jobs_in(path)
        except Mendable as wrong:
            trouble.append(f"there is no backup: {wrong}")
    looked_at = to is None and desk.book.is_looked_at  # whoever writes in it backs it up
    if second and desk.settings.backup_folder and not looked_at:
        try:
            other = _second(desk, Path(desk.settings.backup_folder), turn)
        except (Mendable, OSError) as wrong:
            trouble.append(f"there is no second backup: {reason_of(wrong)}")
    return Made(path, jobs, other, tuple(trouble))


def _second(desk: Desk, folder: Path, turn: int | None) -> Path:
    key = kept_key(desk)
    if not folder.is_dir():
        raise Mendable(f"The folder {folder} is not there; put the stick in or connect the disk.")
    _refuse_anothers(desk, folder)
    made = desk.book.backup(folder, key, turn)
    backup.thin_out(folder, desk.book.path.stem)
    return made


def _refuse_anothers(desk: Desk, folder: Path) -> None:
    """Where another book of this name has its copies, ours would lie among them."""
    found = backup.copies(desk.book.path, folder)
    plain = next((one.path for one in found if not one.sealed), None)
    if plain is not None and backup.is_anothers(plain, _whose(desk)):
        raise Mendable(
            f"{folder} holds backups of another book that is named {desk.book.path.stem} too; "
            "choose a folder of its own for this one in the settings, or rename one of the books."
        )


def _whose(desk: Desk) -> str:
    """What the plain copies of this book have in common, and those of no other have."""
    with desk.book.reading() as session:
        return first_action_at(session)


def newest_second(desk: Desk) -> Path | None:
    """The newest copy of this book in the second place, of the kind that is made there now.

    Sealed ones are known by the salt of their passphrase, which each book draws for itself.
    """
    salt, whose = desk.settings.backup_salt, _whose(desk)
    for one in backup.copies(desk.book.path, Path(desk.settings.backup_folder)):
        if one.why or one.sealed != bool(salt):
            continue
        if _salt_of(one.path) == salt if salt else not backup.is_anothers(one.path, whose):
            return one.path
    return None


def _salt_of(sealed: Path) -> str:
    """The salt of the passphrase of a sealed copy; nothing where its head cannot be read."""
    try:
        return sealing.read_head(sealed).salt.hex()
    except (Mendable, OSError):
        return ""


# the passphrase --------------------------------------------------------------------------------
def kept_key(desk: Desk) -> Key | None:
    """The key of the passphrase, from the keyring; None where none is set.

    `Mendable` where one is set and the keyring has not its key: nothing goes out unsealed then.
    """
    if not desk.settings.backup_salt:
        return None
    import keyring
    from keyring.errors import KeyringError

    try:
        return Key.from_text(keyring.get_password(SERVICE, desk.settings.backup_salt) or "")
    except (KeyringError, ValueError):
        raise Mendable(
            "The key of the backups’ passphrase is not in this system’s keyring; type the "
            "passphrase again in the settings."
        ) from None


def set_passphrase(desk: Desk, typed: str, again: str) -> Changed:
    """Seal the copies in the second place from now on; what lies there stays as it was sealed.

    The key goes to the system's keyring, its salt into the book, the passphrase nowhere.
    """
    if typed != again:
        raise Mendable("The two passphrases differ; type both again.", field="again")
    if len(typed) < SHORTEST or not typed.strip():
        raise Mendable(
            f"A passphrase has {SHORTEST} letters at least; a few words that only you put "
            "together do well."
        )
    import keyring
    from keyring.errors import KeyringError

    key = sealing.new_key(typed)
    try:
        keyring.set_password(SERVICE, key.salt.hex(), key.text())
    except KeyringError as trouble:
        raise Mendable(
            "This system has no keyring that could keep the key of the passphrase; set one up "
            "first. Nothing was changed."
        ) from trouble
    changed = change_settings(desk, backup_salt=key.salt.hex())
    older = _sealed_otherwise(desk)
    if not older:
        return changed
    are = noun(older, "copy in the second place is", "copies in the second place are")
    told = f"{older} older {are} not sealed with it; take away what nobody else is to read."
    return replace(changed, sentence=f"{changed.sentence or f'{changed.name}.'} {told}")


def _sealed_otherwise(desk: Desk) -> int:
    """How many copies of this book in the second place a set passphrase does not open."""
    folder, salt = desk.settings.backup_folder, desk.settings.backup_salt
    found = backup.copies(desk.book.path, Path(folder)) if folder else []
    return sum(not one.sealed or _salt_of(one.path) != salt for one in found)


def seal_no_more(desk: Desk) -> Changed:
    """Copies in the second place are plain again from now on."""
    return change_settings(desk, backup_salt="") if desk.settings.backup_salt else NOTHING


# looking at them -------------------------------------------------------------------------------
def kept_backups(desk: Desk) -> list[Kept]:
    """All backups of this book, the newest first, each looked into for what it holds."""
    places: list[tuple[str, Path | None]] = [(HERE, None)]
    if desk.settings.backup_folder:
        places.append((THERE, Path(desk.settings.backup_folder)))
    found = [(copy, place) for place, at in places for copy in backup.copies(desk.book.path, at)]
    found.sort(key=lambda one: one[0].made, reverse=True)
    salt, whose = desk.settings.backup_salt, _whose(desk)
    return [
        Kept(
            copy.path,
            f"{weekday_day(copy.made.date())} {copy.made.year}, {copy.made:%H:%M}",
            place,
            copy.why,
            copy.size,
            _jobs(copy.path),
            copy.sealed,
            _salt_of(copy.path) != (salt or _salt_of(copy.path))
            if copy.sealed
            else backup.is_anothers(copy.path, whose),
        )
        for copy, place in found
    ]


def _jobs(path: Path) -> int | None:
    try:
        return backup.jobs_in(path)
    except (Mendable, OSError):
        return None


def key_of(desk: Desk, sealed: Path, passphrase: str = "") -> Key | None:
    """The key that opens a backup: the kept one where it fits, else that of a typed passphrase.

    None where the backup is plain. `Mendable` where a passphrase has to be typed.
    """
    if not sealing.is_sealed(sealed):
        return None
    if passphrase:
        return sealing.key_for(sealed, passphrase)
    if desk.settings.backup_salt == sealing.read_head(sealed).salt.hex():
        key = kept_key(desk)
        if key is not None:
            return key
    raise Mendable("This backup is sealed; type the passphrase that it was sealed with below.")


def opens(desk: Desk, path: Path, passphrase: str = "") -> Key | None:
    """Open a backup and read it through before the book is let go for it; the key that opened it.

    `Mendable` where it does not open, or is not whole.
    """
    try:
        key = key_of(desk, path, passphrase)
        with backup.opened(path, key) as plain:
            recognize(plain)
            whole_or_refuse(plain)
    except BookDamaged as wrong:
        raise Mendable(f"{path} is damaged; choose another backup. The book stays.") from wrong
    return key


def look_at_newest(desk: Desk) -> str:
    """Open the newest backup and read it through: `Your backup of Friday opens and holds ...`.

    `Mendable` where there is none, or it is not whole. The one in the second place is looked at
    too, where that is there. Nothing before the first close: then there is none to miss.
    """
    newest = desk.book.newest_backup()
    if newest is None:
        with desk.book.reading() as session:
            if closed_last(session) is None:
                return ""
        raise Mendable("There is no backup of this book yet; close a day, or make one.")
    said = [f"Your backup of {_day_of(desk, newest)} opens and holds {_whole(newest, None)}"]
    second = newest_second(desk) if desk.settings.backup_folder else None
    if second is not None:
        jobs = _whole(second, kept_key(desk))
        said.append(f"the one of {_day_of(desk, second)} in {second.parent} {jobs}")
    return ", ".join(said)


def _whole(path: Path, key: Key | None) -> str:
    try:
        with backup.opened(path, key) as plain:
            whole_or_refuse(plain)
            recognize(plain)
            return count_of(backup.jobs_in(plain), "job")
    except BookDamaged as wrong:
        raise Mendable(f"The backup {path} is damaged; make another one now.") from wrong


def _day_of(desk: Desk, path: Path) -> str:
    """The day of a backup as one says it: the weekday within a week, else the date."""
    copies = backup.copies(desk.book.path, path.parent)
    day: date = next(one.made.date() for one in copies if one.path == path)
    return f"{day:%A}" if 0 <= (desk.today - day).days < 7 else day_year(day)

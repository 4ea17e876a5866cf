"""The files of photos: each kept as it came, under its own hash, in a folder beside the book.

Nothing there is ever written over or deleted: a row of the book taken out and back again finds its
file, and a backup that is brought back finds those of its day. A copy of the book goes with the
folder `photos` beside it; backups have theirs beside the copies, sealed where the copies are.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import suppress
from hashlib import sha256
from pathlib import Path
from tempfile import TemporaryDirectory

from sqlalchemy import Connection, Engine, inspect, select

from app.errors import Mendable, reason_of
from app.paths import flush_to_disk
from app.records.models import Photo
from app.records.storage import sealing

FOLDER = "photos"
MISSING, ALTERED = "missing", "altered"
_UNFINISHED = ".unfinished"
_BLOCK = 1 << 20


def folder_of(book: Path) -> Path:
    """Where the photos of a book lie."""
    return Path(book).resolve().parent / FOLDER


def path_in(folder: Path, digest: str, form: str) -> Path:
    """Where a photo lies in such a folder."""
    return folder / digest[:2] / f"{digest}.{form}"


def keep(book: Path, data: bytes, digest: str, form: str) -> Path:
    """Keep a photo as it came; it is there whole or not at all. One that is there already stays."""
    target = path_in(folder_of(book), digest, form)
    if not _holds(target, digest):
        _put(target, data)
    return target


def stands(book: Path, digest: str, form: str) -> str:
    """ "" where a photo lies there as it came, else `missing` or `altered`."""
    path = path_in(folder_of(book), digest, form)
    if not path.is_file():
        return MISSING
    return "" if _holds(path, digest) else ALTERED


def copy_to(engine: Engine, book: Path, folder: Path, key: sealing.Key | None = None) -> None:
    """Copy the photos of a book that are not there yet into the `photos` of another folder, sealed
    with a key; what is missing or altered stays behind (`check` says so)."""
    own, other = folder_of(book), folder.resolve() / FOLDER
    with engine.connect() as connection:
        wanted = list(_kept(connection))
    for digest, form in wanted:
        source, target = path_in(own, digest, form), path_in(other, digest, form)
        if key is not None:
            target = target.with_name(target.name + sealing.SUFFIX)
        if source == target or target.is_file() or not _holds(source, digest):
            continue
        try:
            if key is None:
                _put(target, source.read_bytes())
                continue
            target.parent.mkdir(parents=True, exist_ok=True)
            unfinished = target.with_name(target.name + _UNFINISHED)
            sealing.seal(source, unfinished, key, 0)
            os.replace(unfinished, target)
        except OSError as trouble:
            raise Mendable(
                f"A photo could not be copied to {other} ({reason_of(trouble)}); the copy of the "
                "book itself stands. Check the disk."
            ) from trouble


def bring_back(engine: Engine, folder: Path, book: Path, key: sealing.Key | None = None) -> None:
    """Put back the photos of a book that it lacks from a folder of backups or of an export."""
    other = folder.resolve() / FOLDER
    with engine.connect() as connection:
        wanted = list(_kept(connection))
    for digest, form in wanted:
        target, source = path_in(folder_of(book), digest, form), path_in(other, digest, form)
        if _holds(target, digest):
            continue
        sealed = source.with_name(source.name + sealing.SUFFIX)
        with suppress(OSError, Mendable):  # one that does not come back is named by `check`
            if _holds(source, digest):
                _put(target, source.read_bytes())
            elif key is not None and sealed.is_file():
                with TemporaryDirectory(prefix="bayledger-") as passing:
                    plain = Path(passing) / "photo"
                    sealing.unseal(sealed, plain, key)
                    _put(target, plain.read_bytes())


def complaints_of(engine: Engine, book: Path) -> list[str]:
    """A sentence for each photo that is missing, or was altered; the first ten of each."""
    with engine.connect() as connection:
        rows = connection.execute(
            select(Photo.sha256, Photo.form, Photo.name, Photo.day).order_by(Photo.id)
        ).all()
    stand = [(one, stands(book, one.sha256, one.form)) for one in rows]
    found = []
    for state, words in ((MISSING, "is missing"), (ALTERED, "was altered")):
        some = [one for one, how in stand if how == state]
        found += [
            f"The photo {one.name or 'without a name'} of {one.day} {words} in the folder "
            f"{FOLDER} beside the book."
            for one in some[:10]
        ]
    return found


def _kept(connection: Connection) -> Iterator[tuple[str, str]]:
    """Each photo once; none in a book of before there were any."""
    if not inspect(connection).has_table(Photo.__tablename__):
        return
    rows = connection.execute(select(Photo.sha256, Photo.form).distinct())
    yield from ((digest, form) for digest, form in rows)


def _holds(path: Path, digest: str) -> bool:
    """Whether a file lies there whose content is what its name says."""
    try:
        with path.open("rb") as file:
            summed = sha256()
            while block := file.read(_BLOCK):
                summed.update(block)
    except OSError:
        return False
    return summed.hexdigest() == digest


def _put(target: Path, data: bytes) -> None:
    unfinished = target.with_name(target.name + _UNFINISHED)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        unfinished.write_bytes(data)
        os.replace(unfinished, target)
        flush_to_disk(target)
    except OSError as trouble:
        with suppress(OSError):
            unfinished.unlink(missing_ok=True)
        raise Mendable(
            f"The photo could not be kept in {target.parent} ({reason_of(trouble)}); check the "
            "disk."
        ) from trouble

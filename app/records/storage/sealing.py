"""Sealed copies: a backup in a strange place that only its passphrase opens.

A sealed file is a head, an empty piece, and the copy in pieces of a mebibyte. Each piece is
encrypted and authenticated with AES-256-GCM, together with the whole head, under the next number,
the last one marked as the last: none can be changed, moved, left out or cut off unseen (the STREAM
construction, Hoang, Reyhanitabar, Rogaway and Vizár, 2015). The empty piece tells a wrong
passphrase from damage. The passphrase goes through scrypt (RFC 7914) with a salt; from what comes
of it HKDF (RFC 5869) takes a key for each file by a salt of the file's own, so that no number is
used twice under one key.
"""

from __future__ import annotations

import hashlib
import os
import struct
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

from app.errors import BookDamaged, Mendable

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.ciphers.aead import AESGCM

SUFFIX = ".sealed"
MAGIC, VERSION = b"BAYSEAL", 1
PIECE = 1 << 20  # bytes of the copy in each piece
# 128 MiB of memory and about half a second for each passphrase that is tried.
COST, BLOCKS, LANES = 17, 8, 1  # log2 of scrypt's N, its r and its p
_MOST = (20, 16, 4)  # what a file may ask of this computer: 2 GiB of memory
_TAG = 16
_PURPOSE = b"bayledger sealed backup 1"
# magic, version, the three numbers of scrypt, its salt, the file's salt, how many jobs it holds
_HEAD = struct.Struct(">7sBBBB16s16sI")


@dataclass(frozen=True)
class Key:
    """What a passphrase comes to, with what it was worked out by; kept in the system's keyring."""

    cost: int
    blocks: int
    lanes: int
    salt: bytes
    secret: bytes

    def text(self) -> str:
        """As the keyring keeps it."""
        numbers = f"{self.cost} {self.blocks} {self.lanes}"
        return f"{numbers} {self.salt.hex()} {self.secret.hex()}"

    @classmethod
    def from_text(cls, text: str) -> Key:
        """From what the keyring kept; ValueError where that is something else."""
        cost, blocks, lanes, salt, secret = text.split()
        return cls(int(cost), int(blocks), int(lanes), bytes.fromhex(salt), bytes.fromhex(secret))


@dataclass(frozen=True)
class Head:
    """The beginning of a sealed file, which is not secret."""

    cost: int
    blocks: int
    lanes: int
    salt: bytes
    file_salt: bytes
    jobs: int

    def packed(self) -> bytes:
        """The bytes of it."""
        numbers = (self.cost, self.blocks, self.lanes)
        return _HEAD.pack(MAGIC, VERSION, *numbers, self.salt, self.file_salt, self.jobs)


def new_key(passphrase: str) -> Key:
    """The key for copies to come, with a salt of its own."""
    return _key(passphrase, COST, BLOCKS, LANES, os.urandom(16))


def key_for(sealed: Path, passphrase: str) -> Key:
    """The key of a sealed file, if this is its passphrase."""
    head = read_head(sealed)
    return _key(passphrase, head.cost, head.blocks, head.lanes, head.salt)


def _key(passphrase: str, cost: int, blocks: int, lanes: int, salt: bytes) -> Key:
    import unicodedata

    from cryptography.hazmat.primitives.kdf.scrypt import Scrypt

    # The same letters typed on another keyboard are the same bytes.
    plain = unicodedata.normalize("NFC", passphrase).encode()
    secret = Scrypt(salt=salt, length=32, n=1 << cost, r=blocks, p=lanes).derive(plain)
    return Key(cost, blocks, lanes, salt, secret)


def is_sealed(path: Path) -> bool:
    """Whether a file begins as a sealed copy does."""
    try:
        with path.open("rb") as file:
            return file.read(len(MAGIC)) == MAGIC
    except OSError:
        return False


def read_head(path: Path) -> Head:
    """What a sealed file says of itself; `Mendable` where it is none or of a newer version."""
    with path.open("rb") as file:
        return _head_of(path, file.read(_HEAD.size))


def _head_of(path: Path, head: bytes) -> Head:
    if not head.startswith(MAGIC) or len(head) < _HEAD.size:
        raise BookDamaged(f"{path} is no sealed backup, or cut off; use another one.")
    _, version, cost, blocks, lanes, salt, file_salt, jobs = _HEAD.unpack(head)
    if version != VERSION:
        raise Mendable(f"{path} was sealed by a newer version; install that and try again.")
    asked = zip((cost, blocks, lanes), _MOST, strict=True)
    if not all(1 <= one <= most for one, most in asked):
        raise BookDamaged(f"The head of {path} is damaged; use another backup.")
    return Head(cost, blocks, lanes, salt, file_salt, jobs)


def seal(copy: Path, sealed: Path, key: Key, jobs: int) -> None:
    """Write a sealed file from a whole copy, and read it back: `BookDamaged` where it differs."""
    head = Head(key.cost, key.blocks, key.lanes, key.salt, os.urandom(16), jobs)
    packed, cipher = head.packed(), _cipher(key, head)
    digest = hashlib.sha256()
    with copy.open("rb") as source, sealed.open("wb") as target:
        target.write(packed)
        target.write(cipher.encrypt(_number(0, last=False), b"", packed))
        for number, piece, last in _pieces(source, PIECE):
            digest.update(piece)
            target.write(cipher.encrypt(_number(number, last=last), piece, packed))
        target.flush()
        os.fsync(target.fileno())
    back = hashlib.sha256()
    for piece in _opened(sealed, key):
        back.update(piece)
    if back.digest() != digest.digest():
        raise BookDamaged(f"{sealed} cannot be read as it was written; check the disk.")


def unseal(sealed: Path, to: Path, key: Key) -> None:
    """Write the copy that a sealed file holds; `Mendable` where the passphrase does not fit."""
    with to.open("wb") as target:
        for piece in _opened(sealed, key):
            target.write(piece)


def _opened(sealed: Path, key: Key) -> Iterator[bytes]:
    from cryptography.exceptions import InvalidTag

    with sealed.open("rb") as source:
        packed = source.read(_HEAD.size)
        head = _head_of(sealed, packed)
        cipher = _cipher(key, head)
        try:
            cipher.decrypt(_number(0, last=False), source.read(_TAG), packed)
        except InvalidTag:
            raise Mendable(
                f"The passphrase does not open {sealed.name}; type it again, small and capital "
                "letters as they were. Where it is right, the head of the file is damaged: use "
                "another backup."
            ) from None
        try:
            for number, piece, last in _pieces(source, PIECE + _TAG):
                yield cipher.decrypt(_number(number, last=last), piece, packed)
        except InvalidTag:
            raise BookDamaged(
                f"{sealed} is damaged or cut off: not all of it is as it was written; use "
                "another backup."
            ) from None


def _cipher(key: Key, head: Head) -> AESGCM:
    from cryptography.hazmat.primitives.ciphers.aead import AESGCM
    from cryptography.hazmat.primitives.hashes import SHA256
    from cryptography.hazmat.primitives.kdf.hkdf import HKDF

    return AESGCM(HKDF(SHA256(), 32, head.file_salt, _PURPOSE).derive(key.secret))


def _number(number: int, *, last: bool) -> bytes:
    return number.to_bytes(11, "big") + bytes([last])


def _pieces(source: BinaryIO, size: int) -> Iterator[tuple[int, bytes, bool]]:
    """The rest of a file in pieces numbered from 1, and whether each is the last."""
    number, piece = 1, source.read(size)
    while True:
        following = source.read(size)
        yield number, piece, not following
        if not following:
            return
        number, piece = number + 1, following

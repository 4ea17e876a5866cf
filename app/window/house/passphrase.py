"""A passphrase as it is kept: never itself, only a hash that takes a while to try."""

from __future__ import annotations

import hashlib
import hmac
import os
import unicodedata

# 2^14, 8, 1: interactive use, 16 MB and some tens of milliseconds (RFC 7914 and its paper).
_COST, _BLOCK, _PARALLEL = 14, 8, 1


def hashed(passphrase: str) -> str:
    """What is kept of a passphrase: the way of hashing, its numbers, a fresh salt and the hash."""
    salt = os.urandom(16)
    found = _scrypt(passphrase, salt, _COST, _BLOCK, _PARALLEL)
    return f"scrypt:{_COST}:{_BLOCK}:{_PARALLEL}:{salt.hex()}:{found.hex()}"


def fits(passphrase: str, kept: str) -> bool:
    """Whether it is the passphrase of which this was kept; what was not written here fits none."""
    try:
        way, cost, block, parallel, salt, found = kept.split(":")
        if way != "scrypt":
            return False
        tried = _scrypt(passphrase, bytes.fromhex(salt), int(cost), int(block), int(parallel))
    except (ValueError, TypeError, MemoryError, OverflowError):
        return False
    return hmac.compare_digest(tried.hex(), found)


def _scrypt(passphrase: str, salt: bytes, cost: int, block: int, parallel: int) -> bytes:
    # One letter may be told by different signs; the same keys must open, on any keyboard.
    plain = unicodedata.normalize("NFC", passphrase).encode()
    return hashlib.scrypt(plain, salt=salt, n=2**cost, r=block, p=parallel, dklen=32)

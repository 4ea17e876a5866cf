"""What happens to the bytes of a book on an old disk, by a seed."""

from __future__ import annotations

from collections.abc import Callable
from random import Random

PAGE = 4096


def _flipped_bits(data: bytes, dice: Random) -> bytes:
    harmed = bytearray(data)
    for _ in range(dice.choice((1, 5, 40, 400))):
        harmed[dice.randrange(len(harmed))] ^= 1 << dice.randrange(8)
    return bytes(harmed)


def _cut_off(data: bytes, dice: Random) -> bytes:
    return data[: dice.randrange(1, len(data))]


def _zeroed_pages(data: bytes, dice: Random) -> bytes:
    harmed = bytearray(data)
    for _ in range(dice.choice((1, 1, 3, 10))):
        at = PAGE * dice.randrange(len(harmed) // PAGE)
        harmed[at : at + PAGE] = bytes(PAGE)
    return bytes(harmed)


def _written_over(data: bytes, dice: Random) -> bytes:
    harmed = bytearray(data)
    for _ in range(dice.choice((1, 1, 3))):
        at = dice.randrange(len(harmed))
        length = len(harmed[at : at + dice.randrange(1, 6000)])
        harmed[at : at + length] = dice.randbytes(length)
    return bytes(harmed)


HARM: dict[str, Callable[[bytes, Random], bytes]] = {
    "bits flipped": _flipped_bits,
    "cut off": _cut_off,
    "pages zeroed": _zeroed_pages,
    "written over": _written_over,
}

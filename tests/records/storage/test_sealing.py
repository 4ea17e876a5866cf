"""A sealed copy opens with its passphrase only, and whatever was done to it is seen."""

from __future__ import annotations

import hashlib
import random
from pathlib import Path

import pytest
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from cryptography.hazmat.primitives.kdf.hkdf import HKDF

from app.errors import BookDamaged, Mendable
from app.records.storage import sealing
from app.records.storage.sealing import PIECE, Key

HEAD, TAG = 47, 16
KEY = Key(4, 8, 1, bytes(range(16)), bytes(range(32)))


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    """Two pieces and a half of bytes."""
    made = tmp_path / "copy"
    made.write_bytes(random.Random(1).randbytes(2 * PIECE + PIECE // 2))
    return made


@pytest.fixture
def sealed(copy: Path, tmp_path: Path) -> Path:
    made = tmp_path / "copy.sealed"
    sealing.seal(copy, made, KEY, 812)
    return made


def opens(sealed: Path, key: Key = KEY) -> bytes:
    target = sealed.with_name("opened")
    sealing.unseal(sealed, target, key)
    return target.read_bytes()


@pytest.mark.parametrize("size", [0, 1, PIECE - 1, PIECE, PIECE + 1, 3 * PIECE])
def test_what_is_sealed_comes_back_byte_for_byte(size: int, tmp_path: Path) -> None:
    made = random.Random(size).randbytes(size)
    (tmp_path / "copy").write_bytes(made)
    sealing.seal(tmp_path / "copy", tmp_path / "sealed", KEY, 1)
    assert opens(tmp_path / "sealed") == made


def test_a_passphrase_opens_what_it_sealed_however_its_letters_are_put_together(
    copy: Path, tmp_path: Path
) -> None:
    key = sealing.new_key("früh auf, Bram 1987")
    sealing.seal(copy, tmp_path / "sealed", key, 1)
    again = sealing.key_for(tmp_path / "sealed", "fru\u0308h auf, Bram 1987")
    assert again == key
    assert opens(tmp_path / "sealed", again) == copy.read_bytes()
    wrong = sealing.key_for(tmp_path / "sealed", "Früh auf, Bram 1987")
    with pytest.raises(Mendable, match="The passphrase does not open sealed; type it again"):
        opens(tmp_path / "sealed", wrong)
    assert sealing.new_key("früh auf, Bram 1987").secret != key.secret


def test_the_file_is_as_it_is_described(copy: Path, tmp_path: Path) -> None:
    # Read by hand with the other scrypt that Python has (OpenSSL's, hashlib), piece by piece.
    passphrase = "three wet towels"
    key = sealing.new_key(passphrase)
    sealing.seal(copy, tmp_path / "sealed", key, 812)
    found = (tmp_path / "sealed").read_bytes()
    head, rest = found[:HEAD], found[HEAD:]
    assert head[:8] == b"BAYSEAL\x01"
    cost, blocks, lanes = head[8:11]
    salt, own, jobs = head[11:27], head[27:43], int.from_bytes(head[43:47], "big")
    assert jobs == 812
    secret = hashlib.scrypt(
        passphrase.encode(), salt=salt, n=2**cost, r=blocks, p=lanes, maxmem=2**28, dklen=32
    )
    one = HKDF(hashes.SHA256(), 32, own, b"bayledger sealed backup 1").derive(secret)
    cipher = AESGCM(one)
    assert cipher.decrypt(bytes(12), rest[:TAG], head) == b""
    rest, opened, number = rest[TAG:], b"", 1
    while rest:
        piece, rest = rest[: PIECE + TAG], rest[PIECE + TAG :]
        nonce = number.to_bytes(11, "big") + (b"\0" if rest else b"\1")
        opened, number = opened + cipher.decrypt(nonce, piece, head), number + 1
    assert opened == copy.read_bytes()
    assert (cost, blocks, lanes) == (17, 8, 1)  # the first of OWASP's for scrypt


def test_two_files_of_one_key_have_no_byte_of_the_copy_in_common(
    copy: Path, sealed: Path, tmp_path: Path
) -> None:
    sealing.seal(copy, tmp_path / "again", KEY, 812)
    first, second = sealed.read_bytes()[HEAD:], (tmp_path / "again").read_bytes()[HEAD:]
    assert first[:TAG] != second[:TAG]
    assert first[TAG : TAG + 1024] != second[TAG : TAG + 1024]


def test_each_byte_that_is_changed_is_seen(sealed: Path) -> None:
    whole = sealed.read_bytes()
    chosen = random.Random(2).sample(range(HEAD + TAG, len(whole)), 20)
    for at in (*range(HEAD + TAG), *chosen, len(whole) - 1):
        changed = bytearray(whole)
        changed[at] ^= 1
        sealed.write_bytes(changed)
        with pytest.raises((BookDamaged, Mendable)):
            opens(sealed)


def test_pieces_that_are_left_out_put_in_another_place_or_cut_off_are_seen(sealed: Path) -> None:
    whole = sealed.read_bytes()
    head, rest = whole[: HEAD + TAG], whole[HEAD + TAG :]
    long = PIECE + TAG
    first, second, third = rest[:long], rest[long : 2 * long], rest[2 * long :]
    for made in (
        head + first + second,
        head + first,
        head,
        head + second + first + third,
        head + first + third,
        head + first + second + third + b"\0",
        whole + head + third,
    ):
        sealed.write_bytes(made)
        with pytest.raises(BookDamaged, match="damaged or cut off"):
            opens(sealed)
    for size in (0, 7, HEAD - 1):
        sealed.write_bytes(whole[:size])
        with pytest.raises(BookDamaged, match="is no sealed backup, or cut off"):
            opens(sealed)


def test_a_file_cannot_ask_for_more_memory_than_there_is(sealed: Path) -> None:
    changed = bytearray(sealed.read_bytes())
    changed[8] = 40
    sealed.write_bytes(changed)
    with pytest.raises(BookDamaged, match="The head of"):
        sealing.key_for(sealed, "any")


def test_a_newer_seal_is_refused_plainly(sealed: Path) -> None:
    changed = bytearray(sealed.read_bytes())
    changed[7] = 2
    sealed.write_bytes(changed)
    with pytest.raises(Mendable, match="sealed by a newer version"):
        opens(sealed)


def test_what_the_disk_did_not_keep_is_found_when_it_is_written(
    copy: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def forget_a_byte(handle: int) -> None:
        path = tmp_path / "bad.sealed"
        path.write_bytes(path.read_bytes()[:-1])

    monkeypatch.setattr("app.records.storage.sealing.os.fsync", forget_a_byte)
    with pytest.raises(BookDamaged):
        sealing.seal(copy, tmp_path / "bad.sealed", KEY, 1)


def test_a_key_is_kept_as_text(sealed: Path) -> None:
    assert Key.from_text(KEY.text()) == KEY
    for other in ("", "hunter2", "17 8 1 zz zz"):
        with pytest.raises(ValueError):  # noqa: PT011
            Key.from_text(other)

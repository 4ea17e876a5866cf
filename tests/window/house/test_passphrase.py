"""Passphrases: what is kept tells nothing of them, and only the same one fits."""

from __future__ import annotations

import pytest

from app.window.house.passphrase import fits, hashed


def test_the_same_words_fit_and_others_do_not() -> None:
    kept = hashed("grey wagon at six")
    assert fits("grey wagon at six", kept)
    assert not fits("grey wagon at seven", kept)
    assert not fits("", kept)
    assert "wagon" not in kept
    assert hashed("grey wagon at six") != kept, "each has a salt of its own"


def test_a_letter_told_by_other_signs_is_the_same_letter() -> None:
    """U+00E9, and U+0065 U+0301, are one letter (Unicode Standard Annex 15)."""
    assert fits("caf\u00e9 noir", hashed("cafe\u0301 noir"))


def test_the_hash_is_the_one_of_rfc_7914() -> None:
    """RFC 7914, section 12: P="pleaseletmein", S="SodiumChloride", N=16384, r=8, p=1, 64 bytes;
    scrypt ends in PBKDF2, so that its first 32 bytes are those of a shorter key."""
    found = "7023bdcb3afd7348461c06cd81fd38ebfda8fbba904f8e3ea9b543f6545da1f2"
    assert fits("pleaseletmein", f"scrypt:14:8:1:{b'SodiumChloride'.hex()}:{found}")


@pytest.mark.parametrize("kept", ["", "plain", "md5:1:1:1:00:00", "scrypt:99:8:1:00:00", "a:b:c"])
def test_what_was_not_written_here_fits_nothing(kept: str) -> None:
    assert not fits("plain", kept)

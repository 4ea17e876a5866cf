"""Mail drafts: headers by RFC 5322 and 2369, nothing can be forged into them."""

from __future__ import annotations

from datetime import UTC, datetime
from email import message_from_bytes
from email.policy import SMTP, default
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.documents.papers.mail import Letter, full_text, message, write_eml
from app.errors import Mendable


def letter(**changes: str) -> Letter:
    values = {
        "uid": "reminder-7",
        "sender_name": "Clearwater Finish",
        "sender_mail": "shop@example.org",
        "name": "Ida Morrow",
        "mail": "ida@example.org",
        "subject": "Time for a look at your blue wagon",
        "text": "Hello Ida,\n\nin May we put a sealant on it.\n",
    }
    return Letter(
        **{**values, **changes},
        sender_address="12 Mill Lane\nEast Harrow",
        address=(),
        at=datetime(2026, 8, 14, 17, 0, tzinfo=UTC),
    )


def test_a_draft_file_opens_with_its_headers_and_words(tmp_path: Path) -> None:
    path = write_eml(letter(), tmp_path / "one.eml")
    read = message_from_bytes(path.read_bytes(), policy=default)
    assert read["To"].addresses[0].addr_spec == "ida@example.org"
    assert read["Subject"] == "Time for a look at your blue wagon"
    assert "in May we put a sealant on it." in read.get_content()


def test_a_mail_says_how_to_stop_in_its_text_and_in_its_header() -> None:
    """RFC 2369: the address in angle brackets; mail law: postal address and a way to stop."""
    mail = message(letter())
    assert mail["List-Unsubscribe"] == "<mailto:shop@example.org?subject=stop%20reminder-7>"
    assert "12 Mill Lane" in mail.get_content()
    assert "stop" in mail.get_content().splitlines()[-1]


@pytest.mark.parametrize(
    "shop", ["shop@example.org", "the.long.name.of.a.shop@" + "a" * 50 + ".org"]
)
def test_the_headers_of_a_mail_stand_bare_however_long(shop: str) -> None:
    """RFC 2369, section 2: nothing but addresses in angle brackets, and no encoded words; RFC 5322,
    section 3.6.4: so does the number of the mail."""
    uid = "reminder-0a1b2c3d-0a1b-0a1b-0a1b-0a1b2c3d4e5f"
    raw = message(letter(sender_mail=shop, uid=uid)).as_bytes(policy=SMTP).decode("ascii")
    lines = raw.split("\r\n")
    assert f"List-Unsubscribe: <mailto:{shop}?subject=stop%20{uid}>" in lines
    assert f"Message-ID: <{uid}@{shop.rpartition('@')[2]}>" in lines


def test_a_sign_that_means_something_in_an_address_of_the_web_is_written_out() -> None:
    """RFC 6068, section 2: `%`, `?` and `&` of an address are percent-encoded."""
    mail = message(letter(sender_mail="a%b&c?d@example.org"))
    assert mail["List-Unsubscribe"].startswith("<mailto:a%25b%26c%3Fd@example.org?subject=")


def test_a_draft_says_that_it_was_not_sent_and_a_mail_does_not(tmp_path: Path) -> None:
    draft = message_from_bytes(write_eml(letter(), tmp_path / "one.eml").read_bytes())
    assert draft["X-Unsent"] == "1"
    assert message(letter())["X-Unsent"] is None


def test_there_is_a_telephone_and_a_mail_to_answer_to() -> None:
    words = full_text(letter(sender_phone="(312) 555-0100"))
    assert "(312) 555-0100, shop@example.org" in words.splitlines()
    assert "shop@example.org" in full_text(letter()).splitlines()


def test_no_line_of_a_mail_is_longer_than_998_characters() -> None:
    """RFC 5322, section 2.1.1."""
    raw = message(letter(text="word " * 3000)).as_bytes()
    assert max(len(line) for line in raw.split(b"\r\n")) <= 998


@pytest.mark.parametrize("field", ["name", "mail", "subject", "sender_name", "sender_mail"])
@pytest.mark.parametrize("break_", ["\r\nBcc: all@example.org", "\n", "\r", "\x00"])
def test_a_line_break_in_a_header_is_refused_in_one_sentence(field: str, break_: str) -> None:
    with pytest.raises(Mendable, match="line break"):
        message(letter(**{field: "x@example.org" + break_}))


@given(st.text(max_size=400), st.text(max_size=400))
def test_whatever_is_typed_either_stands_as_one_header_or_is_refused(
    name: str, subject: str
) -> None:
    refusal = ""
    try:
        raw = message(letter(name=name, subject=subject)).as_bytes()
    except Mendable as refused:
        refusal = refused.sentence
    if refusal:
        assert len(refusal.splitlines()) == 1
        return
    read = message_from_bytes(raw, policy=default)
    assert sorted(read.keys()) == sorted(message(letter()).keys())
    assert len(read["To"].addresses) == 1


def test_right_to_left_and_long_names_come_through() -> None:
    mail = message(letter(name="נועה לוי", subject="رسالة"))
    read = message_from_bytes(mail.as_bytes(), policy=default)
    assert read["To"].addresses[0].display_name == "נועה לוי"
    with pytest.raises(Mendable, match="10,000 characters"):
        message(letter(name="x" * 10_000))


def test_a_text_beyond_any_letter_is_refused() -> None:
    with pytest.raises(Mendable, match="shorten"):
        full_text(letter(text="x" * 20_001))

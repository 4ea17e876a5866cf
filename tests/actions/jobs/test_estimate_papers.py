"""An estimate as a paper and as a mail that a person sends."""

from __future__ import annotations

from email import message_from_bytes
from email.policy import SMTP
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader

from app.actions.desk.desk import Desk
from app.actions.jobs.booking_jobs import NewJob, book_job
from app.actions.jobs.estimate_papers import estimate_draft, estimate_file
from app.actions.jobs.estimate_versions import edit_version, give, make_version, versions
from app.actions.jobs.job_changes import add_charge
from app.actions.people.customers import deceased, edit_customer
from app.actions.shop.shop_settings import change_settings
from app.errors import Mendable
from tests.shop import SmallShop


def test_a_draft_names_no_address_of_who_died_or_whose_mail_came_back(
    desk: Desk, shop: SmallShop, tmp_path: Path
) -> None:
    quell = shop.customers["quell"]
    edit_customer(desk, quell, email="jonas@quell.example")
    job = book_job(desk, NewJob(customer_id=quell))[1]
    add_charge(desk, job, "Polish", "450", 0)
    make_version(desk, job)
    assert b"jonas@quell.example" in estimate_draft(desk, job, tmp_path).read_bytes()
    deceased(desk, quell)
    assert b"jonas@quell.example" not in estimate_draft(desk, job, tmp_path).read_bytes()


def test_the_draft_has_the_paper_with_the_sums_of_the_version(
    desk: Desk, shop: SmallShop, tmp_path: Path
) -> None:
    job = book_job(desk, NewJob(customer_id=shop.customers["quell"]))[1]
    with pytest.raises(Mendable, match="no estimate yet"):
        estimate_file(desk, job, tmp_path)
    add_charge(desk, job, "Polish", "450", 6875)
    add_charge(desk, job, "Discount", "-20", 6875)
    made = make_version(desk, job)[1]
    edit_version(desk, made, deposit="100", left_alone="Every edge")
    row = versions(desk, job)[-1].row
    mail = message_from_bytes(estimate_draft(desk, job, tmp_path).read_bytes(), policy=SMTP)
    assert mail["X-Unsent"] == "1"
    (pdf,) = list(mail.iter_attachments())
    text = " ".join(PdfReader(BytesIO(pdf.get_content())).pages[0].extract_text().split())
    # 430.00 and 6.875 % of it, 29.56 (half away from zero).
    assert row.likely == 45_956
    for words in ("430.00", "Tax, 6.875 %", "29.56", "459.56", "A deposit of 100.00", "Every edge"):
        assert words in text


def test_a_given_estimate_is_printed_again_as_it_was_given(
    desk: Desk, shop: SmallShop, tmp_path: Path
) -> None:
    quell = shop.customers["quell"]
    edit_customer(desk, quell, street="3 Weir Terrace")
    job = book_job(desk, NewJob(customer_id=quell))[1]
    add_charge(desk, job, "Polish", "450", 0)
    give(desk, make_version(desk, job)[1])
    edit_customer(desk, quell, name="Somebody Else", street="9 Far Lane")
    change_settings(desk, hourly_rate=12000)
    (page,) = PdfReader(estimate_file(desk, job, tmp_path)).pages
    text = " ".join(page.extract_text().split())
    for words in ("3 Weir Terrace", "Hours, at 90.00 each"):
        assert words in text
    for words in ("Somebody Else", "9 Far Lane"):
        assert words not in text

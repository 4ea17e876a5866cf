"""The tax of charges: by kind, day and place, and what an exemption does."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

import pytest

from app.actions.desk.desk import Desk
from app.actions.jobs import invoices, job_changes
from app.actions.jobs.booking_jobs import NewJob, book_job
from app.actions.jobs.charge_tax import about_tax
from app.actions.jobs.invoice_papers import invoice_sheet
from app.actions.jobs.services import edit_service
from app.actions.people.customers import edit_customer
from app.actions.shop.tax_rates import add_rate, all_rates, edit_rate
from app.errors import Mendable
from app.records.models import Charge, Job
from tests.shop import SmallShop, small_desk


@pytest.fixture
def opened(tmp_path: Path) -> Iterator[tuple[Desk, SmallShop]]:
    desk, shop = small_desk(tmp_path / "shop.bayledger")
    yield desk, shop
    desk.book.close()


def rates(desk: Desk, job: int) -> list[int]:
    with desk.book.reading() as session:
        return [one.tax_rate for one in session.query(Charge).filter_by(job_id=job)]


def booked(desk: Desk, shop: SmallShop, day: date, service: str) -> tuple[int, str]:
    changed, job = book_job(
        desk,
        NewJob(customer_id=shop.customers["tolk"], services=((shop.services[service], 1),),
               first_day=day),
    )  # fmt: skip
    return job, changed.question


def finish(desk: Desk, job: int) -> None:
    with desk.book.load() as session:
        row = session.get_one(Job, job)
        row.state, row.done_on = "done", desk.today


def test_a_charge_has_the_rate_of_its_kind_on_the_jobs_day_and_keeps_it(
    opened: tuple[Desk, SmallShop],
) -> None:
    desk, shop = opened
    service = next(iter(shop.services))
    add_rate(desk, "work 8")
    new = next(one for one in all_rates(desk) if one.rate == 8000)
    edit_rate(desk, new.rate_id, "from_day", (desk.today + timedelta(days=10)).isoformat())
    now, _ = booked(desk, shop, desk.today + timedelta(days=1), service)
    later, _ = booked(desk, shop, desk.today + timedelta(days=20), service)
    assert (rates(desk, now), rates(desk, later)) == ([7250], [8000])
    edit_rate(desk, new.rate_id, "rate", "9")
    assert rates(desk, later) == [8000]
    add_rate(desk, "goods sold 7.375")
    edit_service(desk, shop.services[service], tax_kind="goods")
    assert rates(desk, booked(desk, shop, desk.today, service)[0]) == [7375]


def test_a_kind_or_a_place_is_typed_where_the_rate_stands(opened: tuple[Desk, SmallShop]) -> None:
    desk, shop = opened
    add_rate(desk, "goods sold 7.375")
    add_rate(desk, "work Easton 5")
    job = booked(desk, shop, desk.today, next(iter(shop.services)))[0]
    job_changes.add_charge(desk, job, "Wash soap", "20")
    job_changes.add_charge(desk, job, "Deposit on a stand", "20", 0)
    with desk.book.reading() as session:
        wash, soap, _stand = (one.id for one in session.query(Charge).filter_by(job_id=job))
    job_changes.edit_charge(desk, soap, rate="goods")
    assert rates(desk, job) == [7250, 7375, 0]
    job_changes.edit_charge(desk, wash, rate="easton")
    told = about_tax(desk, job)
    assert told.startswith("Worked in Easton: its rates.")
    assert told.endswith("a kind of line or a place: goods sold, Easton.")
    assert rates(desk, job) == [5000, 7375, 0], "goods have no rate of their own there"
    job_changes.edit_charge(desk, wash, rate="here")
    assert rates(desk, job) == [7250, 7375, 0]


def test_a_certificate_in_force_leaves_lines_at_nothing_and_is_printed_with_its_end(
    opened: tuple[Desk, SmallShop],
) -> None:
    desk, shop = opened
    edit_customer(
        desk, shop.customers["tolk"], tax_exempt_no="TB-EX-118", tax_exempt_until="2025-08-31"
    )
    job, question = booked(desk, shop, date(2025, 8, 31), next(iter(shop.services)))
    assert (rates(desk, job), question) == ([0], "")
    assert "valid until 31 August 2025: no tax on new lines." in about_tax(desk, job)
    finish(desk, job)
    invoices.issue(desk, job)
    (paper,) = invoices.papers_of(desk, job).issued
    said = "Exempt from tax, certificate TB-EX-118, valid until 31 August 2025"
    assert paper.invoice.tax_text == said
    ((_letter, words, _on, _tax),) = invoice_sheet(desk, paper.invoice.invoice_id).taxes
    assert words == said, "in place of the rate"


def test_a_certificate_that_ended_is_asked_about_when_booking_and_when_issuing(
    opened: tuple[Desk, SmallShop],
) -> None:
    desk, shop = opened
    tolk, service = shop.customers["tolk"], next(iter(shop.services))
    edit_customer(desk, tolk, tax_exempt_no="TB-EX-118", tax_exempt_until="2025-08-31")
    job, question = booked(desk, shop, date(2025, 9, 1), service)
    assert rates(desk, job) == [7250]
    assert "TB-EX-118 of Mara Tolk ended on 31 August 2025" in question
    exempt = booked(desk, shop, desk.today, service)[0]
    finish(desk, exempt)
    edit_customer(desk, tolk, tax_exempt_until="2025-07-31")
    with pytest.raises(Mendable, match="ended on 31 July 2025"):
        invoices.issue(desk, exempt)
    edit_customer(desk, tolk, tax_exempt_until="2026-07-31")
    invoices.issue(desk, exempt)


def test_tax_that_does_not_fit_the_day_of_the_work_is_asked_about_before_the_invoice_is_issued(
    opened: tuple[Desk, SmallShop],
) -> None:
    desk, shop = opened
    job, _ = booked(desk, shop, desk.today + timedelta(days=1), "wash")
    finish(desk, job)
    plain = invoices.asked_about(desk, [job])
    assert plain.endswith("once issued it stays as it is. F2 once more issues it.")
    add_rate(desk, "work 8")  # from today on, on which the work was done
    asked = invoices.asked_about(desk, [job])
    assert " has 7.25 % tax, but work has 8 % on " in asked
    assert "Type the right tax over it, or F2 once more issues it so." in asked
    assert " has 7.25 % tax, but work has 8 % on " in about_tax(desk, job)
    with desk.book.reading() as session:
        (charge,) = session.query(Charge).filter_by(job_id=job)
    job_changes.edit_charge(desk, charge.id, rate="8")
    assert invoices.asked_about(desk, [job]).endswith(plain[-40:])
    edit_customer(desk, shop.customers["tolk"], tax_exempt_no="TB-EX-118")
    assert "8 % tax, but certificate TB-EX-118 holds on " in invoices.asked_about(desk, [job])
    job_changes.edit_charge(desk, charge.id, rate="no tax")
    assert invoices.asked_about(desk, [job]).endswith(plain[-40:])
    edit_customer(desk, shop.customers["tolk"], tax_exempt_until=desk.today - timedelta(days=9))
    with pytest.raises(Mendable, match="Is there a new one"):
        invoices.asked_about(desk, [job])


def test_what_is_asked_names_the_job_so_that_one_press_never_issues_another(
    opened: tuple[Desk, SmallShop],
) -> None:
    desk, shop = opened
    both = [booked(desk, shop, desk.today, "wash")[0] for _ in range(2)]
    for one in both:
        finish(desk, one)
    first, other = (invoices.asked_about(desk, [one]) for one in both)
    assert first != other
    gross = invoices.issue(desk, both[0]).sentence.partition(" over ")[2].partition(" ")[0]
    assert f", {gross}: once issued" in first

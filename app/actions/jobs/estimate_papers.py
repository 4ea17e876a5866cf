"""A version of an estimate as a PDF, and as the draft of a mail with it; a person sends it."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from app.actions.desk.amounts import money
from app.actions.desk.desk import Desk, there
from app.actions.desk.open_day import numbered
from app.actions.desk.papers import file_name, papers_folder
from app.actions.desk.telephones import shown_phone
from app.actions.jobs.booking_jobs import job_of
from app.actions.jobs.estimate_versions import Version, versions
from app.calculations.numbers import tax
from app.calculations.numbers.dates import day_year, weekday_day
from app.calculations.numbers.money import minor_digits
from app.documents.papers.mail import OrderMail, write_order_mail
from app.errors import Mendable
from app.records.models import Customer, Vehicle

if TYPE_CHECKING:
    from app.documents.papers.estimate_paper import EstimatePaper, PaperLine

ORDINALS = ("first", "second", "third", "fourth", "fifth")


def estimate_file(desk: Desk, job_id: int, out: Path | None = None, region: str = "") -> Path:
    """The newest version as a PDF in the folder of papers; letter or A4 by the shop's region."""
    from app.documents.papers.estimate_paper import estimate_pdf

    version = _newest(desk, job_id)
    folder = out if out is not None else papers_folder(desk, "estimates")
    paper = _paper(desk, job_id, version)
    stem = f"estimate {paper.number} version {version.row.version} {file_name(paper.name)}"
    return estimate_pdf(paper, folder / f"{stem}.pdf", region or desk.settings.region)


def estimate_draft(desk: Desk, job_id: int, out: Path | None = None) -> Path:
    """A mail to the customer as a draft with the PDF; `Mendable` without an estimate."""
    version = _newest(desk, job_id)
    file = estimate_file(desk, job_id, out)
    with desk.book.reading() as session:
        job = job_of(session, job_id)
        customer = session.get(Customer, job.customer_id) if job.customer_id else None
        name = customer.name if customer else ""
        reached = customer and not customer.deceased and not customer.email_bad_since
        mail = customer.email if customer and reached else ""
    settings, row = desk.settings, version.row
    text = (
        f"Hello {name or 'there'},\n\nour estimate is attached: likely {money(desk, row.likely)}, "
        f"and not above {money(desk, row.high)} without your yes.\n\nThank you\n\n"
        + "\n".join(
            filter(None, (settings.shop_name, shown_phone(settings.shop_phone, settings.region)))
        )
    )
    shop = f", {settings.shop_name}" if settings.shop_name else ""
    draft = OrderMail(
        sender_name=settings.shop_name, sender_mail=settings.shop_email, name=name or "customer",
        mail=mail, subject=f"Estimate {numbered(job.number)}{shop}", text=text, files=(file,),
        at=desk.clock(),
    )  # fmt: skip
    return write_order_mail(draft, file.with_suffix(".eml"))


def _newest(desk: Desk, job_id: int) -> Version:
    found = versions(desk, job_id)
    if not found:
        raise Mendable("This job has no estimate yet; make one first.")
    return found[-1]


def _paper(desk: Desk, job_id: int, version: Version) -> EstimatePaper:
    from app.documents.papers.estimate_paper import EstimatePaper, PaperLine

    settings, row = desk.settings, version.row
    with desk.book.reading() as session:
        job = there(job_of(session, job_id), "This job")
        customer = session.get(Customer, job.customer_id) if job.customer_id else None
        vehicle = session.get(Vehicle, job.vehicle_id) if job.vehicle_id else None
        number, first, last = numbered(job.number), job.first_day, job.last_day
        name = customer.name if customer else ""
        place = (
            (customer.street, f"{customer.city} {customer.postal_code}".strip()) if customer else ()
        )
        car = ", ".join(filter(None, (vehicle.description, vehicle.plate))) if vehicle else ""
    ceiling = version.ceiling
    wall = row.high if ceiling is None else ceiling
    words = (money(desk, row.low), money(desk, row.likely), money(desk, wall))
    until = (
        f", by {weekday_day(row.valid_until)}; until then the price stands"
        if row.valid_until
        else ""
    )
    days = f" {weekday_day(first)}" if first else " the day"
    days += f" to {weekday_day(last)}" if first and last and last != first else ""
    deposit = f" A deposit of {money(desk, row.deposit)} holds{days}." if row.deposit else ""
    at = min(row.version, len(ORDINALS)) - 1
    phone = shown_phone(settings.shop_phone, settings.region)
    return EstimatePaper(
        shop=settings.shop_name,
        shop_lines=tuple(settings.shop_address.splitlines()),
        reached=tuple(filter(None, (phone, settings.shop_email))),
        number=number, day=day_year(row.given_on or row.made_on),
        version=f"{ORDINALS[at]} version" if row.version <= 5 else f"version {row.version}",
        name=name, address=tuple(filter(None, place)), vehicle=car,
        heading=f"Likely {words[1]}, and not above {words[2]} without your yes.",
        scale=(row.low, row.likely, wall), words=words,
        unit=10 ** minor_digits(settings.currency), agreed=ceiling is not None,
        rate=money(desk, settings.hourly_rate), currency=settings.currency,
        lines=tuple(
            PaperLine(one.text, (
                _hours(one.low_minutes), _hours(one.minutes), _hours(one.high_minutes),
                *_three(desk, one.low, one.likely, one.high),
            ))
            for one in version.lines
        ),
        sums=_sums(desk, version), reason=row.reason,
        assumptions=tuple(row.assumptions.splitlines()),
        not_included=tuple(row.not_included.splitlines()),
        holds=tuple(one.text for one in version.holds),
        left_alone=tuple(row.left_alone.splitlines()),
        how=f"Call, write or sign below{until}.{deposit}",
        mark=settings.shop_mark,
    )  # fmt: skip


def _sums(desk: Desk, version: Version) -> tuple[PaperLine, ...]:
    """Before tax, the tax of each rate, and with tax; they are the version's own sums."""
    from app.documents.papers.estimate_paper import PaperLine

    row, rule = version.row, tax.Rounding(version.row.tax_rule)
    three = [
        tax.totals(
            [
                tax.TaxedLine(getattr(one, name), Fraction(one.tax_rate, 1000))
                for one in version.lines
            ],
            rule,
        )
        for name in ("low", "likely", "high")
    ]
    hours = (_hours(row.low_minutes), _hours(row.minutes), _hours(row.high_minutes))
    low, likely, high = three
    nets = _three(desk, low.net, likely.net, high.net)
    found = [PaperLine("Before tax", (*hours, *nets))]
    for rate in likely.tax_by_rate:
        if rate:
            some = _three(desk, *(one.tax_by_rate.get(rate, 0) for one in three))
            found.append(PaperLine(f"Tax, {float(rate):g} %", ("", "", "", *some)))
    gross = _three(desk, row.low, row.likely, row.high)
    return (*found, PaperLine("With tax", ("", "", "", *gross)))


def _three(desk: Desk, low: int, likely: int, high: int) -> tuple[str, str, str]:
    return money(desk, low), money(desk, likely), money(desk, high)


def _hours(minutes: int) -> str:
    return f"{minutes / 60:.2f}" if minutes else ""

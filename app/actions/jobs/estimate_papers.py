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
from app.actions.jobs.by_time import hours_text
from app.actions.jobs.estimate_versions import (
    Version,
    called_vehicle,
    place_of,
    version_words,
    versions,
)
from app.calculations.numbers import tax
from app.calculations.numbers.dates import day_year, weekday_day
from app.calculations.numbers.money import minor_digits
from app.documents.papers.mail import OrderMail, write_order_mail
from app.errors import Mendable
from app.records.models import Customer, Vehicle

if TYPE_CHECKING:
    from app.documents.papers.estimate_paper import EstimatePaper, PaperLine


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
    from app.documents.papers.estimate_paper import EstimatePaper

    settings, row = desk.settings, version.row
    with desk.book.reading() as session:
        job = there(job_of(session, job_id), "This job")
        customer = session.get(Customer, job.customer_id) if job.customer_id else None
        vehicle = session.get(Vehicle, job.vehicle_id) if job.vehicle_id else None
        number, first, last = numbered(job.number), job.first_day, job.last_day
        name = customer.name if customer else ""
        place = place_of(customer) if customer else []
        car = called_vehicle(vehicle) if vehicle else ""
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
    phone = shown_phone(settings.shop_phone, settings.region)
    return EstimatePaper(
        shop=settings.shop_name,
        shop_lines=tuple(settings.shop_address.splitlines()),
        reached=tuple(filter(None, (phone, settings.shop_email))),
        number=number, day=day_year(row.given_on or row.made_on),
        version=version_words(row.version),
        name=row.name or name, vehicle=row.vehicle or car,
        address=tuple(row.address.splitlines() if row.name else place),
        heading=f"Likely {words[1]}, and not above {words[2]} without your yes.",
        scale=(row.low, row.likely, wall), words=words,
        unit=10 ** minor_digits(settings.currency), agreed=ceiling is not None,
        rate=money(desk, row.hour_rate or settings.hourly_rate), currency=settings.currency,
        lines=_lines(desk, version),
        sums=_sums(desk, version), reason=row.reason,
        assumptions=tuple(row.assumptions.splitlines()),
        not_included=tuple(row.not_included.splitlines()),
        holds=tuple(one.text for one in version.holds),
        left_alone=tuple(row.left_alone.splitlines()),
        how=f"Call, write or sign below{until}.{deposit}",
        raised=version.raised is not None, mark=settings.shop_mark,
    )  # fmt: skip


def _lines(desk: Desk, version: Version) -> tuple[PaperLine, ...]:
    """The lines as printed, each with what all down to it come to."""
    from app.documents.papers.estimate_paper import PaperLine

    found, low, likely, high = [], 0, 0, 0
    for one in version.counted:
        low, likely, high = low + one.low, likely + one.likely, high + one.high
        numbers = (
            hours_text(one.low_minutes), hours_text(one.minutes), hours_text(one.high_minutes),
            *_three(desk, one.low, one.likely, one.high),
        )  # fmt: skip
        found.append(PaperLine(one.text, numbers, _three(desk, low, likely, high)))
    return tuple(found)


def _sums(desk: Desk, version: Version) -> tuple[PaperLine, ...]:
    """Before tax, the tax of each rate, and with tax; they are the version's own sums."""
    from app.documents.papers.estimate_paper import PaperLine

    row, rule = version.row, tax.Rounding(version.row.tax_rule)
    three = [
        tax.totals(
            [
                tax.TaxedLine(getattr(one, name), Fraction(one.tax_rate, 1000))
                for one in version.counted
            ],
            rule,
        )
        for name in ("low", "likely", "high")
    ]
    hours = (hours_text(row.low_minutes), hours_text(row.minutes), hours_text(row.high_minutes))
    low, likely, high = three
    nothing = row.likely >= 0 and low.gross < 0  # a discount takes it to nothing at least
    nets = _three(desk, 0 if nothing else low.net, likely.net, high.net)
    found = [PaperLine("Before tax", (*hours, *nets))]
    for rate in likely.tax_by_rate:
        if rate:
            of = [one.tax_by_rate.get(rate, 0) for one in three]
            some = _three(desk, 0 if nothing else of[0], of[1], of[2])
            found.append(PaperLine(f"Tax, {float(rate):g} %", ("", "", "", *some)))
    gross = _three(desk, row.low, row.likely, row.high)
    found.append(PaperLine("With tax", ("", "", "", *gross)))
    if version.raised is not None:
        ceiling, day, how = version.raised
        words = f"Not above, by our {how} of {day_year(day)}" if how == "call" else (
            f"Not above, as agreed on {day_year(day)}"
        )  # fmt: skip
        found.append(PaperLine(words, ("", "", "", "", "", money(desk, ceiling))))
    return tuple(found)


def _three(desk: Desk, low: int, likely: int, high: int) -> tuple[str, str, str]:
    return money(desk, low), money(desk, likely), money(desk, high)

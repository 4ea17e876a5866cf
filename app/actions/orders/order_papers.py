"""The papers of an order: a workbook, a PDF, and a mail to its supplier as a draft."""

from __future__ import annotations

from pathlib import Path

from app.actions.desk.desk import Desk
from app.actions.desk.open_day import numbered
from app.actions.desk.papers import file_name, papers_folder
from app.actions.desk.telephones import shown_phone
from app.actions.orders.receiving import order_of
from app.actions.orders.rule_facts import offers
from app.calculations.numbers.dates import day_year
from app.documents.papers.mail import OrderMail, write_order_mail
from app.documents.papers.order_sheet import OrderSheet, SheetLine, write_workbook
from app.records.queries import stock as stock_queries


def order_sheet(desk: Desk, order_id: int) -> OrderSheet:
    """An order as it is put on paper."""
    order = order_of(desk, order_id)
    with desk.book.reading() as session:
        supplier = stock_queries.suppliers(session)[order.supplier_id]
    packs = offers(desk).packs
    settings = desk.settings
    return OrderSheet(
        number=order.number,
        day=order.day,
        shop_name=settings.shop_name,
        shop_address=settings.shop_address,
        supplier=supplier.name,
        supplier_address=supplier.address,
        supplier_mail=supplier.email,
        account_no=supplier.account_no,
        lines=tuple(
            SheetLine(
                packs[line.pack_id].code if line.pack_id in packs else "",
                line.supply,
                line.pack_label,
                line.packs,
                line.price,
            )
            for line in order.lines
        ),
        freight=order.freight,
        currency=settings.currency,
        shop_phone=shown_phone(settings.shop_phone, settings.region),
        shop_mail=settings.shop_email,
    )


def order_files(desk: Desk, order_id: int, out: Path) -> list[Path]:
    """The order as a workbook, a PDF and a plain text, for a person to send."""
    from app.documents.papers.paper import order_pdf

    sheet = order_sheet(desk, order_id)
    out.mkdir(parents=True, exist_ok=True)
    workbook, pdf, text = _papers(sheet, out)
    to = ", ".join(filter(None, (sheet.supplier, sheet.supplier_mail)))
    copied = f"To: {to}\nSubject: {_subject(sheet)}\n\n{order_mail(desk, order_id)}\n"
    text.write_text(copied, encoding="utf-8")
    return [write_workbook(sheet, workbook), order_pdf(sheet, pdf, desk.settings.region), text]


def order_files_stand(desk: Desk, order_id: int, out: Path) -> bool:
    """Whether an order's papers stand in a folder."""
    return all(path.exists() for path in _papers(order_sheet(desk, order_id), out))


def order_draft(desk: Desk, order_id: int, out: Path | None = None) -> Path:
    """A mail to the supplier as a draft, the workbook and the PDF with it; a person sends it."""
    folder = out if out is not None else papers_folder(desk, "orders")
    files = order_files(desk, order_id, folder)
    sheet = order_sheet(desk, order_id)
    settings = desk.settings
    mail = OrderMail(
        sender_name=settings.shop_name,
        sender_mail=settings.shop_email,
        name=sheet.supplier,
        mail=sheet.supplier_mail,
        subject=_subject(sheet),
        text=order_mail(desk, order_id),
        files=tuple(path for path in files if path.suffix != ".txt"),
        at=desk.clock(),
    )
    return write_order_mail(mail, folder / f"{_stem(sheet)}.eml")


def order_mail(desk: Desk, order_id: int) -> str:
    """The order as plain text, to paste into a mail or to read out on the telephone."""
    sheet = order_sheet(desk, order_id)
    rows = [
        f"  {line.packs} x {line.pack}  {line.supply}" + (f"  ({line.code})" if line.code else "")
        for line in sheet.lines
    ]
    account = f", account {sheet.account_no}" if sheet.account_no else ""
    from_whom = (sheet.shop_name, sheet.shop_address, sheet.answer_to)
    return "\n".join(
        [
            f"Hello {sheet.supplier},",
            "",
            f"Please send us, as our order {numbered(sheet.number)} of {day_year(sheet.day)}"
            f"{account}:",
            "",
            *rows,
            "",
            "Tell us please if something is out of stock or comes later than usual.",
            "",
            "Thank you",
            "",
            *filter(None, from_whom),
        ]
    ).rstrip()


def _subject(sheet: OrderSheet) -> str:
    name = f", {sheet.shop_name}" if sheet.shop_name else ""
    return f"Order {numbered(sheet.number)}{name}"


def _papers(sheet: OrderSheet, out: Path) -> tuple[Path, Path, Path]:
    stem = _stem(sheet)
    return out / f"{stem}.xlsx", out / f"{stem}.pdf", out / f"{stem}.txt"


def _stem(sheet: OrderSheet) -> str:
    return f"order {numbered(sheet.number)} {file_name(sheet.supplier, 'supplier')}"

"""The slip on paper: steps with their bars, how it came, of the tax, what is held."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

from app.calculations.numbers.dates import day_month, day_year
from app.calculations.numbers.money import minor_digits, shown_money
from app.documents.papers.paper import DOTS, _font, _Page, _paper
from app.documents.papers.slip_sheet import HeldRow, SlipSheet, SlipStep
from app.errors import Mendable

MM = DOTS / 25.4
FOOT = "What to pay, and when, your tax office and your local law say; they override this sheet."


def slip_pdf(sheet: SlipSheet, path: Path, region: str = "US") -> Path:
    """One slip, on as many pages as it needs, with a line to sign."""
    if sheet.last < sheet.first:
        raise Mendable("The slip ends before it begins.")
    with _paper(path, region, sheet.title) as page:
        _head(page, sheet)
        _steps(page, sheet)
        page.space(7)
        page.whole(partial(_beside, page, sheet))
        page.space(6)
        page.whole(partial(_held, page, sheet))
        page.space(6)
        page.whole(partial(_profit, page, sheet))
        page.space(3)
        for note in filter(None, (sheet.an_hour, sheet.checked, *sheet.notes, sheet.filing)):
            page.paragraph(note, _font(size=9.5))
        if sheet.trouble:
            page.paragraph(sheet.trouble, _font(size=11, weight=600))
        page.whole(partial(_sign, page))
        page.at_bottom(FOOT, _font("Vollkorn", 9))
    return path


def _head(page: _Page, sheet: SlipSheet) -> None:
    page.text(sheet.shop_name or "Slip", _font("Vollkorn", 14, 600))
    address = ", ".join(filter(None, sheet.shop_address.splitlines()))
    answer = ", ".join(filter(None, (sheet.shop_phone, sheet.shop_mail)))
    if address or answer:
        page.text(address, _font(size=9.5), right=answer)
    page.space(1.5)
    page.line(0, page.width, 3)
    page.space(3)
    page.text(sheet.title, _font("Vollkorn", 21, 500))
    printed = f"printed {day_year(sheet.printed)}"
    page.text(sheet.span, _font(size=10), right=printed)
    page.space(4)
    page.text(sheet.finding, _font(size=13, weight=600))
    page.space(2)


def _steps(page: _Page, sheet: SlipSheet) -> None:
    """The steps with their amounts, and beside each its bar."""
    middle, left = page.width * 0.535, page.width * 0.585
    start, end = sheet.axis
    scale = (page.width - left - 8) / max(end - start, 1)

    def place(value: int) -> float:
        return left + (max(value, start) - start) * scale

    small, high = _font(size=8.5, weight=600), 6.0 * MM
    page.put("From earned to received", small, 0, middle)
    page.put(sheet.currency, small, 0, middle, flush=True)
    whole = partial(_whole, currency=sheet.currency)
    page.put(whole(start), _font(size=8.5), left, page.width)
    page.put(whole(end), _font(size=8.5), left, page.width, flush=True)
    page.space(5)
    page.line(0, middle, 3)
    page.line(left, page.width, 3)
    for step in sheet.steps:
        _step(page, step, sheet, middle, high)
        _bar(page, step, place, start, high)
        page.y += high
        page.line(0, middle, 2 if step.sum else 1)
    page.space(1)
    cut = f"outlined adds, hatched takes away; bars begin at {whole(start)}"
    page.put(cut, _font(size=8.5), left, page.width, flush=True)
    page.space(4)


def _step(page: _Page, step: SlipStep, sheet: SlipSheet, middle: float, high: float) -> None:
    font = _font(size=10, weight=600 if step.sum else 400)
    first = step is sheet.steps[0]
    if not first:
        page.put(step.sign, font, 0, 4 * MM, high=high)
    page.put(step.words, font, 0 if first else 5 * MM, middle - 24 * MM, high=high)
    money = shown_money(step.amount, sheet.currency)
    page.put(money, font, middle - 30 * MM, middle, flush=True, high=high)


def _bar(
    page: _Page, step: SlipStep, place: Callable[[int], float], start: int, high: float
) -> None:
    low, far = sorted((place(start if step.sum else step.before), place(step.after)))
    if step.sum and start <= 0:
        low, far = sorted((place(0), place(step.after)))
    top = page.y + high * 0.28
    size = (max(far - low, 3), high * 0.44)
    page.bar(low, top, *size, 5 if step.sum else 3, hatched=not step.sum and step.amount < 0)
    page.line(place(step.after), 0, 2, down=high)


def _beside(page: _Page, sheet: SlipSheet) -> None:
    """How it came at the left, the tax at the right."""
    top, third = page.y, page.width * 0.42
    head, small = _font("Vollkorn", 12.5, 500), _font(size=8.5, weight=600)
    page.put("How it came", head, 0, third)
    page.space(6.5)
    page.line(0, third, 2)
    for words, amount in sheet.ways:
        cells = ((words, 0.0, third), (shown_money(amount, sheet.currency), 0.0, third))
        _row(page, cells, 0, third, bold=words == sheet.ways[-1][0])
    low, page.y = page.y, top
    left, at = page.width * 0.48, page.width * 0.84
    page.put("Of the tax", head, left, page.width)
    page.space(6.5)
    page.line(left, page.width, 2)
    page.space(0.6)
    page.put(sheet.rounding, _font("Vollkorn", 9), left, at)
    page.put("on", small, left, at, flush=True)
    page.put("tax", small, at, page.width, flush=True)
    page.space(5)
    page.line(left, page.width)
    money = partial(shown_money, currency=sheet.currency)
    for one, bold in sheet.tax_rows:
        parts = ((one.words, left, at), (money(one.on), left, at), (money(one.tax), at, page.width))
        _row(page, parts, left, page.width, bold=bold)
    page.y = max(page.y, low)


def _held(page: _Page, sheet: SlipSheet) -> None:
    page.put("Held, not ours to spend", _font("Vollkorn", 12.5, 500), 0, page.width)
    page.space(6.5)
    page.line(0, page.width, 2)
    ends = [page.width * share for share in (0.54, 0.69, 0.84, 1)]
    heads = (f"on {day_month(sheet.first)}", "came", "went", f"on {day_month(sheet.last)}")
    for words, end in zip(heads, ends, strict=True):
        page.put(words, _font(size=8.5, weight=600), 0, end, flush=True)
    page.space(5)
    page.line(0, page.width, 2)
    for row in sheet.held:
        cells = [(row.words, 0.0, ends[0])]
        cells += [(shown_money(one, sheet.currency), 0.0, end)
                  for one, end in zip(amounts_of(row), ends, strict=True)]  # fmt: skip
        _row(page, cells, 0, page.width, bold=len(sheet.held) > 1 and row is sheet.held[-1])


def _profit(page: _Page, sheet: SlipSheet) -> None:
    page.put("From earned to profit", _font("Vollkorn", 12.5, 500), 0, page.width)
    page.space(6.5)
    page.line(0, page.width, 2)
    money = partial(shown_money, currency=sheet.currency)
    for one in sheet.profit:
        cells = ((one.words, 0.0, page.width), (money(one.amount), 0.0, page.width))
        _row(page, cells, 0, page.width, bold=one.sum)


def amounts_of(row: HeldRow) -> tuple[int, int, int, int]:
    """Start, came, went, end."""
    return row.start, row.came, row.went, row.end


def _row(
    page: _Page,
    cells: Sequence[tuple[str, float, float]],
    left: float,
    right: float,
    *,
    bold: bool,
) -> None:
    """A row with its first cell at the left, numbers flush right, a hairline beneath."""
    high, font = 5.8 * MM, _font(size=10, weight=600 if bold else 400)
    for at, (words, begin, end) in enumerate(cells):
        page.put(words, font, begin, end, flush=at > 0, high=high)
    page.y += high
    page.line(left, right)


def _sign(page: _Page) -> None:
    page.space(16)
    page.line(0, page.width * 0.42, 2)
    page.space(1)
    page.put("looked over, day", _font(size=9), 0, page.width)
    page.space(5)


def _whole(amount: int, currency: str) -> str:
    """Without its minor units."""
    size = 10 ** minor_digits(currency)
    return shown_money(amount // size * size, currency).partition(".")[0]

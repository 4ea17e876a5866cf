"""Lines of supplies and suppliers from the rows of a table."""

from __future__ import annotations

import re
from contextlib import suppress
from dataclasses import replace
from fractions import Fraction

from app.calculations.numbers.amounts import Amount, read_amount, unit_of
from app.calculations.numbers.dilution import Reading, read_ratio
from app.calculations.numbers.rounding import half_away
from app.calculations.numbers.units import PIECE, sort_of
from app.documents.reading.grid import Cell, shown
from app.documents.reading.lines import PackLine, SupplierLine, SupplyLine
from app.documents.reading.people import read_name, read_yes
from app.documents.reading.row import Row, read_fraction
from app.documents.reading.shelf_words import (
    kind_by_name,
    kind_by_words,
    may_be_either,
    protection_by_name,
    read_hazards,
    read_pictograms,
    read_protection,
    read_signal_word,
    read_span,
)
from app.errors import Mendable

_SIZE_IN_NAME = re.compile(
    r"[\s,;–-]*\(?\b(?P<size>(?:\d+\s*[x×]\s*)?(?:\d+(?:[.,]\d+)?|\d+/\d+|½|¼)\s*-?\s*"
    r"(?:fl\.?\s?oz|oz|ounces?|gal(?:lon)?s?|qts?|quarts?|pts?|pints?|ml|l|lit(?:er|re)s?|"
    r"g|kg|lbs?|ct|pcs?|pk))\b\.?\)?\s*"
    r"(?:bottles?|jugs?|tubs?|tins?|cans?|pails?)?\s*$",
    re.IGNORECASE,
)
# How long or wide a thing is: no size of a pack.
_DIMENSION = re.compile(r"\d\s*-?\s*(?:in|inch(?:es)?|cm|mm|ft|feet|[\"″])(?![\w])", re.IGNORECASE)
_EACH_ONE = re.compile(
    r"(?:sold |per |by the )?(?:each|ea\.?|singles?|piece|st(?:ü|ue)ck|unidad)", re.IGNORECASE
)
_MOST_PACKS = 100  # bottles of one thing on the shelf of a small shop; common practice, no source
_OPEN = "the stock is left open until it is counted"
# A paste is sold in these; a liquid hardly ever (common practice, no source).
_TINS = frozenset({"tin", "tins", "tub", "tubs", "jar", "jars", "dose"})
_NEAT = re.compile(
    r"\b(?:neat|undiluted|rtu|ready[ -]to[ -]use|as is|full strength|straight|pur|puro|none|no)\b",
    re.IGNORECASE,
)


def supply_of(row: Row) -> SupplyLine:
    """The supply that a row tells of, with its stock and pack."""
    name = row.text("supply.name")
    size, size_text, name = _size(row, name)
    unit_word = row.text("supply.unit")
    stock = row.amount("supply.stock", then=_OPEN)
    kind, sure = _kind(row, name, size, stock)
    size, stock, size_text = _with_unit_column(unit_word, size, stock, size_text, kind)
    price = row.money("supply.price")
    if price and not row.any("supply.size") and size is None:
        size, size_text = _priced_by(row, unit_word, kind)
    density = _density(row)
    known = {"density": density or 1000}
    pack = row.base("supply.size", size, "type it like 32 oz, 1 gal or 100 pcs", kind, **known)
    bottle = row.base("supply.size", _one_of_several(size), "", kind, **known)
    stock = _packs_or_not(row, stock, kind, pack, size_text)
    on_hand = row.base("supply.stock", stock, _OPEN, kind, pack=pack, bottle=bottle, **known)
    line_notes = _line_notes(row)
    supplier, code = row.text("supply.supplier")[:120], row.text("supply.code")[:60]
    packs: tuple[PackLine, ...] = ()
    if pack is not None and pack > 0:
        packs = (PackLine(" ".join(size_text.split())[:60], pack, price, code, supplier),)
    elif price is not None and price > 0:
        line_notes.append(f"Price without a pack: {shown(row.value('supply.price'))}")
    life = row.value("supply.life")
    low, high = (life is not None and read_span(life, _unit(row, "supply.life"))) or (None, None)
    protection_text = row.text("supply.protection")
    protection = read_protection(protection_text) if protection_text else protection_by_name(name)
    if not protection and not protection_text and may_be_either(name):
        row.say_row(f"“{name[:40]}” may leave a wax or a sealant; say which on its page: nobody "
                    "is reminded of it until then")  # fmt: skip
    if protection_text and not protection and read_yes(protection_text) is None:
        line_notes.append(f"Protection: {protection_text}")
    line = SupplyLine(
        source=row.source,
        name=name[:120],
        supply_kind=kind,
        kind_sure=sure,
        stock=on_hand,
        packs=packs,
        supplier=supplier,
        code=code,
        dilution=_dilution(row),
        density=density,
        shelf_place=row.text("supply.place")[:60],
        shelf_life_days=_days(row, "supply.shelf_life"),
        opened_life_days=_days(row, "supply.opened_life"),
        protection=protection,
        life_low_days=low,
        life_high_days=high,
        signal_word=read_signal_word(row.text("supply.signal_word")),
        hazard_statements=read_hazards(row.text("supply.hazards")),
        pictograms=read_pictograms(
            row.text("supply.pictograms") or _ghs(row.text("supply.hazards"))
        ),
        stopped=_stopped(row),
        tare=_tare(row),
        notes=row.notes("supply.notes", *line_notes),
    )
    if not name:
        sentence = row.say_row("no supply is named here; type its name or leave the row out")
        return replace(line, problems=(sentence,), unreadable=True)
    return line


def _stopped(row: Row) -> bool | None:
    """Whether it is bought no more; a column may say so, or say that it still is."""
    stopped, active = (read_yes(row.value(key)) for key in ("supply.stopped", "supply.active"))
    return stopped if stopped is not None or active is None else not active


def _size(row: Row, name: str) -> tuple[Amount | None, str, str]:
    """The pack size and its text, from its column or the end of the name, and the bare name."""
    cells = [cell for cell in row.cells("supply.size") if not _DIMENSION.search(shown(cell[1]))]
    text = " ".join(shown(cells[0][1]).split()) if cells else ""
    if _EACH_ONE.fullmatch(text):
        return Amount(each=Fraction(1), unit="pc"), "each", name
    size = row.amount("supply.size", but=_DIMENSION)
    if size is not None:
        unit = row.unit_of(cells[0][0])
        if unit and unit != "container" and not re.search(r"[A-Za-z]", text):
            text = f"{text} {unit}"
        return size, text, name
    found = _SIZE_IN_NAME.search(name)
    if found and found.start() > 2:
        with suppress(Mendable):
            size = read_amount(found.group("size"))
            return size, found.group("size").strip(), name[: found.start()].strip(" ,;-–")
    return None, "", name


def _one_of_several(size: Amount | None) -> Amount | None:
    """Each of the bottles that a pack such as 12 x 500 ml is made of."""
    if size is None or size.more or size.count <= 1 or size.unit in ("", "pc", "pair", "dozen"):
        return None
    return replace(size, count=Fraction(1))


def _with_unit_column(
    unit_word: str, size: Amount | None, stock: Amount | None, size_text: str, kind: str
) -> tuple[Amount | None, Amount | None, str]:
    """Give the bare numbers the unit column's unit: the size first, else the stock.

    A unit column may also hold a whole pack ("32 oz", "1 gal bottle"): then it is the size.
    """
    if not unit_word:
        return size, stock, size_text
    unit = unit_of(unit_word)
    if not unit:
        with suppress(Mendable):
            told = read_amount(unit_word)
            if size is None and told.unit:
                return told, stock, unit_word
        return size, stock, size_text
    if size is not None and size.number() is not None:
        if unit != "container":
            size, size_text = replace(size, unit=unit), f"{size_text} {unit_word}"
    elif stock is not None and stock.number() is not None:
        if unit == "pc" and size is not None:
            unit = "" if kind == "piece" else "container"
        stock = stock.bare_in(unit)
    return size, stock, size_text


def _packs_or_not(
    row: Row, stock: Amount | None, kind: str, pack: int | None, size_text: str
) -> Amount | None:
    """A bare number beside a pack, which may count packs or what is in them.

    Pieces are counted one by one as soon as there are more than a pack holds, and that is said.
    A shop has no hundred bottles of one thing: that many is asked about, and left open.
    """
    number = None if stock is None else stock.number()
    if stock is None or number is None or not pack:
        return stock
    position, value = row.cells("supply.stock")[0]
    told, size = shown(value)[:20], size_text[:20]
    if kind == "piece":
        if pack <= PIECE or number * PIECE < pack:
            return stock
        row.say(position, f"“{told}” was taken for so many pieces, not for packs of {size}",
                f"type “{told} packs” if packs are meant")  # fmt: skip
        return stock.bare_in("pc")
    if number < _MOST_PACKS:
        return stock
    small = "mL" if kind == "liquid" else "g"
    row.refuse(position, value, f"which may be packs of {size} or {small}",
               f"type “{told} packs” or “{told} {small}”; {_OPEN}")  # fmt: skip
    return None


def _priced_by(row: Row, unit_word: str, kind: str) -> tuple[Amount | None, str]:
    """The pack that a price without one is for: "$/gal", a unit column, one piece."""
    positions = row.layout.positions("supply.price")
    unit = row.unit_of(positions[0]) if positions else ""
    if not unit and unit_word:
        unit = unit_of(unit_word)
    if unit and unit not in ("container", "pc"):
        return Amount(each=Fraction(1), unit=unit), f"1 {unit}"
    if kind == "piece":
        return Amount(each=Fraction(1), unit="pc"), "each"
    return None, ""


def _kind(row: Row, name: str, size: Amount | None, stock: Amount | None) -> tuple[str, bool]:
    """liquid, paste or piece, and whether the file itself says so."""
    told = kind_by_words(row.text("supply.kind")) if row.any("supply.kind") else ""
    if told:
        return told, True
    by_name = kind_by_name(name) or kind_by_words(row.text("supply.category"))
    units = [amount.kind for amount in (size, stock) if amount is not None]
    unit = unit_of(row.text("supply.unit"))
    by_unit = sort_of(unit)
    measured = [u for u in (*units, by_unit) if u in ("liquid", "paste")]
    if measured:
        return measured[0], True
    open_ounces = any(a is not None and a.unit == "oz" for a in (size, stock)) or unit == "oz"
    if open_ounces:
        tins = {a.container for a in (size, stock) if a is not None} & _TINS
        return ("paste" if by_name == "paste" or (tins and not by_name) else "liquid"), True
    if "piece" in units and by_name != "liquid":
        return "piece", True
    if "piece" in units or by_unit == "piece":
        return by_name or "piece", by_name == ""
    counted = size is None and stock is not None and stock.number() != 0
    return by_name or ("piece" if counted else "liquid"), False


def _line_notes(row: Row) -> list[str]:
    notes = []
    for key, word in (
        ("supply.category", "Category"), ("supply.maker", "Maker"), ("supply.reorder", "Reorder"),
        ("supply.expires", "Expires"),
    ):  # fmt: skip
        told = row.text(key)
        if told:
            notes.append(f"{word}: {told}")
    for _, value in row.cells("supply.size"):
        if _DIMENSION.search(shown(value)):
            notes.append(f"Size: {shown(value)}")
    if row.raw.section:
        notes.append(f"Section: {row.raw.section}")
    return notes


def _density(row: Row) -> int | None:
    for position, value in row.cells("supply.density"):
        number = read_fraction(re.sub(r"[^\d.,]", "", shown(value)))
        if number is not None and Fraction(1, 5) <= number <= 5:
            return round(number * 1000)
        if number is not None and 200 <= number <= 5000:
            return round(number)
        row.refuse(position, value, "which is no density", "type it in g/mL, like 0.85")
    return None


def _dilution(row: Row) -> int | None:
    """Thousandths of parts water to one part product; 0 is neat.

    A bare "10:1" or "1:10" is read as the shop's setting says, and left open when it says "ask".
    """
    options = row.layout.options
    for position, value in row.cells("supply.dilution")[:1]:
        try:
            return read_dilution(value, options.dilution, imperial=options.imperial)
        except Mendable as error:
            row.say(position, f"the dilution was left open: {error}".rstrip("."))
            row.unread.append(position)
    return None


def read_dilution(value: Cell, reading: str, *, imperial: bool = False) -> int | None:
    """A dilution as thousandths of parts water to one part product; Mendable when it stays open.

    `reading` is the shop's setting for a bare ratio: water_first, product_first or ask.
    """
    text = re.sub(r"\s*\([^)]*\)", "", " ".join(shown(value).split()))
    if not text:
        return None
    if _NEAT.match(text):
        return 0
    if re.fullmatch(r"\d{2,4}", text):
        # A bare number in a column of dilutions is how many parts water: 256.
        text = f"1 to {text}"
    text = re.sub(
        r"\b(\d+) ?(?:teile|partes) (?:wasser|de agua|agua)\b",
        r"\1 parts water to 1 product",
        text,
        flags=re.IGNORECASE,
    )
    text = re.sub(
        r"^(\d+(?:\.\d+)?) parts? water$", r"\1 parts water to 1 product", text, flags=re.IGNORECASE
    )
    return half_away(read_ratio(text, Reading(reading), imperial=imperial), 3)


def _ghs(text: str) -> str:
    return text if re.search(r"ghs\s?0?\d", text, re.IGNORECASE) else ""


def _unit(row: Row, key: str) -> str:
    positions = row.layout.positions(key)
    return row.layout.units[positions[0]] if positions else ""


def _days(row: Row, key: str) -> int | None:
    for position, value in row.cells(key):
        span = read_span(value, _unit(row, key))
        if span is None:
            row.refuse(position, value, "which is no span of time", "type it like 24 months")
            return None
        return span[0]
    return None


def _tare(row: Row) -> int | None:
    return row.base("supply.tare", row.amount("supply.tare", "g"), "", "paste")


def supplier_of(row: Row) -> SupplierLine:
    """The supplier that a row tells of."""
    name = row.text("supplier.name")
    phones, _, beside = row.phones("supplier.phone")
    mails = row.mails("supplier.email")
    whole = shown(row.value("supplier.address"))
    parts = [
        row.text("supplier.street"),
        " ".join(
            row.text(f"supplier.{part}") for part in ("city", "region", "postal_code")
        ).strip(),
    ]
    notes = [f"Phone: {beside}"] if beside else []
    notes.extend(f"Also: {more}" for more in (*phones[1:], *mails[1:]))
    for key, word in (("supplier.contact", "Contact"), ("supplier.website", "Website")):
        told = row.text(key)
        if told:
            notes.append(f"{word}: {read_name(told)[0] if word == 'Contact' else told}")
    days, note = _lead(row)
    notes.extend([note] if note else [])
    line = SupplierLine(
        source=row.source,
        name=name[:120],
        contact=row.text("supplier.contact"),
        email=mails[0] if mails else "",
        phone=phones[0] if phones else "",
        address="\n".join(part for part in (whole, *parts) if part),
        account_no=row.text("supplier.account_no")[:60],
        promised_days=days,
        freight=row.money("supplier.freight"),
        free_freight_from=row.money("supplier.free_freight_from"),
        minimum_order=row.money("supplier.minimum_order"),
        notes=row.notes("supplier.notes", *notes),
    )
    if not name:
        sentence = row.say_row("no supplier is named here; type its name or leave the row out")
        return replace(line, problems=(sentence,), unreadable=True)
    return line


def _lead(row: Row) -> tuple[int | None, str]:
    """The lead time in days, the longer of two, and a note where days alone do not say it."""
    for position, value in row.cells("supplier.promised_days"):
        text = shown(value).casefold()
        if re.search(r"\b(?:next day|overnight|same day)\b", text):
            return (0 if re.search(r"\bsame\b", text) else 1), ""
        note = f"Lead time: {shown(value)}"
        low, high = read_span(value, row.layout.units[position] or "day") or (None, None)
        return high, "" if low is not None and low == high else note
    return None, ""

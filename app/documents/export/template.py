"""The empty workbook for a shop that starts from paper: headings, and a note for each column."""

from __future__ import annotations

from pathlib import Path

from app.documents.export.workbook import MARK, save
from app.documents.reading.grid import Grid, letter
from app.documents.reading.meanings import MEANINGS

# Sheet, then its columns: a meaning, with its heading where it is not the meaning's own label.
_TABLE = """
Customers: customer.name, customer.firm, customer.phone, customer.phone=Second phone,
  customer.email, customer.street, customer.city, customer.region, customer.postal_code,
  customer.country, customer.asks_by, customer.may_remind, customer.deceased, customer.household,
  customer.referred_by, customer.tax_exempt_no, customer.since, customer.notes
Vehicles: customer.name=Owner, customer.phone=Owner phone, vehicle.description, vehicle.year,
  vehicle.make, vehicle.model, vehicle.color, vehicle.plate, vehicle.plate_region, vehicle.vin,
  vehicle.fleet_unit, vehicle.size, vehicle.size_inside, vehicle.stands, vehicle.lease_ends,
  vehicle.notes
Suppliers: supplier.name, supplier.contact, supplier.phone, supplier.email, supplier.address,
  supplier.account_no, supplier.promised_days, supplier.freight, supplier.free_freight_from,
  supplier.minimum_order, supplier.notes
Supplies: supply.name, supply.kind, supply.stock, supply.size, supply.price, supply.supplier,
  supply.code, supply.dilution, supply.density, supply.place, supply.shelf_life,
  supply.opened_life, supply.protection, supply.life, supply.signal_word, supply.hazards,
  supply.pictograms, supply.notes
Past jobs: job.number, job.day, job.last_day, customer.name=Customer, vehicle.description,
  vehicle.plate, job.services, job.hours, job.net, job.tax, job.gross=Total, job.discount, job.tip,
  job.paid, job.paid_on, job.method, job.state, layer.supply, layer.surfaces, job.notes
Applied layers: layer.day, customer.name=Customer, vehicle.description, vehicle.plate,
  layer.supply, layer.surfaces, layer.notes
Payments: receipt.day, customer.name=Customer, receipt.amount, receipt.method, receipt.job,
  receipt.kind, receipt.notes
"""
SHEETS: dict[str, tuple[tuple[str, str], ...]] = {
    title: tuple(
        (key, heading or MEANINGS[key].label)
        for key, _, heading in (column.strip().partition("=") for column in columns.split(","))
    )
    for title, columns in (
        line.split(":") for line in _TABLE.strip().replace("\n  ", " ").splitlines()
    )
}
HOW = "How to fill in"
_SENTENCES = (
    "Fill in the sheets you need and leave the others empty. Only the name must be there.",
    "One row for each customer, vehicle, supply or job. Write as you are used to: 3 x 32 oz, "
    "500 ml, $12.50, (212) 555-0142, March 5, 2024.",
    "You may leave out columns, put them in another order, or bring in your own lists as they are.",
)


def is_how_to(grid: Grid) -> bool:
    """True for the template's own sheet of explanations."""
    return grid.sheet == HOW and grid.cell(0, 0) == _SENTENCES[0]


def write_template(path: Path) -> Path | None:
    """Write the template; Mendable when the place cannot be written.

    Returns where the file now is that stood there before; None when there was none.
    """
    from openpyxl import Workbook
    from openpyxl.comments import Comment
    from openpyxl.styles import Alignment, Font

    book = Workbook()
    how = book.active
    assert how is not None
    how.title = HOW
    for sentence in _SENTENCES:
        how.append([sentence])
    how.append([])
    how.append(["On the sheet", "what stands under", "is"])
    for cell in how[how.max_row]:
        cell.font = Font(bold=True)
    for title, columns in SHEETS.items():
        sheet = book.create_sheet(title)
        sheet.freeze_panes = "A2"
        for index, (key, text) in enumerate(columns):
            cell = sheet.cell(1, index + 1, text)
            cell.font = Font(bold=True)
            note = MEANINGS[key].note
            if note:
                cell.comment = Comment(note, MARK, width=280, height=90)
                how.append([title, text, note])
            sheet.column_dimensions[letter(index)].width = max(14, len(text) + 4)
    how.column_dimensions["A"].width = 18
    how.column_dimensions["B"].width = 22
    how.column_dimensions["C"].width = 80
    for row in how.iter_rows(min_row=len(_SENTENCES) + 3):
        for cell in row:
            cell.alignment = Alignment(wrap_text=True, vertical="top")
    return save(book.save, path)

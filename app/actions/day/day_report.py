"""A day without the window: as data for other programs (docs/day-json.md) and as plain text."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from pathlib import Path
from typing import Any

from app.actions.day.closing import next_work
from app.actions.day.day import day_view
from app.actions.day.jobs_worked import jobs_worked
from app.actions.day.money_taken import money_taken
from app.actions.day.supplies_used import SupplyUsed, supplies_used
from app.actions.desk.amounts import all_supplies, money, stock_text
from app.actions.desk.desk import Desk
from app.actions.desk.open_day import is_closed, numbered
from app.actions.letters import reminders
from app.actions.orders.order_proposal import OrderLineView, what_to_order
from app.calculations.numbers.dates import day_year, weekday_day
from app.calculations.numbers.durations import shown_duration
from app.calculations.numbers.units import PIECE, Kind, pieces_word
from app.calculations.numbers.wording import MINUS
from app.records.queries import orders as order_queries
from app.records.queries import stock as stock_queries
from app.records.queries.days import JobRow
from app.records.queries.orders import OrderLineRow

BASE_UNITS = {"liquid": "uL", "paste": "mg", "piece": "1/1000 piece"}


def day_json(desk: Desk, day: date, files: Iterable[Path] = ()) -> dict[str, Any]:
    """The day with the keys date, jobs, supplies, money, orders, reminders.

    `files` are those that a close wrote; each stands with the order or reminder it belongs to.
    """
    written = list(files)
    return {
        "date": day.isoformat(),
        "jobs": _jobs(desk, day),
        "supplies": _supplies(desk, day),
        "money": _money(desk, day),
        "orders": _orders(desk, day, written),
        "reminders": _reminders(desk, day, written),
    }


def _jobs(desk: Desk, day: date) -> list[dict[str, Any]]:
    return [
        {
            "number": row.job.number,
            "customer": row.job.customer,
            "vehicle": row.job.vehicle,
            "services": row.services,
            "minutes": row.minutes,
            "expected_minutes": row.expected,
            "hours": row.hours_state,
            "finished": row.finished,
            "steps": [
                {"name": step.name, "state": step.state, "because": step.because}
                for step in row.steps
            ],
        }
        for row in jobs_worked(desk, day).rows
    ]


def _supplies(desk: Desk, day: date) -> list[dict[str, Any]]:
    used = supplies_used(desk, day)
    numbers = {head.job.job_id: head.job.number for head in used.heads}
    kinds = {one: supply.kind for one, supply in all_supplies(desk).items()}
    return [
        {
            "name": row.name,
            "unit": BASE_UNITS[kinds[row.supply_id]],
            "used": row.today,
            "left": row.left,
            "shown_unit": row.unit,
            "used_shown": row.today_text.replace(MINUS, "-"),  # plain for machines
            "left_shown": row.left_text.replace(MINUS, "-"),
            "cover_days": row.cover_days,
            "alert": row.alert,
            "jobs": [
                {
                    "number": numbers[cell.job_id],
                    "used": cell.amount,
                    "expected": cell.expected,
                    "state": cell.state,
                }
                for cell in row.cells
                if cell.state != "blank"
            ],
        }
        for row in used.rows
    ]


def _money(desk: Desk, day: date) -> dict[str, Any]:
    taken = money_taken(desk, day)
    return {
        "currency": desk.settings.currency,
        "taken": taken.expected,
        "jobs": [
            {
                "number": row.job.number,
                "customer": row.job.customer,
                "net": row.sums.net,
                "tax": row.sums.tax,
                "gross": row.sums.gross,
                "paid_before": row.paid_before,
                "due": row.sums.due,
                "taken": row.taken,
                "tip": row.tip,
                "credit": row.credit,
                "state": row.state,
                "method": row.method,
            }
            for row in taken.rows
        ],
    }


def _orders(desk: Desk, day: date, files: list[Path]) -> list[dict[str, Any]]:
    """What is proposed while the day is open, then what is written or on its way."""
    proposed = () if is_closed(desk, day) else what_to_order(desk, day).suppliers
    found: list[dict[str, Any]] = [
        {
            "number": None,
            "supplier": one.name,
            "state": "proposed",
            "goods": one.goods,
            "freight": one.freight,
            "total": one.total,
            "expected_on": one.next_delivery.isoformat(),
            "lines": [_order_line(line, line.name, line.cost) for line in one.lines],
            "files": [],
        }
        for one in proposed
    ]
    with desk.book.reading() as session:
        suppliers = stock_queries.suppliers(session)
        coming = order_queries.on_their_way(session)
    for order in coming:
        goods = sum(line.packs * line.price for line in order.lines)
        supplier = suppliers.get(order.supplier_id)
        found.append(
            {
                "number": order.number,
                "supplier": supplier.name if supplier is not None else "",
                "state": order.state,
                "goods": goods,
                "freight": order.freight,
                "total": goods + order.freight,
                "expected_on": order.expected_on.isoformat() if order.expected_on else None,
                "lines": [
                    _order_line(line, line.supply, line.packs * line.price) for line in order.lines
                ],
                "files": _named(files, f"order {numbered(order.number)} "),
            }
        )
    return found


def _order_line(line: OrderLineView | OrderLineRow, supply: str, cost: int) -> dict[str, Any]:
    return {
        "supply": supply,
        "pack": line.pack_label,
        "packs": line.packs,
        "price": line.price,
        "cost": cost,
        "reason": line.reason,
    }


def _reminders(desk: Desk, day: date, files: list[Path]) -> list[dict[str, Any]]:
    return [
        {
            "customer": letter.name,
            "vehicles": list(letter.vehicles),
            "reason": letter.reason,
            "due": letter.due_text,
            "channel": letter.channel,
            "subject": letter.subject,
            "state": "due" if letter.prepared_id is None else "prepared",
            "files": []
            if letter.prepared_id is None
            else _named(files, f"reminder {letter.prepared_id:04d} "),
        }
        for letter in reminders.whom_to_remind(desk, day).letters
    ]


def _named(files: list[Path], start: str) -> list[str]:
    return [str(path) for path in files if path.name.startswith(start)]


def day_text(desk: Desk, day: date) -> str:
    """The day as a page of plain text."""
    view = day_view(desk, day)
    lines = [f"{weekday_day(day)} {day.year}, page {view.page}, {view.state}", ""]
    work = jobs_worked(desk, day)
    lines.append(f"Jobs worked: {work.total_text}")
    for row in work.rows:
        marks = "finished" if row.finished else "goes on"
        lines.append(
            f"  {_who(row.job)}: {row.services}; {shown_duration(row.minutes)} "
            f"({row.hours_state}), {row.steps_text} steps, {marks}"
        )
    used = supplies_used(desk, day)
    lines += ["", "Supplies used:"]
    width = max((len(row.name) for row in used.rows), default=0)
    for supply in used.rows:
        cover = "" if supply.cover_days is None else f", enough for {supply.cover_days} days"
        mark = {"look": "  !", "wrong": "  !!"}.get(supply.alert, "")
        used_said, left_said = _said(desk, supply)
        lines.append(f"  {supply.name:<{width}}  {used_said:>12}, {left_said}{cover}{mark}")
    taken = money_taken(desk, day)
    currency = desk.settings.currency
    lines += ["", f"Money taken, in {currency}: {taken.expected_text}"]
    for one in taken.rows:
        paid = one.taken_text or "nothing"
        due = money(desk, one.sums.due)
        lines.append(f"  {one.job.number_text}  {one.job.customer}: {paid} of {due} due")
    lines += ["", f"What to order, in {currency}:", *_order_lines(desk, day)]
    letters = reminders.whom_to_remind(desk, day).letters
    lines += ["", "Whom to remind:"]
    lines += [f"  {one.name}: {one.reason}" for one in letters] or ["  nobody is due"]
    following, jobs = next_work(desk, day)
    if following is not None:
        lines += ["", f"Next: {day_year(following)}"]
        lines += [f"  {_who(one.job)}: {'; '.join([one.services, *one.lacks])}" for one in jobs]
    return "\n".join(lines)


def _said(desk: Desk, row: SupplyUsed) -> tuple[str, str]:
    """What was used of a supply and what is left of it, with the unit; whole pieces."""
    supply = all_supplies(desk)[row.supply_id]
    pieces = supply.kind == Kind.PIECE
    used = stock_text(desk, supply, row.today) if pieces else f"{row.today_text} {row.unit}"
    if pieces and 0 < row.today < PIECE / 2:
        used = f"under 1 {pieces_word('1', row.unit)}"
    return used, f"{stock_text(desk, supply, row.left)} {'clean' if row.pool else 'left'}"


def _who(job: JobRow) -> str:
    return f"{job.number_text}  {job.customer}, {job.vehicle}"


def _order_lines(desk: Desk, day: date) -> list[str]:
    to_order = what_to_order(desk, day)
    lines = []
    for one in () if is_closed(desk, day) else to_order.suppliers:
        lines.append(f"  {one.name}: {one.total_text} with freight {one.freight_text}")
        lines += [
            f"    {line.packs} x {line.pack_label} of {line.name}, {line.cost_text}. {line.reason}"
            for line in one.lines
        ]
    for waiting in to_order.waiting:
        lines.append(f"  order {waiting.number_text} to {waiting.supplier}: {waiting.text}")
    return lines or ["  nothing"]

"""The slip of a real book: reckoned again by pandas from the full export, in any currency."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path

import pandas as pd
import pytest

from app.actions.costs.driving import set_rate
from app.actions.day.till import differences
from app.actions.desk.desk import Desk
from app.actions.exchange.exporting import export
from app.actions.figures import profits, slips
from app.actions.jobs.invoices import credit, issue, papers_of
from app.demo.story import build_demo
from app.errors import Mendable
from app.records.book import Book
from app.records.models import Job
from tests.shop import new_desk, small_desk

TODAY = date(2026, 8, 14)
PAPERS = ("Invoices", "Invoice lines")
Sheets = dict[str, pd.DataFrame]


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """A year of the made-up shop."""
    path = tmp_path_factory.mktemp("demo") / "demo.bayledger"
    build_demo(path, years=1, jobs_per_week=3, seed=3, today=TODAY)
    with Book.open(path) as book:
        yield Desk(book)


@pytest.fixture(scope="module")
def exported(demo: Desk, tmp_path_factory: pytest.TempPathFactory) -> Sheets:
    """Jobs, charges, papers and receipts as the export has them, sums in cents."""
    path = export(demo, tmp_path_factory.mktemp("out") / "all.xlsx")
    names = ["Jobs", "Charges", "Receipts", "Expenses", "Uses", "Hours", "Days", *PAPERS]
    sheets = pd.read_excel(path, sheet_name=names)
    for name in ("Charges", "Receipts", "Expenses"):
        sheets[name]["cents"] = (sheets[name]["Amount"] * 100).round().astype(int)
    for name, column in (
        ("Jobs", "Done on"), ("Receipts", "Day"), ("Expenses", "Day"), ("Uses", "Day"),
        ("Hours", "Day"), ("Days", "Day"),
    ):  # fmt: skip
        sheets[name][column] = pd.to_datetime(sheets[name][column]).dt.date
    return sheets


@pytest.mark.parametrize(
    "span",
    [
        (date(2026, 7, 1), date(2026, 7, 31)),
        (date(2025, 12, 9), date(2026, 3, 3)),
        (date(2025, 9, 1), TODAY),
        (date(2026, 8, 12), date(2026, 8, 12)),
    ],
)
def test_the_slip_is_what_pandas_finds_in_the_export(
    demo: Desk, exported: Sheets, span: tuple[date, date]
) -> None:
    found = slips.slip(demo, *span)
    jobs, receipts = exported["Jobs"], exported["Receipts"]
    done = jobs[jobs["State"].eq("done") & jobs["Done on"].le(span[1])].set_index("Key")
    lines = exported["Charges"]
    lines = lines[lines["Job key"].isin(done.index)]
    # What stands on a paper carries the tax that is printed there, the rest that of its sum.
    papers = exported["Invoice lines"].merge(
        exported["Invoices"], left_on="Invoice key", right_on="Key"
    )
    sign = papers["Kind"].map({"invoice": 1, "credit": -1})
    printed = (papers["Tax it carries"] * 100).round().astype(int) * sign
    carried = printed.groupby(papers["Job key"]).sum()
    nets = lines[~lines["Key"].isin(papers["Charge key"])]
    nets = nets.groupby(["Job key", "Tax rate in percent"])["cents"].sum().reset_index()
    nets["tax"] = [
        int((Decimal(int(net)) * Decimal(str(rate)) / 100).quantize(Decimal(1), ROUND_HALF_UP))
        for net, rate in zip(nets["cents"], nets["Tax rate in percent"], strict=True)
    ]
    by_job = lines.groupby("Job key")[["cents"]].sum()
    tax = nets.groupby("Job key")["tax"].sum().add(carried, fill_value=0)
    by_job["tax"] = tax.reindex(by_job.index, fill_value=0).astype(int)
    within = by_job.loc[by_job.index.isin(done[done["Done on"].ge(span[0])].index)]
    assert (found.earned, found.tax) == (within["cents"].sum(), within["tax"].sum())
    came = receipts[receipts["Day"].between(*span)]
    assert found.came_by_ways == came["cents"].sum()
    assert found.tips == came.loc[came["Kind"].eq("tip"), "cents"].sum()
    paid = receipts[receipts["Day"].le(span[1]) & ~receipts["Kind"].isin(["tip", "credit"])]
    due = by_job.sum(axis=1).sub(paid.groupby("Job key")["cents"].sum(), fill_value=0)
    assert found.owed_after == due[due.index.isin(done.index)].clip(lower=0).sum()
    assert found.deposits.end == -due[~due.index.isin(done.index)].sum()
    assert found.adds_up
    _check_profit(demo, exported, span, found.earned, by_job["tax"], done["Done on"])


def _check_profit(
    desk: Desk,
    exported: Sheets,
    span: tuple[date, date],
    earned: int,
    tax_by_job: pd.Series[int],
    done_on: pd.Series[date],
) -> None:
    """Profit, its hourly rate, what is held for others and the till, from the sheets alone."""
    set_rate(desk, "0.7", "1 Jan 2026", "made up")
    costs = exported["Expenses"]
    within = costs[costs["Day"].between(*span)]
    spent = within.loc[~within["Kind"].isin(["tips", "tax", "till"]), "cents"].sum()
    uses, hours, days = exported["Uses"], exported["Hours"], exported["Days"]
    used = uses.loc[uses["Day"].between(*span) & uses["Booked"].eq("yes"), "Cost"].sum()
    ways = days[days["Day"].between(*span) & days["Day"].ge(date(2026, 1, 1))]["Driven in m"]
    driven = sum(
        int((Decimal(int(way)) / Decimal("1609.344") * 70).quantize(Decimal(1), ROUND_HALF_UP))
        for way in ways
    )
    profit = earned - spent - round(used * 100) - driven
    minutes = hours.loc[hours["Day"].between(*span), "Minutes"].sum()
    sheet = slips.slip_sheet(desk, *span)
    assert (sheet.profit[-1].words, sheet.profit[-1].amount) == ("Profit", profit)
    assert profits.profit_of(desk, *span, earned).an_hour == pytest.approx(profit * 60 / minutes)
    held = {row.words: row for row in sheet.held}
    for kind, words, came in (
        ("tips", "Tips, not handed on yet", _tips(exported, span[1])),
        ("tax", "Tax, not paid over yet",
         int(tax_by_job[done_on.reindex(tax_by_job.index).le(span[1])].sum())),
    ):  # fmt: skip
        out = costs.loc[costs["Day"].le(span[1]) & costs["Kind"].eq(kind), "cents"].sum()
        assert held[words].end == came - out if words in held else came == out
    desk.book.undo(today=TODAY)
    desk.reload()


def _tips(exported: Sheets, last: date) -> int:
    came = exported["Receipts"]
    return int(came.loc[came["Day"].le(last) & came["Kind"].eq("tip"), "cents"].sum())


def test_cash_counted_is_what_the_export_says_should_be_there(demo: Desk, exported: Sheets) -> None:
    days, came, went = (exported[name] for name in ("Days", "Receipts", "Expenses"))
    counted = days.dropna(subset=["Cash counted"]).set_index("Day")["Cash counted"]
    cents = (counted.sort_index() * 100).round().astype(int)
    moved = pd.concat(
        [
            came[came["Method"].eq("cash")].set_index("Day")["cents"],
            -went[went["Paid by"].eq("cash")].set_index("Day")["cents"],
        ]
    )
    should = pd.Series({day: moved[moved.index <= day].sum() for day in cents.index})
    apart = (cents - should).diff().iloc[1:].astype(int)
    found = {one.day: one.difference for one in differences(demo, date(2020, 1, 1), TODAY)}
    assert found == apart[apart.ne(0)].to_dict()
    assert found  # now and then one is wrong


def test_the_steps_of_a_sheet_lead_from_one_to_the_next(demo: Desk) -> None:
    sheet = slips.slip_sheet(demo, date(2026, 7, 1), date(2026, 7, 31))
    at = 0
    for step in sheet.steps:
        at = at + step.amount if not step.sum or not at else at
        assert at == step.after, step
    assert sheet.steps[-1].amount == sheet.ways[-1][1] == sum(one for _, one in sheet.ways[:-1])
    assert (sheet.title, sheet.span) == ("Slip for July 2026", "1 to 31 July, both included")
    assert sheet.trouble == ""
    assert sheet.checked.endswith("difference 0.00.")
    assert any(step.words.startswith("owed for work not invoiced yet") for step in sheet.steps)


def test_what_is_invoiced_is_a_step_and_a_credit_note_counts_on_its_day(tmp_path: Path) -> None:
    desk, shop = small_desk(tmp_path / "shop.bayledger")
    with desk.book.load() as session:
        row = session.get_one(Job, shop.jobs["0412"])
        row.state, row.done_on = "done", desk.today
    span = (desk.today.replace(day=1), desk.today)
    before = slips.slip(desk, *span)
    assert before.not_invoiced == before.owed_after == before.charged > 0
    issue(desk, shop.jobs["0412"])
    found = slips.slip(desk, *span)
    assert (found.not_invoiced, found.owed_after) == (0, before.owed_after)
    words = [step.words for step in slips.slip_sheet(desk, *span).steps]
    assert any(one.startswith("owed on invoices") for one in words)
    assert found.adds_up
    (paper,) = papers_of(desk, shop.jobs["0412"]).issued
    later = desk.clock() + timedelta(days=40)
    desk.clock = lambda: later
    credit(desk, paper.invoice.invoice_id, "The layer was put on anew")
    assert slips.slip(desk, *span) == found, "what was printed stands"
    after = slips.slip(desk, desk.today.replace(day=1), desk.today)
    assert (after.earned, after.tax) == (-found.earned, -found.tax)
    assert (after.owed_before, after.owed_after) == (found.owed_after, 0)
    assert "1 job credited" in slips.slip_sheet(desk, after.first, after.last).checked
    assert after.adds_up
    desk.book.close()


def test_spans_are_named(tmp_path: Path) -> None:
    desk, _shop = small_desk(tmp_path / "shop.bayledger")
    named = {
        (date(2026, 7, 1), date(2026, 9, 30)): "Slip for July to September 2026",
        (date(2026, 1, 1), date(2026, 12, 31)): "Slip for 2026",
        (date(2025, 12, 9), date(2026, 1, 3)): "Slip for 9 December 2025 to 3 January 2026",
        (date(2026, 7, 3), date(2026, 7, 3)): "Slip for 3 July 2026",
    }
    assert {span: slips.slip_sheet(desk, *span).title for span in named} == named
    assert slips.span_of("quarter", date(2026, 12, 31)) == (date(2026, 10, 1), date(2026, 12, 31))
    with pytest.raises(Mendable, match="before it begins"):
        slips.slip_sheet(desk, date(2026, 7, 2), date(2026, 7, 1))
    desk.book.close()


@pytest.mark.parametrize(("currency", "nothing"), [("JPY", "0"), ("KWD", "0.000")])
def test_an_empty_book_has_a_slip_in_its_currency(
    tmp_path: Path, currency: str, nothing: str
) -> None:
    desk = new_desk(tmp_path / "new.bayledger", currency=currency)
    sheet = slips.slip_sheet(desk, date(2026, 7, 1), date(2026, 7, 31))
    assert sheet.finding == f"Earned {nothing}, received {nothing}. Every cent between is below."
    assert not sheet.moved
    desk.book.close()

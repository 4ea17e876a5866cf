"""docs/figures.md: each figure is what pandas works out of the full export of the same book."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from app.actions.desk.desk import Desk
from app.actions.exchange.exporting import export
from app.actions.figures import figures
from app.actions.figures.kinds import KindFigure, kind_name
from app.actions.figures.more_pages import compared, shelf_page, work_page
from app.actions.figures.row_figure import Row
from app.calculations.layers.survival import turnbull
from app.calculations.numbers.wording import capital
from app.demo.story import build_demo
from app.records.book import Book
from app.records.models import Charge, Estimate, Hours, Job, Receipt, Vehicle
from tests.records.shop import NOON
from tests.shop import Clock

TODAY = date(2026, 8, 14)
SHEETS = (
    "Jobs", "Charges", "Invoices", "Invoice lines", "Receipts", "Uses", "Hours", "Job services",
    "Services", "Supplies", "Customers", "Reminders", "Estimates", "Orders", "Suppliers",
    "Stock ledger", "Layers", "Judgements", "Vehicles",
)  # fmt: skip
KEYS = {
    "Job key": "job", "Supply key": "supply", "Customer key": "customer", "Vehicle key": "vehicle",
    "Service key": "service", "Supplier key": "supplier", "Estimate key": "estimate",
}  # fmt: skip


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two years of the made-up shop; and what it has none of: a booking that did not come and
    paid, work done again, estimates without an answer."""
    path = tmp_path_factory.mktemp("export") / "demo.bayledger"
    build_demo(path, years=2, jobs_per_week=3, seed=3, today=TODAY)
    with Book.open(path) as made, made.load() as session:
        jobs = session.query(Job).order_by(Job.number)
        off = jobs.filter(Job.state == "cancelled", Job.first_day <= TODAY).all()[-1]
        off.ended_because = "they did not come"
        session.add(Receipt(job_id=off.id, day=off.first_day, at=NOON, amount=5000, kind="deposit"))
        paid = jobs.filter(Job.state == "done", Job.vehicle_id.is_not(None)).all()[-40]
        session.add(Vehicle(id=9001, description="a wagon that came late"))
        day = TODAY - timedelta(days=60)
        for number, vehicle, on, charged in (
            (90_001, paid.vehicle_id, paid.done_on + timedelta(days=9), 0),
            (90_002, 9001, day, 4000),
            (90_003, 9001, day + timedelta(days=31), 0),  # too late for the same work
        ):
            session.add(Job(id=number, number=number, vehicle_id=vehicle, state="done",
                            title="Looked at again", first_day=on, done_on=on))  # fmt: skip
            session.flush()
            session.add(Hours(day=on, job_id=number, minutes=95))
            session.add(Charge(job_id=number, text="Work", amount=charged))
        bare = jobs.filter(Job.state == "booked", Job.id.not_in(session.query(Estimate.job_id)))
        for job, ago in zip(bare.limit(3), (5, 30, 90), strict=True):
            on = TODAY - timedelta(days=ago)
            session.add(Estimate(job_id=job.id, version=1, made_on=on, at=NOON, state="given",
                                 likely=12_345, given_on=on))  # fmt: skip
    return path


def frames(desk: Desk, path: Path) -> dict[str, pd.DataFrame]:
    """The sheets of the full export, money in minor units."""
    read = pd.read_excel(export(desk, path), sheet_name=list(SHEETS))
    for data in read.values():
        data.rename(columns=KEYS, inplace=True)
        for name in ("Amount", "Cost", "Value", "Before tax", "Likely"):
            if name in data:
                data[name] = (data[name] * 100).round().astype("Int64")
        for name in ("Day", "Done on", "First day", "Given on", "Approved on", "Sent on",
                     "Received on", "Issued on", "Customer since"):  # fmt: skip
            if name in data:
                data[name] = pd.to_datetime(data[name]).dt.date
    return read


def kinds_of(data: dict[str, pd.DataFrame]) -> pd.Series:
    """By job, the services sold together."""
    sold = data["Job services"].merge(
        data["Services"][["Key", "Service"]], left_on="service", right_on="Key"
    )
    sold = sold.sort_values("Key_x")
    return sold.groupby("job").Service.agg(lambda names: kind_name(list(names)))


def spans_agree(figure: KindFigure, found: pd.DataFrame) -> None:
    """Each bar is the median and the two quantiles of `found`'s values of that kind."""
    assert {bar.name for bar in figure.kinds} == set(found.kind)
    for bar in figure.kinds:
        own = found[found.kind == bar.name].value.astype(float)
        assert bar.jobs == len(own)
        assert (bar.low, bar.middle, bar.high) == pytest.approx(
            tuple(own.quantile([0.1, 0.5, 0.9])), abs=1e-6
        )


def cells(rows: tuple[Row, ...]) -> dict[str, tuple[object, ...]]:
    return {row.name: row.cells for row in rows}


def within(first: date, last: date) -> Callable[[pd.Series], pd.Series]:
    return lambda days: days.map(lambda day: bool(pd.notna(day)) and first <= day <= last)


def test_every_figure_is_what_pandas_works_out_of_the_full_export(
    book: Path, tmp_path: Path
) -> None:
    with Book.open(book) as opened:
        desk = Desk(opened, Clock(TODAY))
        shown = figures.figures(desk, "year", TODAY)
        more = figures.more_figures(desk, shown)
        work, shelf = work_page(desk, shown), shelf_page(desk, shown)
        data = frames(desk, tmp_path / "all.xlsx")
    here = within(shown.first, shown.last)
    then = within(*compared(shown, TODAY))
    jobs = data["Jobs"].set_index("Key")
    kind = kinds_of(data)
    lines = data["Invoice lines"].merge(
        data["Invoices"][data["Invoices"].Kind == "credit"][["Key"]],
        left_on="Invoice key", right_on="Key",
    )  # fmt: skip
    credits = data["Charges"].Key.isin(lines["Charge key"])
    jobs["earned"] = data["Charges"][~credits].groupby("job").Amount.sum()
    jobs["stands"] = data["Charges"].groupby("job").Amount.sum()
    jobs["minutes"] = data["Hours"].groupby("job").Minutes.sum()
    uses = data["Uses"][data["Uses"].Booked.isin([True, "yes"])]
    used = uses[uses.State != "unrecorded"]
    jobs["supplies"] = used.groupby("job").Cost.sum()
    for name in ("earned", "stands", "minutes"):
        jobs[name] = jobs[name].fillna(0)
    jobs["kind"] = kind.reindex(jobs.index).fillna(jobs.Title)
    done = jobs[(jobs.State == "done") & here(jobs["Done on"])]

    # 1 earned, received, supplies
    paid = data["Receipts"][(data["Receipts"].Kind != "tip") & here(data["Receipts"].Day)]
    taken_back = data["Invoices"][
        (data["Invoices"].Kind == "credit") & here(data["Invoices"]["Issued on"])
    ]["Before tax"].sum()
    assert sum(bar.earned for bar in shown.money.bars) == done.earned.sum() - taken_back
    assert sum(bar.received for bar in shown.money.bars) == paid.Amount.sum()
    assert sum(bar.supplies for bar in shown.money.bars) == uses[here(uses.Day)].Cost.sum()
    # 2 left an hour, 3 hours
    counted = done[(done.minutes > 0) & done.supplies.notna()]
    spans_agree(shown.services, pd.DataFrame({
        "kind": counted.kind, "value": (counted.stands - counted.supplies) * 60 / counted.minutes,
    }))  # fmt: skip
    expected = done[(done.minutes > 0) & (done["Expected minutes"] > 0)]
    spans_agree(shown.hours, pd.DataFrame({
        "kind": expected.kind, "value": expected.minutes / expected["Expected minutes"],
    }))  # fmt: skip
    # 4 supplies
    cost = uses[here(uses.Day)].groupby("supply").Cost.sum().sort_values(ascending=False)
    cost = cost[cost > 0]
    assert [bar.cost for bar in shown.supplies.bars] == list(cost[: len(shown.supplies.bars)])
    assert sum(bar.cost for bar in shown.supplies.parts) == cost.sum()
    # 5 letters
    sent = data["Reminders"][
        data["Reminders"].State.isin(["sent", "answered"]) & here(data["Reminders"]["Sent on"])
    ]
    assert more.letters.steps[0].count == len(sent) > 0
    brought = sum(job.stands for job in _brought(sent, data, jobs))
    assert more.letters.earned == brought > 0
    # 6 who sends
    sender = done.customer.map(data["Customers"].set_index("Key")["Referred by"])
    assert sum(bar.earned for bar in more.referrals.bars) == done[sender.notna()].earned.sum() > 0
    # 8 estimates
    given = data["Estimates"][data["Estimates"].State != "draft"].copy()
    given["on"] = given["Given on"].fillna(given["Approved on"])
    given = (
        given.sort_values("Version")
        .groupby("job")
        .agg(on=("on", "min"), yes=("Approved on", "max"), likely=("Likely", "last"))
    )
    given = given[here(given.on)].join(jobs.State)
    begun = given.State.isin(["working", "done"])
    yes = (given.yes.notna() & (given.State != "cancelled")) | begun
    age = given.on.map(lambda day: (TODAY - day).days)
    asked = ~yes & (given.State != "cancelled")
    shown_8 = cells(work.estimates.rows)
    assert shown_8["yes, done"] == (
        (yes & (given.State == "done")).sum(), given[yes & (given.State == "done")].likely.sum()
    )  # fmt: skip
    for name, low, high in (("up to 21", -1, 21), ("22 to 60", 21, 60), ("over 60", 60, 9999)):
        open_ = given[asked & (age > low) & (age <= high)]
        assert shown_8[f"open {name} days"] == (len(open_), open_.likely.sum())
        assert len(open_) > 0
    decided = given[yes | given.yes.notna() | (given.State == "cancelled") | (age > 21)]
    yeses = (decided.yes.notna() | decided.State.isin(["working", "done"])).sum()
    assert work.estimates.finding == f"{yeses} of {len(decided)} decided estimates got a yes."
    # 9 bookings
    due = jobs[within(shown.first, TODAY)(jobs["First day"]) & (jobs.State != "enquiry")]
    due = due[~due["Came to nothing"].isin([True, "yes"])]
    off = due[due.State == "cancelled"]
    because = off["Why it was called off or came to nothing"]
    missed = (because == "they did not come").sum()
    came = due.State.isin(["done", "working"]).sum()
    assert work.bookings.finding == f"{missed} of {came + len(off)} bookings did not come."
    kept = data["Receipts"][data["Receipts"].job.isin(off.index)]
    kept = kept[kept.Kind != "tip"].Amount.sum()
    assert sum(row.cells[1] for row in work.bookings.all_rows) == kept >= 5000  # type: ignore[misc]
    # 10 done again
    free = done[done.stands <= 0]
    paid_before = jobs[(jobs.State == "done") & (jobs.stands > 0)]
    again = [
        job
        for job, row in free.iterrows()
        if pd.notna(row.vehicle)
        and any(
            timedelta(0) <= row["Done on"] - before <= timedelta(days=30)
            for before in paid_before[paid_before.vehicle == row.vehicle]["Done on"]
        )
    ]
    assert again == [90_001]
    assert [row.ids for row in work.again.rows] == [(90_001,)]
    assert work.again.finding == "1 job done again took 1 h 35 min."
    # 11 lives
    lives = _lives(data)
    for row in work.lives.all_rows:
        layers, gone, half = lives[row.name.rpartition(", ")[0]]
        assert row.name.rpartition(", ")[2] in ("kept well", "middling", "hard")
        assert 0 < int(row.cells[0] or 0) <= layers
        assert 0 <= int(row.cells[1] or 0) <= gone
        assert half > 0
    by_class = (
        pd.DataFrame(
            [(row.name.rpartition(", ")[0], *row.cells[:2]) for row in work.lives.all_rows],
            columns=["kind", "layers", "gone"],
        )
        .groupby("kind")
        .sum()
    )
    assert {name: (row.layers, row.gone) for name, row in by_class.iterrows()} == {
        name: (layers, gone) for name, (layers, gone, _) in lives.items()
    }
    # 12 prices
    before = jobs[(jobs.State == "done") & then(jobs["Done on"])]
    before = before[(before.minutes > 0) & before.supplies.notna()]
    assert len(shelf.prices.rows) > 0
    for row in shelf.prices.all_rows:
        many, left, charged, dearer, more_used = row.cells
        now, old = counted[counted.kind == row.name], before[before.kind == row.name]
        assert min(len(now), len(old)) >= 5
        assert (many, charged - dearer - more_used) == (len(now), left)  # type: ignore[operator]
        assert charged == pytest.approx(now.stands.mean() - old.stands.mean(), abs=0.51)
        unit = [
            used[used.job.isin(some.index)].groupby("supply")[["Quantity", "Cost"]].sum()
            for some in (now, old)
        ]
        both = unit[0].join(unit[1], rsuffix="_old", how="inner")
        both = both[both.Quantity_old > 0]
        at_then = both.Quantity * both.Cost_old / both.Quantity_old
        rise = float((both.Cost - at_then).sum()) / len(now)
        assert dearer == pytest.approx(rise, abs=0.6)
    # 13 stock
    ledger = data["Stock ledger"]
    stands = ledger.groupby("supply")[["Quantity", "Value"]].sum()
    worth = stands[stands.Quantity > 1e-9].Value.sum()
    assert sum(row.cells[1] for row in shelf.stock.rows) == worth  # type: ignore[misc]
    # 14 unrecorded use
    supplies = data["Supplies"].set_index("Key")
    whose = ledger.set_index("Key")
    back = ledger["Takes back"]
    ledger["what"] = back.map(whose.Kind).fillna(ledger.Kind)
    ledger["on"] = back.map(whose.Day).fillna(ledger.Day)
    ledger["line"] = back.fillna(ledger.Key)
    moved = ledger[here(ledger.on) & ~ledger.line.isin(ledger.groupby("supply").Key.min())]
    moved = moved[moved.supply.map(supplies.Pool).isna()]
    gone = -moved[moved.what == "counted"].groupby("supply")[["Quantity", "Value"]].sum()
    went = -moved[moved.what == "used"].groupby("supply")[["Quantity", "Value"]].sum()
    lost = gone[gone.Quantity > 1e-9]
    found = cells(shelf.unrecorded.all_rows)
    assert set(found) == set(supplies.loc[lost.index].Supply)
    for supply, row in lost.iterrows():
        use = went.Quantity.get(supply, 0.0)
        value, share, _ = found[supplies.Supply[supply]]
        assert value == row.Value
        assert share == pytest.approx(100 * row.Quantity / (row.Quantity + use), abs=0.01)
    # 15 deliveries
    orders = data["Orders"][
        (data["Orders"].State == "received") & here(data["Orders"]["Received on"])
    ]
    took = pd.DataFrame({
        "kind": orders.supplier.map(data["Suppliers"].set_index("Key").Supplier),
        "value": (pd.to_datetime(orders["Received on"]) - pd.to_datetime(orders.Day)).dt.days,
    })  # fmt: skip
    spans_agree(shelf.deliveries.spans, took)


def _brought(
    sent: pd.DataFrame, data: dict[str, pd.DataFrame], jobs: pd.DataFrame
) -> list[pd.Series]:
    """The done jobs that the last letter to the household brought within 45 days."""
    people = data["Customers"].set_index("Key")
    house = people.Household.fillna("").str.strip().str.casefold()
    house = house.where(house != "", people.index.map(lambda key: f"#{key}"))
    letters = data["Reminders"][data["Reminders"].State.isin(["sent", "answered"])]
    letters = letters.assign(house=letters.customer.map(house))
    found = []
    for _, job in jobs[jobs.State == "done"].iterrows():
        booked = job["Booked on"] if pd.notna(job["Booked on"]) else job["First day"]
        booked = pd.Timestamp(booked).date()
        own = letters[letters.house == house.get(job.customer)]
        own = own[pd.to_datetime(own["Sent on"]) <= pd.Timestamp(booked)]
        if own.empty:
            continue
        last = own.sort_values(["Sent on", "Key"]).iloc[-1]
        near = booked - last["Sent on"] <= timedelta(days=45)
        if near and last.Key in set(sent.Key):
            found.append(job)
    return found


def _lives(data: dict[str, pd.DataFrame]) -> dict[str, tuple[int, int, float]]:
    """By class: layers seen again, those of them seen gone, and Turnbull's median of all."""
    layers = data["Layers"]
    put_on = layers[(layers.Kind == "applied") & ~layers.Key.isin(layers["Takes back"])]
    put_on = put_on.set_index("Key")
    seen = data["Judgements"].merge(
        put_on[["Day", "supply"]], left_on="Layer key", right_index=True, suffixes=("", "_on")
    )
    seen["kind"] = seen.supply.map(data["Supplies"].set_index("Key")["Protection class"])
    seen["age"] = [(day - on).days for day, on in zip(seen.Day, seen.Day_on, strict=True)]
    word = seen["After decontamination"].fillna(seen["Before decontamination"])
    seen["gone"] = word == "gone"
    found = {}
    for name, some in seen[word.notna()].groupby("kind"):
        low, high = [], []
        for _, one in some.sort_values("age").groupby("Layer key"):
            gone = one[one.gone]
            holds = one[~one.gone].age
            low.append(float(holds.max()) if len(holds) else 0.0)
            end = gone.age.min() if len(gone) and one.iloc[-1].gone else np.inf
            high.append(max(float(end), low[-1]))
        found[capital(str(name))] = (
            len(low), sum(np.isfinite(high)), turnbull(low, high).median()
        )  # fmt: skip
    return found

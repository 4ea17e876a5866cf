"""What to charge in a real book, against pandas; and that the page's sentences are true."""

from __future__ import annotations

from datetime import timedelta
from fractions import Fraction
from pathlib import Path

import pandas as pd
import pytest

from app.actions.desk.desk import Desk
from app.actions.figures import charging
from app.actions.figures.charging import Charging
from app.calculations.numbers.money import shown_whole
from app.calculations.numbers.wording import counted
from app.errors import Mendable
from app.records.models import (
    Charge,
    Hours,
    Job,
    JobService,
    Order,
    OrderLine,
    Service,
    Supply,
    Use,
)
from tests.shop import small_desk


@pytest.fixture(scope="module")
def found(demo: Desk) -> Charging:
    return charging.charging(demo)


@pytest.fixture(scope="module")
def jobs(demo: Desk, found: Charging) -> pd.DataFrame:
    """Each job that counts, added up by pandas; `all` are its minutes with those it carries."""
    data = {}
    with demo.book.reading() as session:
        for model in (Charge, Hours, Job, JobService, Service, Use):
            rows = session.query(model).all()
            columns = [column.key for column in model.__table__.columns]
            data[model] = pd.DataFrame([{k: getattr(r, k) for k in columns} for r in rows])
    hours = data[Hours]
    hours = hours[(hours.day >= found.first) & (hours.day <= found.last)]
    on_shop = hours[hours.job_id.isna()].minutes.sum()
    on_jobs = hours[hours.job_id.notna()].minutes.sum()
    done = data[Job][(data[Job].state == "done") & (data[Job].done_on >= found.first)]
    done = done[done.done_on <= found.last].set_index("id")
    uses = data[Use][data[Use].booked & (data[Use].state != "unrecorded")]
    done["supplies"] = uses.groupby("job_id").cost.sum()
    done["minutes"] = data[Hours].groupby("job_id").minutes.sum()
    done["earned"] = data[Charge].groupby("job_id").amount.sum()
    sold = data[JobService].merge(
        data[Service], left_on="service_id", right_on="id", suffixes=("", "_s")
    )
    done["kind"] = sold.sort_values("id").groupby("job_id").name.agg(tuple)
    done = done[done.supplies.notna() & (done.minutes > 0)].fillna({"earned": 0})
    done["all"] = done.minutes * (1 + on_shop / on_jobs)
    return done.assign(on_shop=on_shop)


def test_every_kind_asks_for_what_pandas_finds(found: Charging, jobs: pd.DataFrame) -> None:
    """The demo's rate is 90.00 an hour: 150 minor units a minute."""
    assert found.rate == 9000
    jobs = jobs.assign(asks=jobs.supplies + jobs["all"] * 150)
    assert sum(len(kind.jobs) for kind in found.kinds) == len(jobs)
    assert found.on_shop == jobs.on_shop.iloc[0] > 0, "unpaid hours count"
    for kind in found.kinds:
        ids = [job.job_id for job in kind.jobs]
        own = jobs.loc[ids]
        assert own.kind.nunique() == 1
        assert len(jobs[jobs.kind == own.kind.iloc[0]]) == len(own), "all of a kind are in it"
        left = (own.earned - own.supplies).sum() / own["all"].sum() * 60
        assert kind.price.an_hour is not None
        assert float(kind.price.an_hour) == pytest.approx(left)
        if len(own) < 5:
            assert list(kind.price.each) == pytest.approx(sorted(own.asks), abs=0.51)
            continue
        asks = kind.price.asks
        assert asks is not None
        for told, share in ((asks.low, 0.1), (asks.middle, 0.5), (asks.high, 0.9)):
            assert told == pytest.approx(own.asks.quantile(share), abs=0.51)
        assert kind.price.charged == pytest.approx(own.earned.median(), abs=0.51)


def test_the_finding_says_how_many_ask_for_more_and_the_most_of_it(
    found: Charging, jobs: pd.DataFrame
) -> None:
    for rate in (9000, 6000, 100):
        told = charging.at_rate(found, rate)
        asks = jobs.assign(asks=jobs.supplies + jobs["all"] * rate / 60).groupby("kind")
        some = asks.asks.median()[asks.size() >= 5]
        short = (some - asks.earned.median()[some.index]).round()
        more = short[short > 0]
        words = told.finding.lower()
        if more.empty:
            assert words == "every kind of job is charged what it asks for, or more."
            continue
        whole = len(more) == len(some)
        many = f"all {counted(len(some))} k" if whole else f"{counted(len(more))} of"
        assert words.startswith(many)
        assert f"{shown_whole(round(more.max()), told.currency)} a job" in words


def test_what_if_is_worked_out_from_the_jobs_themselves(
    demo: Desk, found: Charging, jobs: pd.DataFrame
) -> None:
    kind = max(found.kinds, key=lambda one: len(one.jobs))
    own = jobs.loc[[job.job_id for job in kind.jobs]]
    rows = {one.words: one for one in charging.what_if(found, kind, 5, 60)}
    left = (own.earned - own.supplies).sum()
    assert rows["As it was"].left == left
    assert rows["5 % dearer"].left == pytest.approx(left + 0.05 * own.earned.sum(), abs=len(own))
    less = (own.minutes - 60).clip(lower=0) + own["all"] - own.minutes
    assert rows["1 h less a job"].left == left
    assert rows["1 h less a job"].an_hour == pytest.approx(60 * left / less.sum(), abs=0.51)
    assert "As it was" in rows
    assert [one.words for one in charging.what_if(found, kind, -3, 0)][1] == "3 % cheaper"


def test_the_cheaper_pack_is_cheaper_than_the_one_bought_last_and_used_up_in_time(
    demo: Desk, found: Charging
) -> None:
    assert found.packs, "the demo has some"
    with demo.book.reading() as session:
        for supply, pack in found.packs.items():
            line = (
                session.query(OrderLine)
                .join(Order, Order.id == OrderLine.order_id)
                .filter(OrderLine.supply_id == supply, OrderLine.packs_received > 0)
                .order_by(Order.day.desc(), OrderLine.id.desc())
                .first()
            )
            assert line is not None
            assert Fraction(pack.price, pack.size) < Fraction(line.price, line.pack_size)
            used = sum(one.quantity for one in found.took if one.supply_id == supply)
            assert pack.size <= used
    kind = max(found.kinds, key=lambda one: len(one.jobs))
    words = charging.pack_words(found, kind)
    rows = {one.words: one for one in charging.what_if(found, kind, 0, 0)}
    saving = rows["The cheaper pack"].left - rows["As it was"].left
    assert saving > 0
    assert f"{saving / 100:,.2f}" in words


@pytest.mark.parametrize("typed", [("0", "5", "1h"), ("90", "five", "1h"), ("90", "5", "x")])
def test_what_cannot_be_read_is_refused_in_a_sentence(
    demo: Desk, typed: tuple[str, str, str]
) -> None:
    with pytest.raises(Mendable):
        charging.read_wishes(demo, *typed)
    assert charging.read_wishes(demo, "60", "−3 %", "45m") == (6000, -3, 45)


def test_it_says_what_a_job_leaves_against_the_year_before_and_which_supply_is_in_it(
    tmp_path: Path,
) -> None:
    """Six jobs a year: 100.00 with 20.00 of a supply then; 98.00 with 26.00 of it now."""
    desk, shop = small_desk(tmp_path / "shop.bayledger")
    supply, service = next(iter(shop.supplies.values())), next(iter(shop.services.values()))
    with desk.book.load() as session:
        name = session.get_one(Supply, supply).name
        for at in range(12):
            ago, amount, cost = (20, 9800, 2600) if at < 6 else (400, 10000, 2000)
            day = desk.today - timedelta(days=ago + at)
            job = Job(number=800 + at, state="done", done_on=day, first_day=day, last_day=day)
            session.add(job)
            session.flush()
            session.add_all(
                (
                    JobService(job_id=job.id, service_id=service),
                    Charge(job_id=job.id, text="Work", amount=amount),
                    Hours(job_id=job.id, day=day, minutes=60),
                    Use(job_id=job.id, day=day, supply_id=supply, quantity=50, booked=True,
                        cost=cost),
                )
            )  # fmt: skip
    found = charging.charging(desk)
    (kind,) = found.kinds
    assert charging.year_ago(found, kind) == (
        "A job of it leaves 8.00 less than a year before: charged 2.00 less, supplies dearer by "
        f"6.00. Dearer most: {name} 6.00."
    )
    desk.book.close()

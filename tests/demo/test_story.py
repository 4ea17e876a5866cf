"""The made-up shop: the same each time, whole, and full enough to look around in."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, date, datetime, timedelta
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from shutil import copyfile
from typing import Any

import phonenumbers
import pytest

from app.actions.day.closing import close_day
from app.actions.day.jobs_worked import jobs_worked
from app.actions.day.money_taken import money_taken
from app.actions.desk.amounts import all_supplies
from app.actions.desk.desk import Desk
from app.actions.figures.figures import figures
from app.actions.letters.reminders import whom_to_remind
from app.actions.letters.renewing import renewals
from app.actions.orders.order_proposal import what_to_order
from app.actions.shelf.pool_view import pools
from app.calculations.layers.exposure import exposure
from app.calculations.layers.protection import ProtectionClass, SurfaceGroup
from app.calculations.numbers import tax
from app.calculations.numbers.durations import read_duration
from app.calculations.numbers.entries import EntrySetting, read_use
from app.calculations.numbers.units import Kind, System
from app.demo.story import Built, build_demo
from app.errors import Mendable
from app.records.book import Book
from app.records.contents import contents
from app.records.queries import terms

TODAY = date(2026, 5, 14)  # a Thursday


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Built:
    """The shop as `--demo` opens it: two years, eight jobs a week."""
    return build_demo(tmp_path_factory.mktemp("demo") / "demo.bayledger", today=TODAY)


@pytest.fixture(scope="module")
def desk(demo: Built) -> Iterator[Desk]:
    with Book.open(demo.path) as book:
        yield Desk(book, clock=lambda: datetime(2026, 5, 14, 22, 30, tzinfo=UTC))


def ask(built: Built, query: str, *values: Any) -> list[Any]:
    """Rows of the book's file, past the program."""
    with closing(sqlite3.connect(built.path)) as file:
        return file.execute(query, values).fetchall()


def small(path: Path, **changes: Any) -> Built:
    return build_demo(path, **({"years": 0.3, "jobs_per_week": 4, "today": TODAY} | changes))


def said(path: Path) -> dict[str, list[tuple[Any, ...]]]:
    with Book.open(path) as book:
        return contents(book)


def test_the_same_seed_and_day_make_the_same_shop(tmp_path: Path):
    first, again = small(tmp_path / "a.book"), small(tmp_path / "b.book")
    assert first.rows == again.rows
    assert said(first.path) == said(again.path)


def test_another_seed_makes_another_shop(tmp_path: Path):
    first, other = small(tmp_path / "a.book"), small(tmp_path / "b.book", seed=2)
    assert said(first.path)["customers"] != said(other.path)["customers"]


def test_the_book_is_whole(desk: Desk):
    assert desk.book.check() == []


def test_two_years_of_eight_jobs_a_week_are_about_eight_hundred_jobs(demo: Built):
    assert 700 < demo.jobs < 900
    assert 120 < demo.customers < 400
    (done,) = ask(demo, "select count(*) from jobs where state = 'done'")[0]
    assert done > 0.9 * demo.jobs
    used = ask(demo, "select job_id, count(*) from uses group by job_id")
    assert sum(count for _, count in used) / len(used) > 8


@pytest.mark.parametrize(
    "today",
    [
        date(2026, 5, 17),  # a Sunday
        date(2027, 1, 1),
        date(2026, 2, 10),  # the shop's own week of rest
        date(2024, 2, 29),
        date(2026, 12, 25),
    ],
    ids=str,
)
def test_it_opens_on_an_open_day_whatever_the_date(tmp_path: Path, today: date):
    built = small(tmp_path / "demo.book", today=today)
    assert ask(built, "select state from days where day = ?", today.isoformat()) == [("open",)]
    jobs = ask(built, "select count(*) from jobs where last_day = ?", today.isoformat())
    assert jobs == [(3,)]
    with Book.open(built.path) as book:
        assert book.check() == []


def test_today_is_ready_to_be_closed_with_a_coating_on_its_second_day(desk: Desk):
    rows = jobs_worked(desk, TODAY).rows
    assert 2 <= len(rows) <= 3
    (coating,) = [row for row in rows if "coating" in row.services.lower()]
    states = [step.state for step in coating.steps]
    assert states.index("done") > 5
    assert {"before", "done"} <= set(states) <= {"before", "done", "not done"}
    assert all(row.expected > 0 for row in rows)
    assert sum(row.sums.due for row in money_taken(desk, TODAY).rows) > 0


def test_yesterday_is_closed_one_earlier_day_is_open_and_the_next_weeks_are_booked(demo: Built):
    states = dict(ask(demo, "select day, state from days"))
    assert states["2026-05-13"] == "closed"
    left_open = [day for day, state in states.items() if state == "open" and day != str(TODAY)]
    assert len(left_open) == 1
    unfinished = ask(demo, "select state from jobs where last_day = ?", left_open[0])
    assert ("booked",) in unfinished
    until = str(TODAY + timedelta(days=14))
    ahead = ask(
        demo, "select first_day from jobs where state = 'booked' and first_day > ?", str(TODAY)
    )
    assert ("2026-05-15",) in ahead
    assert len([day for (day,) in ahead if day <= until]) >= 6


def test_nothing_of_what_is_booked_ahead_was_done_already(demo: Built):
    assert ask(
        demo,
        "select count(*) from jobs j join hours h on h.job_id = j.id where j.first_day > ?",
        str(TODAY),
    ) == [(0,)]
    assert ask(demo, "select count(*) from days where day > ?", str(TODAY)) == [(0,)]
    assert ask(demo, "select count(*) from jobs where booked_on > first_day") == [(0,)]
    assert ask(demo, "select count(*) from movements where day >= ?", str(TODAY)) == [(0,)]


def test_the_shelf_never_falls_below_nothing_and_covers_every_use(demo: Built):
    (lowest,) = ask(
        demo,
        "select min(stand) from (select sum(quantity) over "
        "(partition by supply_id order by id) as stand from movements)",
    )[0]
    assert lowest >= 0
    received, taken = ask(
        demo,
        "select sum(case when value > 0 then value end), sum(case when value < 0 then value "
        "end) from movements",
    )[0]
    (stands,) = ask(demo, "select sum(value) from balances where day = '2026-05-13'")[0]
    assert received + taken == stands
    assert stands > 0


def test_lots_are_used_oldest_first_and_thrown_out_when_past_their_day(demo: Built):
    assert ask(
        demo,
        "select count(*) from movements m join lots l on l.id = m.lot_id "
        "where m.kind = 'used' and l.expires_on <= m.day",
    ) == [(0,)]
    lots = ask(
        demo,
        "select supply_id, received_on, opened_on from lots where opened_on is not null "
        "order by supply_id, id",
    )
    assert len(lots) > 20
    for (supply, _, opened), (following, _, later) in pairwise(lots):
        assert supply != following or opened <= later


def test_orders_come_late_in_parts_and_some_are_still_on_their_way(demo: Built):
    states = dict(ask(demo, "select state, count(*) from orders group by state"))
    assert states["received"] > 100
    assert states.get("sent", 0) + states.get("part", 0) >= 1
    late = ask(demo, "select count(*) from orders where received_on > expected_on")[0][0]
    assert 5 < late < 0.5 * states["received"]
    mismatched = ask(
        demo,
        "select count(*) from order_lines l where l.packs_received * l.pack_size != "
        "(select coalesce(sum(m.quantity), 0) from movements m where m.order_line_id = l.id)",
    )
    assert mismatched == [(0,)]


def test_a_delivery_costs_its_goods_and_their_freight_to_the_cent(demo: Built):
    rows = ask(
        demo,
        "select o.freight, sum(l.price * l.packs), (select sum(m.value) from movements m join "
        "order_lines x on x.id = m.order_line_id where x.order_id = o.id) "
        "from orders o join order_lines l on l.order_id = o.id where o.state = 'received' "
        "group by o.id",
    )
    assert all(goods + freight == landed for freight, goods, landed in rows)


def test_what_was_typed_reads_as_the_quantity_beside_it(demo: Built):
    supplies = {
        row[0]: EntrySetting(
            kind=Kind(row[1]),
            system=System.US,
            density_mg_per_ml=row[2],
            default_unit=row[3] or None,
            bottle=row[4],
            dilution_parts=Fraction(row[5], 1000) if row[5] else None,
        )
        for row in ask(demo, "select id, kind, density, show_unit, bottle, dilution from supplies")
    }
    typed = ask(demo, "select distinct supply_id, typed, quantity from uses where typed != ''")
    assert len(typed) > 300
    assert any("mixed" in text for _, text, _ in typed)
    for supply, text, quantity in typed:
        assert abs(read_use(text, supplies[supply]).amount - quantity) <= 1, text
    for text, minutes in ask(demo, "select distinct typed, minutes from hours where typed != ''"):
        assert read_duration(text) == minutes


def test_three_in_five_uses_were_confirmed(demo: Built):
    states = dict(ask(demo, "select state, count(*) from uses group by state"))
    assert 0.5 < states["confirmed"] / sum(states.values()) < 0.75
    zero = ask(demo, "select count(*) from uses where quantity = 0 and state = 'confirmed'")
    assert zero[0][0] > 5


def test_towels_and_pads_are_pools_that_are_washed_sorted_down_and_rebought(desk: Desk):
    views = {one.name: one for one in pools(desk)}
    assert set(views) == {
        "Paint towels", "Drying towels", "Interior towels", "Utility cloths", "Wash mitts",
        "Foam pads, cutting", "Foam pads, finishing",
    }  # fmt: skip
    for one in views.values():
        inside = sum(step.clean + step.in_use for step in one.rungs)
        assert one.standing.came_in == inside + one.standing.out + one.standing.lost
        assert min(step.clean for step in one.rungs) >= 0
        assert one.standing.loads > 10
        assert one.wear_text
        assert not any("ledger" in said for said in one.advice)
    paint = views["Paint towels"]
    assert all(step.clean for step in paint.rungs), "some have gone down to each step"
    assert {"added", "washed", "demoted", "retired", "lost"} <= {kind for *_, kind in paint.lines}
    assert sum(kind == "added" for *_, kind in paint.lines) > 1, "rebought in the story"
    reasons = [
        line.reason
        for supplier in what_to_order(desk, TODAY).suppliers
        for line in supplier.lines
        if line.name == "Paint towels"
    ]
    assert reasons
    assert "two loads are 50" in reasons[0]


def test_nobody_paid_more_than_they_owe_and_a_few_have_not_paid(demo: Built):
    owed = dict(
        ask(
            demo,
            "select l.job_id, sum((l.amount + l.tax) * iif(i.kind = 'credit', -1, 1))"
            " from invoice_lines l join invoices i on i.id = l.invoice_id group by l.job_id",
        )
    )
    nets: dict[int, list[tax.TaxedLine]] = {}
    for job, amount, rate in ask(demo, "select job_id, amount, tax_rate from charges"):
        nets.setdefault(job, []).append(tax.TaxedLine(amount, Fraction(rate, 1000)))
    owed = {job: tax.totals(lines).gross for job, lines in nets.items()} | owed
    paid = dict(
        ask(demo, "select job_id, sum(amount) from receipts where kind != 'tip' group by job_id")
    )
    done = [job for (job,) in ask(demo, "select id from jobs where state = 'done'")]
    due = [owed[job] - paid.get(job, 0) for job in done]
    assert min(due) == 0
    assert 2 <= sum(one > 0 for one in due) < 0.1 * len(due)
    kinds = dict(ask(demo, "select kind, count(*) from receipts group by kind"))
    assert min(kinds["deposit"], kinds["tip"]) > 5
    methods = {method for (method,) in ask(demo, "select distinct method from receipts")}
    assert methods == {"card", "check", "cash", "transfer"}


def test_layers_name_their_steps_and_counts_and_weights_are_told_as_such(demo: Built):
    astray = ask(
        demo,
        "select count(*) from layer_events left join job_steps on job_steps.id = step_id "
        "where job_steps.job_id is not layer_events.job_id or job_steps.name <> note",
    )
    assert astray == [(0,)]
    physical = {note for (note,) in ask(demo, "select distinct note from movements where physical")}
    assert physical <= {"", "Counted"}
    assert ask(demo, "select count(*) > 50 from movements where physical and note = ''") == [(1,)]
    weighed = ask(
        demo, "select count(distinct supply_id), count(*) from movements where weight > 0"
    )
    assert weighed[0][0] == weighed[0][1] > 3


def test_layers_and_answers_are_words_that_the_program_knows(demo: Built):
    for (group,) in ask(demo, "select distinct surface_group from layer_events"):
        SurfaceGroup(group)
    for (kind,) in ask(demo, "select distinct protection from supplies where protection != ''"):
        ProtectionClass(kind)
    answers = [json.loads(text) for (text,) in ask(demo, "select exposure from vehicles")]
    assert sum(bool(one) for one in answers) > 0.5 * len(answers)
    for one in answers:
        assert 0.35 <= exposure(one).factor <= 1.1


def test_reminders_were_answered_in_every_way_and_some_are_due(demo: Built, desk: Desk):
    answers = dict(ask(demo, "select answer, count(*) from reminders group by answer"))
    assert {"booked", "later", "no", "stop", "sold", ""} <= set(answers)
    view = whom_to_remind(desk, TODAY)
    assert 1 <= len(view.letters) <= 25
    assert all(letter.text and letter.reason for letter in view.letters)
    whys = " ".join(one.why for one in view.suppressed)
    assert "died" in whys
    assert "Is booked" in whys
    assert len(view.suppressed) > 5


def test_several_supplies_are_to_be_ordered_and_orders_are_on_their_way(desk: Desk):
    view = what_to_order(desk, TODAY)
    lines = [line for supplier in view.suppliers for line in supplier.lines]
    assert len(lines) >= 4
    assert all(line.reason for line in lines)
    assert len(view.suppliers) >= 2
    assert view.waiting


@pytest.mark.slow
def test_today_and_the_day_left_open_can_be_closed_and_the_book_stays_whole(
    demo: Built, tmp_path: Path
):
    path = tmp_path / "copy.bayledger"
    copyfile(demo.path, path)
    left_open = ask(demo, "select min(day) from days where state = 'open'")[0][0]
    with Book.open(path) as book:
        desk = Desk(book, clock=lambda: datetime(2026, 5, 14, 22, 30, tzinfo=UTC))
        for day in (TODAY, date.fromisoformat(left_open)):
            closed = close_day(desk, day, out=tmp_path / "out")
            assert not closed.already
            assert book.check() == []
        assert close_day(desk, TODAY).already


def test_renewals_and_figures_have_something_to_show(desk: Desk):
    page = renewals(desk, TODAY)
    assert len(page.rows) > 50
    assert {"due", "coming", "reminded"} <= {row.state for row in page.rows}
    year = figures(desk, "year", TODAY)
    assert all(bar.earned > 0 for bar in year.money.bars)
    assert len(year.services.bars) >= 5
    assert len(year.supplies.bars) >= 8
    share = sum(bar.supplies for bar in year.money.bars) / sum(b.earned for b in year.money.bars)
    assert (
        0.03 < share < 0.15
    )  # common practice, no source: 3 to 8 % of what is earned, coatings 8 to 18 %


def test_people_can_be_reached_only_where_nobody_is(demo: Built):
    # The North American Numbering Plan keeps 555-0100 to 555-0199 for fiction; RFC 2606 keeps
    # example.com, example.net and example.org for examples.
    people = ask(demo, "select name, phone, email, postal_code from customers")
    names = [name for name, *_ in people]
    assert len(names) == len(set(names))
    for _, phone, mail, postal_code in people:
        if phone:
            number = phonenumbers.parse(phone)
            assert phonenumbers.is_valid_number(number)
            assert str(number.national_number)[3:8] == "55501"
        if mail:
            assert mail.split("@")[1].endswith(("example.com", "example.net", "example.org"))
        assert postal_code.startswith("004")


def test_there_are_households_with_two_vehicles_and_a_fleet(demo: Built):
    households = ask(
        demo,
        "select household, count(*) from customers where household != '' group by household",
    )
    assert len(households) >= 3
    assert all(count >= 2 for _, count in households)
    two = ask(
        demo,
        "select customer_id from owner_links where to_day is null group by customer_id "
        "having count(*) = 2",
    )
    assert len(two) >= 3
    (fleet,) = ask(
        demo,
        "select count(*) from jobs j join customers c on c.id = j.customer_id "
        "where c.is_firm = 1 and j.state = 'done'",
    )[0]
    assert fleet > 20
    assert ask(demo, "select count(*) from vehicles where make != '' or model != ''") == [(0,)]


def test_a_tiny_shop_of_one_job_a_week_is_whole_too(tmp_path: Path):
    built = build_demo(tmp_path / "tiny.book", years=0.05, jobs_per_week=1, today=TODAY)
    with Book.open(built.path) as book:
        assert book.check() == []


def test_a_book_that_stands_already_is_left_alone(tmp_path: Path):
    path = tmp_path / "mine.book"
    path.write_text("mine")
    with pytest.raises(Mendable, match="exists already"):
        build_demo(path, today=TODAY)
    assert path.read_text() == "mine"


@pytest.mark.parametrize(
    ("years", "jobs_per_week"), [(0, 8), (-1, 8), (41, 8), (2, 0), (2, 501), (float("nan"), 8)]
)
def test_a_size_nobody_means_is_refused_in_a_sentence(
    tmp_path: Path, years: float, jobs_per_week: float
):
    with pytest.raises(Mendable, match=r"made-up shop"):
        build_demo(tmp_path / "x.book", years=years, jobs_per_week=jobs_per_week, today=TODAY)
    assert list(tmp_path.iterdir()) == []


def test_what_is_cancelled_half_way_leaves_no_book(tmp_path: Path):
    class Enough(Exception):
        pass

    def stop(done: int, whole: int) -> None:
        assert 0 < done <= whole
        if done > whole // 2:
            raise Enough

    path = tmp_path / "demo.book"
    with pytest.raises(Enough):
        small(path, progress=stop)
    assert not path.exists()
    assert small(path).path == path


def test_suppliers_of_the_made_up_shop_have_their_terms(desk: Desk) -> None:
    with desk.book.reading() as session:
        kinds = {one.kind for one in terms.supplier_dates(session)}
        breaks = terms.breaks(session)
    assert kinds == {"cold", "sale"}
    assert breaks
    frosty = [one.no_frost for one in all_supplies(desk).values()]
    assert any(frosty)
    assert not all(frosty)


def test_larger_jobs_were_agreed_before_and_invoiced_after_without_a_gap(demo: Built):
    for kind, year, count, highest in ask(
        demo, "SELECT kind, year, count(*), max(number) FROM invoices GROUP BY kind, year"
    ):
        assert count == highest, f"{kind} of {year}"
    assert ask(demo, "SELECT count(*) FROM invoices WHERE kind = 'credit'")[0][0] > 0
    assert ask(demo, "SELECT count(*) FROM estimates WHERE state = 'given'") == [(1,)]
    jobs = "estimates e JOIN jobs j ON j.id = e.job_id"
    assert ask(demo, f"SELECT count(*) FROM {jobs} WHERE e.given_on > j.first_day") == [(0,)]
    # By the rule of tests/calculations/numbers/test_tax.py, which is checked against EN 16931.
    lines: dict[int, list[tax.TaxedLine]] = {}
    for paper, amount, rate in ask(
        demo,
        "SELECT l.invoice_id, l.amount, l.tax_rate FROM invoice_lines l"
        " JOIN invoices i ON i.id = l.invoice_id WHERE i.kind = 'invoice'",
    ):
        lines.setdefault(paper, []).append(tax.TaxedLine(amount, Fraction(rate, 1000)))
    printed = dict(ask(demo, "SELECT id, gross FROM invoices WHERE kind = 'invoice'"))
    assert printed == {paper: tax.totals(found).gross for paper, found in lines.items()}

"""What is filled into a draft of an estimate: supplies and packs, counted once they are taken."""

from __future__ import annotations

import pytest

from app.actions.desk.desk import Desk
from app.actions.jobs import estimate_writing as writes
from app.actions.jobs.booking_jobs import NewJob, book_job
from app.actions.jobs.estimate_papers import _paper
from app.actions.jobs.estimate_rounding import rounded
from app.actions.jobs.estimate_versions import Version, approve, give, make_version, versions
from app.actions.shop.shop_settings import change_settings
from app.actions.shop.tax_rates import add_rate
from app.errors import Mendable
from app.records.models import Movement
from tests.shop import TODAY, SmallShop


def newest(desk: Desk, job: int) -> Version:
    return versions(desk, job)[-1]


@pytest.fixture
def made(desk: Desk, shop: SmallShop) -> tuple[int, int]:
    """(job, draft) of a polish with ceramic, of whose coating the shelf has 60 mL."""
    with desk.book.load() as session:  # half a bottle is left
        session.add(Movement(supply_id=shop.supplies["coating"], day=TODAY, at=desk.clock(),
                             kind="wasted", quantity=-55_000, value=-14_000))  # fmt: skip
    new = NewJob(customer_id=shop.customers["quell"], services=((shop.services["ceramic"], 1),))
    job = book_job(desk, new)[1]
    return job, make_version(desk, job)[1]


def test_supplies_and_the_bottle_to_be_bought_count_once_they_are_taken(
    desk: Desk, shop: SmallShop, made: tuple[int, int]
) -> None:
    job, draft = made
    before = newest(desk, job)
    filled = {one.text: one for one in before.lines if one.proposed}
    assert list(filled) == ["Supplies", "Ceramic layer, 30 mL to be bought"]
    bottle = filled["Ceramic layer, 30 mL to be bought"]
    assert (bottle.likely, bottle.high) == (7_900, 7_900)
    counted = sum(one.likely for one in before.counted)
    assert before.row.likely == round(counted * 1.0725) == 101_888  # 7.25 % on 950.00
    writes.take_proposed(desk, draft, bottle.line_id)
    assert newest(desk, job).row.likely == 110_360  # and 79.00
    supplies = filled["Supplies"]
    assert 0 < supplies.low <= supplies.likely <= supplies.high
    assert all(one % 100 == 0 for one in (supplies.low, supplies.likely, supplies.high))
    writes.edit_line(desk, supplies.line_id, "likely", "46")
    assert not any(one.proposed for one in newest(desk, job).lines)
    with pytest.raises(Mendable, match="Nothing is filled in"):
        writes.take_proposed(desk, draft)


def test_what_is_filled_in_and_never_taken_is_no_part_of_what_is_given(
    desk: Desk, made: tuple[int, int]
) -> None:
    job, draft = made
    assert [one.text for one in _paper(desk, job, newest(desk, job)).lines] == [
        "Polish and ceramic"
    ]
    give(desk, draft)
    assert [one.text for one in newest(desk, job).lines] == ["Polish and ceramic"]


def test_a_discount_takes_the_low_figure_to_nothing_at_least(
    desk: Desk, made: tuple[int, int]
) -> None:
    job, draft = made
    (line,) = newest(desk, job).counted
    writes.edit_line(desk, line.line_id, "low", "20")
    writes.add_line(desk, draft, "For the wait", "-50")
    version = newest(desk, job)
    assert version.row.low == 0
    sums = _paper(desk, job, version).sums
    assert [one.numbers[3] for one in sums] == ["0.00", "0.00", "0.00"]


def test_a_new_line_has_the_tax_of_its_own_kind(desk: Desk, made: tuple[int, int]) -> None:
    job, draft = made
    add_rate(desk, "travel 3")
    writes.add_line(desk, draft, "Travel to Easton", "30")
    writes.add_line(desk, draft, "Risk", "40")
    travel, risk = newest(desk, job).lines[-2:]
    assert (travel.tax_kind, travel.tax_rate) == ("travel", 3_000)
    assert (risk.tax_kind, risk.tax_rate) == ("work", 7_250)
    writes.edit_line(desk, risk.line_id, "rate", "travel")
    assert newest(desk, job).lines[-1].tax_rate == 3_000
    writes.add_line(desk, draft, "Discount", "-10")
    assert newest(desk, job).lines[-1].tax_kind == "work", "of which most is charged"


def test_a_ceiling_agreed_beside_the_table_is_said_beneath_it(
    desk: Desk, made: tuple[int, int]
) -> None:
    job, draft = made
    approve(desk, draft, "Jonas Quell", "phone", ceiling=130_000)
    paper = _paper(desk, job, newest(desk, job))
    assert paper.raised
    assert paper.sums[-1].text == "Not above, as agreed on 14 August 2025"
    assert paper.sums[-1].numbers[5] == paper.words[2] == "1,300.00"


@pytest.mark.parametrize(
    ("currency", "minor", "price"),
    [("USD", 12_349, 12_300), ("JPY", 12_350, 12_400), ("KWD", 12_500, 13_000)],
)
def test_a_price_worked_out_is_rounded_by_its_currency(
    desk: Desk, currency: str, minor: int, price: int
) -> None:
    change_settings(desk, currency=currency)
    assert rounded(desk, minor) == price

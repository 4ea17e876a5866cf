"""A small shop's book for every test of actions, copied from one that is made once."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from copy import deepcopy
from pathlib import Path

import pytest

from app.actions.desk.desk import Desk
from app.actions.stock.supply_facts import edit_supply
from app.records.book import Book
from tests.shop import Clock, SmallShop, new_desk


@pytest.fixture
def clock() -> Clock:
    """Thursday 14 August 2025, 17:54 in Chicago, until it is moved."""
    return Clock()


@pytest.fixture
def desk(shop_book: tuple[Path, SmallShop], tmp_path: Path, clock: Clock) -> Iterator[Desk]:
    """A desk over a copy of the small shop's book."""
    path = tmp_path / "shop.bayledger"
    shutil.copyfile(shop_book[0], path)
    with Book.open(path) as book:
        yield Desk(book, clock=clock)


@pytest.fixture
def empty(tmp_path: Path) -> Iterator[Desk]:
    """A desk with a new book."""
    desk = new_desk(tmp_path / "new.bayledger")
    yield desk
    desk.book.close()


@pytest.fixture
def shop(shop_book: tuple[Path, SmallShop]) -> SmallShop:
    """The ids of what stands in the small shop's book."""
    return deepcopy(shop_book[1])


@pytest.fixture
def towels(desk: Desk, shop: SmallShop) -> int:
    """The 40 cloths, bought for 50 cents each, as a pool: 25 in a load, a hundred uses."""
    number = shop.supplies["cloths"]
    edit_supply(desk, number, pool="paint", pool_load=25, pool_uses=100)
    return number

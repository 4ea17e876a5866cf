"""Supplies and their stock from people's lists."""

from __future__ import annotations

from app.actions.desk.desk import Desk
from tests.actions.exchange.conftest import Bring, rows


def test_a_bottle_of_a_case_and_loose_pieces_are_counted_as_they_are(
    empty: Desk, bring: Bring
) -> None:
    bring(
        empty,
        "Supply,Kind,Pack,On hand\nGlass cleaner,liquid,12 x 500 ml,1 case + 3 bottles\n"
        "Cloths,piece,box of 50,2 boxes + 7\n",
    )
    stock = {row["supply_id"]: row["quantity"] for row in rows(empty, "movements")}
    names = {row["name"]: row["id"] for row in rows(empty, "supplies")}
    assert stock[names["Glass cleaner"]] == 7_500_000
    assert stock[names["Cloths"]] == 107_000

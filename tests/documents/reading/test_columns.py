"""One heading, two meanings: what stands under it decides."""

from __future__ import annotations

import pytest

from app.documents.reading.columns import recognise, seen
from app.documents.reading.headings import read_heading

_TITLES = ("2-step + 3yr ceramic", "Full detail 4h", "PC2 + CC3 coating", "Wash", "1-stp + slnt")


@pytest.mark.parametrize(
    ("values", "meaning"),
    [
        (_TITLES, "job.services"),
        (("Order 12", "Order 13", "Order 14", "Order 15", "Order 16"), "job.number"),
        (("INV-2024-0012", "INV-2024-0013", "2024/17", "#18", "R 19b"), "job.number"),
        (("101", "102", "103", "104", "105"), "job.number"),
    ],
)
def test_a_column_called_job_holds_titles_or_numbers_as_its_values_say(
    values: tuple[str, ...], meaning: str
) -> None:
    days = ("3/5/2025", "3/6/2025", "3/17/2025", "3/20/2025", "3/21/2025")
    people = ("Ann Marlow", "Bob Hill", "Zoe Tarn", "Ned Oak", "Una Brook")
    money = ("90.00", "80.00", "75.50", "120.00", "60.00")
    columns = [
        seen(read_heading(heading), list(cells))
        for heading, cells in (
            ("Date", days), ("Customer", people), ("Job", values), ("Total", money)
        )
    ]  # fmt: skip
    assert recognise(columns).meanings == ("job.day", "customer.name", meaning, "job.gross")


def test_a_raised_digit_is_no_number() -> None:
    assert not seen(read_heading("No"), ["1²21", "2", "3"]).counts

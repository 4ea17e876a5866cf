"""Finding tables in sheets as people lay them out."""

from __future__ import annotations

from typing import Any

import pytest

from app.documents.reading.grid import Cell, Grid, Merge, clean, fill_down, trimmed
from app.documents.reading.table_rows import RawTable
from app.documents.reading.tables import find_tables


def grid(*rows: list[Any], name: str = "Sheet1", merges: tuple[Merge, ...] = ()) -> Grid:
    """A sheet of these rows."""
    made = Grid(name, [trimmed(clean(cell) for cell in row) for row in rows], list(merges))
    fill_down(made)
    return made


def headings(table: RawTable) -> list[str]:
    return [heading.text for heading in table.headings]


def firsts(table: RawTable) -> list[Cell]:
    return [row.cells[0] for row in table.rows]


def test_title_rows_and_blank_lines_above_the_heading_are_no_lines() -> None:
    (table,) = find_tables(
        grid(
            ["Client list"],
            ["updated 3/1/2025"],
            [],
            ["Name", "Phone"],
            ["Ann Marlow", "212-555-0142"],
        )
    )
    assert (table.heading_rows, firsts(table)) == ((3,), ["Ann Marlow"])


def test_blank_lines_and_blank_columns_inside_a_table_do_not_end_it() -> None:
    (table,) = find_tables(
        grid(
            ["Name", None, "Phone", None, "Vehicle"],
            ["Ann Marlow", None, "212-555-0142", None, "blue wagon"],
            [],
            ["Bob Hill", None, "212-555-0143", None, "red van"],
        )
    )
    assert headings(table) == ["Name", "Phone", "Vehicle"]
    assert firsts(table) == ["Ann Marlow", "Bob Hill"]


def test_a_heading_over_two_rows_is_read_together() -> None:
    (table,) = find_tables(
        grid(
            ["Customer", None, "Vehicle", None],
            ["Name", "Phone", "Year", "Color"],
            ["Ann Marlow", "212-555-0142", 2014, "blue"],
            merges=(Merge(0, 0, 0, 1), Merge(0, 2, 0, 3)),
        )
    )
    assert table.heading_rows == (0, 1)
    assert table.recognised().meanings == (
        "customer.name", "customer.phone", "vehicle.year", "vehicle.color",
    )  # fmt: skip


def test_a_heading_broken_over_two_rows_is_read_together() -> None:
    (table,) = find_tables(
        grid(["Date of", "Customer", "Amount"], ["service", "name", "charged"],
             ["3/4/2024", "Ann Marlow", 120], ["3/5/2024", "Bob Hill", 80])
    )  # fmt: skip
    assert table.heading_rows == (0, 1)
    assert table.recognised().meanings[:2] == ("job.day", "customer.name")


def test_units_in_a_row_below_the_heading_belong_to_it() -> None:
    (table,) = find_tables(
        grid(["Product", "Size", "On hand"], [None, "(oz)", "(gal)"], ["Glass cleaner", 32, 1])
    )
    assert [heading.unit for heading in table.headings] == ["", "oz", "gal"]
    assert firsts(table) == ["Glass cleaner"]


def test_two_tables_below_each_other_are_two() -> None:
    first, second = find_tables(
        grid(
            ["Name", "Phone"], ["Ann Marlow", "212-555-0142"], [], ["Shelf"],
            ["Product", "Qty", "Price"], ["Glass cleaner", 3, 12.5],
        )
    )  # fmt: skip
    assert firsts(first) == ["Ann Marlow"]
    assert (second.title, firsts(second)) == ("Shelf", ["Glass cleaner"])


def test_two_tables_beside_each_other_are_two() -> None:
    first, second = find_tables(
        grid(
            ["Name", "Phone", None, "Product", "Qty"],
            ["Ann Marlow", "212-555-0142", None, "Glass cleaner", 3],
            ["Bob Hill", "212-555-0143", None, "Wax", 1],
        )
    )
    assert (headings(first), headings(second)) == (["Name", "Phone"], ["Product", "Qty"])
    assert second.recognised().kind == "supply"


def test_the_same_columns_again_to_the_right_are_more_of_the_table() -> None:
    tables = find_tables(
        grid(["Name", "Phone", "Name", "Phone"],
             ["Ann Marlow", "212-555-0142", "Bob Hill", "212-555-0143"])
    )  # fmt: skip
    assert [firsts(table) for table in tables] == [["Ann Marlow"], ["Bob Hill"]]


def test_a_heading_printed_again_on_the_next_page_is_skipped() -> None:
    (table,) = find_tables(
        grid(["Name", "Phone"], ["Ann Marlow", "212-555-0142"], ["Name", "Phone"],
             ["Bob Hill", "212-555-0143"])
    )  # fmt: skip
    assert firsts(table) == ["Ann Marlow", "Bob Hill"]
    assert table.skipped == [(2, "the heading again")]


@pytest.mark.parametrize(
    "word",
    [
        "Total",
        "TOTAL:",
        "Grand total",
        "Summe",
        "Total general",
        "Subtotal",
        "May total",
        "Dec 2024 total",
    ],
)
def test_totals_are_no_lines(word: str) -> None:
    (table,) = find_tables(
        grid(
            ["Product", "Qty", "Price"], ["Glass cleaner", 3, 12.5], ["Wax", 1, 20], [word, 4, 32.5]
        )
    )
    assert firsts(table) == ["Glass cleaner", "Wax"]
    assert table.skipped == [(3, "a total")]


def test_a_firm_called_total_is_no_total() -> None:
    (table,) = find_tables(
        grid(["Name", "Phone"], ["Total Car Care", "212-555-0142"], ["Ann Marlow", "212-555-0143"])
    )
    assert firsts(table) == ["Total Car Care", "Ann Marlow"]


def test_sums_without_a_word_are_known_by_their_numbers() -> None:
    (table,) = find_tables(
        grid(
            ["Product", "Qty", "Price"], ["Glass cleaner", 3, 12.5], ["Wax", 1, 20], [None, 4, 32.5]
        )
    )
    assert firsts(table) == ["Glass cleaner", "Wax"]


def test_section_titles_are_kept_beside_the_lines_below_them() -> None:
    (table,) = find_tables(
        grid(["Product", "Qty", "Price"], ["WAXES"], ["Carnauba paste", 1, 20], ["CLEANERS"],
             ["Glass cleaner", 3, 12])
    )  # fmt: skip
    assert [row.section for row in table.rows] == ["WAXES", "CLEANERS"]


def test_notes_of_the_program_below_the_table_are_no_lines() -> None:
    (table,) = find_tables(
        grid(["Name", "Phone", "City"], ["Ann Marlow", "212-555-0142", "Millbrook"], [],
             ["Printed 3/1/2025"], ["These are all customers who came last year"])
    )  # fmt: skip
    assert firsts(table) == ["Ann Marlow"]


def test_a_foot_of_a_page_over_several_cells_is_no_line() -> None:
    (table,) = find_tables(
        grid(["Name", "Phone", "City"], ["Ann Marlow", "212-555-0142", "Millbrook"],
             ["Printed 3/1/2025", None, "Page 1 of 1"])
    )  # fmt: skip
    assert firsts(table) == ["Ann Marlow"]


def test_a_total_that_stands_in_a_later_column_is_no_line() -> None:
    (table,) = find_tables(
        grid(["Ticket", "Day", "Work", "Total"], ["T-1", "3/5/2025", "wash", "$40.00"],
             ["T-2", "3/6/2025", "wax", "$90.00"], [None, None, "March total", "$131.00"])
    )  # fmt: skip
    assert firsts(table) == ["T-1", "T-2"]


def test_a_customer_of_whom_only_the_name_is_known_is_a_line() -> None:
    (table,) = find_tables(
        grid(["Name", "Phone", "City"], ["Ann Marlow", "212-555-0142", "Millbrook"], ["Bob Hill"],
             ["Zoe Dunmore", None, "Millbrook"])
    )  # fmt: skip
    assert firsts(table) == ["Ann Marlow", "Bob Hill", "Zoe Dunmore"]


def test_a_cell_merged_downwards_counts_for_all_its_rows() -> None:
    (table,) = find_tables(
        grid(["Customer", "Vehicle"], ["Ann Marlow", "blue wagon"], [None, "red coupe"],
             merges=(Merge(1, 0, 2, 0),))
    )  # fmt: skip
    assert firsts(table) == ["Ann Marlow", "Ann Marlow"]


def test_a_table_without_any_heading_is_known_by_its_values() -> None:
    (table,) = find_tables(
        grid(["Ann Marlow", "212-555-0142", "ann@marlow.example"],
             ["Bob Hill", "212-555-0143", "bob@hill.example"])
    )  # fmt: skip
    assert table.recognised().meanings == ("customer.name", "customer.phone", "customer.email")


def test_cards_one_under_the_other_are_lines() -> None:
    (table,) = find_tables(
        grid(["Name:", "Ann Marlow"], ["Phone:", "212-555-0142"], ["Vehicle:", "blue wagon"], [],
             ["Name:", "Bob Hill"], ["Email:", "bob@hill.example"])
    )  # fmt: skip
    assert firsts(table) == ["Ann Marlow", "Bob Hill"]
    assert set(headings(table)) == {"Name", "Phone", "Vehicle", "Email"}


def test_records_in_columns_with_the_labels_at_the_left_are_lines() -> None:
    (table,) = find_tables(
        grid(["Name", "Ann Marlow", "Bob Hill"], ["Phone", "212-555-0142", "212-555-0143"],
             ["Vehicle", "blue wagon", "red van"])
    )  # fmt: skip
    assert firsts(table) == ["Ann Marlow", "Bob Hill"]


def test_a_sheet_of_mere_text_holds_no_table() -> None:
    assert find_tables(grid(["Dear all,"], ["please remember to lock the bay."], [])) == []
    assert find_tables(Grid("empty", [])) == []


# Lines that hold heading words, and rows that sum up


def test_first_lines_of_heading_words_are_lines() -> None:
    (table,) = find_tables(
        grid(["Supply", "Kind", "Place"], ["Wash soap", "liquid", "shelf"],
             ["Clay bar", "paste", "drawer"], ["Towels", "piece", "cabinet"])
    )  # fmt: skip
    assert table.heading_rows == (0,)
    assert firsts(table) == ["Wash soap", "Clay bar", "Towels"]


def test_a_line_with_a_word_in_a_column_of_numbers_is_no_heading() -> None:
    (table,) = find_tables(
        grid(["Supply", "Kind", "On hand"], ["Wash soap", "liquid", "out"],
             ["Clay bar", "paste", 3], ["Towels", "piece", "none"], ["Pads", "piece", 4])
    )  # fmt: skip
    assert firsts(table) == ["Wash soap", "Clay bar", "Towels", "Pads"]


def test_a_blank_line_does_not_turn_the_next_line_into_a_heading() -> None:
    (table,) = find_tables(
        grid(["Supply", "Kind", "Place"], ["Wash soap", "liquid", "shelf"], [],
             ["Towels", "piece", "cabinet"], ["Wax", "paste", "bin"])
    )  # fmt: skip
    assert firsts(table) == ["Wash soap", "Towels", "Wax"]


def test_two_rows_are_one_heading_where_the_first_goes_on_below() -> None:
    (table,) = find_tables(
        grid(["Customer", "Phone /", "Date of"], ["name", "mobile", "visit"],
             ["Ann Marlow", "212-555-0142", "3/14/2025"])
    )  # fmt: skip
    assert table.heading_rows == (0, 1)


@pytest.mark.parametrize(
    "row",
    [
        ["liquids subtotal", 5, None, 33.5],
        ["Liquids total", 5, None, 33.5],
        ["Total liquids", "5", "gal", "$33.50"],
        ["Zwischensumme Mittel", 5, None, 33.5],
        ["Total: 2 supplies"],
        ["2 supplies in total"],
        ["Number of supplies: 2"],
        ["Total value: $33.50"],
    ],
)
def test_a_row_that_sums_up_is_no_line(row: list[Any]) -> None:
    (table,) = find_tables(
        grid(["Supply", "On hand", "Unit", "Price"], ["Wash soap", 3, "gal", 24],
             ["Glass cleaner", 2, "gal", 9.5], row)
    )  # fmt: skip
    assert firsts(table) == ["Wash soap", "Glass cleaner"]
    assert table.skipped == [(3, "a total")]


def test_totals_of_parts_and_of_all_are_known_by_their_sums() -> None:
    (table,) = find_tables(
        grid(["Supply", "On hand", "Unit", "Price"], ["Wash soap", 3, "gal", 24],
             ["Glass cleaner", 2, "gal", 9.5], ["Liquids total", 5, None, 33.5],
             ["Foam pads", 10, "pcs", 3], ["Total pieces", 10, None, 3],
             ["Totals of all", 15, None, 36.5])
    )  # fmt: skip
    assert firsts(table) == ["Wash soap", "Glass cleaner", "Foam pads"]


def test_a_supply_called_total_whose_numbers_are_no_sums_stays() -> None:
    (table,) = find_tables(
        grid(["Supply", "On hand", "Unit", "Price"], ["Wash soap", 3, "gal", 24],
             ["Total Wash", 2, "gal", 9.5], ["Glass cleaner", 2, "gal", 9.5])
    )  # fmt: skip
    assert firsts(table) == ["Wash soap", "Total Wash", "Glass cleaner"]

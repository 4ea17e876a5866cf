"""Lines that a person leaves out of a bringing-in: the rest comes in whole."""

from __future__ import annotations

from pathlib import Path

from app.actions.desk.desk import Desk
from app.actions.exchange.bringing_in import bring_in, preview, read
from app.actions.exchange.preview_lines import Choices, Preview
from app.records.queries import everything
from tests.shop import new_desk


def told(desk: Desk, kind: str, column: str) -> list[object]:
    with desk.book.reading() as session:
        return [row[column] for row in everything.rows(session, kind)]


def looked(desk: Desk, tmp_path: Path, text: str, choices: Choices | None = None) -> Preview:
    path = tmp_path / "list.csv"
    path.write_text(text, encoding="utf-8")
    return preview(desk, [read(desk, path)], choices=choices)


PEOPLE = (
    "Name,Phone,Vehicle\nAnn Marlow,2125550142,2014 blue wagon\n"
    "Our regulars,2125550143,2018 grey van\nZoe Tarn,2125550144,\n"
)


def test_a_customer_left_out_takes_the_vehicle_of_its_row_along(
    empty: Desk, tmp_path: Path
) -> None:
    plan = looked(empty, tmp_path, PEOPLE)
    (line,) = [line for line in plan.lines if line.what == "Our regulars"]
    choices = Choices().with_line(line.key)
    plan = looked(empty, tmp_path, PEOPLE, choices)
    assert [line.what for line in plan.lines if line.outcome == "left"] == [
        "Our regulars", "2018 grey van of Our regulars",
    ]  # fmt: skip
    assert plan.sentences() == (
        "3 customers: 2 new, 1 left out.",
        "2 vehicles: 1 new, 1 left out.",
    )
    bring_in(empty, plan)
    assert told(empty, "customers", "name") == ["Ann Marlow", "Zoe Tarn"]
    assert told(empty, "vehicles", "description") == ["blue wagon"]


def test_a_line_left_out_can_be_taken_in_again(empty: Desk, tmp_path: Path) -> None:
    plan = looked(empty, tmp_path, PEOPLE)
    key = plan.lines[0].key
    twice = Choices().with_line(key).with_line(key)
    assert looked(empty, tmp_path, PEOPLE, twice).counts == plan.counts


def test_a_job_whose_customer_was_left_out_elsewhere_keeps_its_customer(
    empty: Desk, tmp_path: Path
) -> None:
    text = (
        "Date,Customer,Service,Price\n3/14/2025,Ann Marlow,Wash,80\n3/15/2025,Ann Marlow,Wax,90\n"
    )
    plan = looked(empty, tmp_path, text)
    (customer,) = [line for line in plan.lines if line.kind == "customer"]
    plan = looked(empty, tmp_path, text, Choices().with_line(customer.key))
    bring_in(empty, plan)
    assert told(empty, "jobs", "title") == ["Wax"]
    assert None not in told(empty, "jobs", "customer_id")


def test_a_row_of_a_full_export_can_be_left_out(empty: Desk, tmp_path: Path) -> None:
    from app.actions.exchange.exporting import export

    bring_in(empty, looked(empty, tmp_path, PEOPLE))
    file = export(empty, tmp_path / "all.xlsx")
    other = new_desk(tmp_path / "other.bayledger")
    (reading,) = [read(other, file)]
    key = (file.name, "Customers", 2, "customers", 0)
    plan = preview(other, [reading], choices=Choices(frozenset({key})))
    bring_in(other, plan)
    assert told(other, "customers", "name") == ["Our regulars", "Zoe Tarn"]
    other.book.close()

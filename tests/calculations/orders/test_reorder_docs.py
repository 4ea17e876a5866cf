"""docs/reorder.md says what the code says: its fields, its defaults, and its example runs."""

from __future__ import annotations

import re
from dataclasses import fields

import pytest

from app.calculations.orders import proposal, shelf_state
from app.calculations.plan.expected_use import ConfirmedUse, Expected
from tests import ROOT

PAGE = (ROOT / "docs" / "reorder.md").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    "kind",
    [
        shelf_state.ShelfState,
        shelf_state.SupplyState,
        shelf_state.SupplierState,
        shelf_state.PackOffer,
        shelf_state.OnOrder,
        shelf_state.BookedNeed,
        shelf_state.OrderSettings,
        proposal.Reason,
        proposal.ProposedLine,
        proposal.SupplierProposal,
        proposal.SupplyCover,
        proposal.SecondSource,
        ConfirmedUse,
        Expected,
    ],
)
def test_every_field_is_explained(kind: type) -> None:
    said = set(re.findall(r"`([a-z_]+)`", PAGE))
    assert kind.__name__ in PAGE
    assert {field.name for field in fields(kind)} - said == set()


def test_the_defaults_are_those_of_the_code() -> None:
    settings = shelf_state.OrderSettings()
    for field in fields(settings):
        row = re.search(rf"^\| `{field.name}` \| ([0-9.]+) \|", PAGE, re.MULTILINE)
        assert row is not None, field.name
        assert float(row[1]) == getattr(settings, field.name)


def test_the_example_runs_and_orders(capsys: pytest.CaptureFixture[str]) -> None:
    example = re.search(r"```python\n(.*?)```", PAGE, re.DOTALL)
    assert example is not None
    exec(compile(example[1], "docs/reorder.md", "exec"), {})
    assert capsys.readouterr().out.count("Reason(") == 1


def test_every_module_named_is_there() -> None:
    for name in set(re.findall(r"`([a-z_]+\.py)`", PAGE)):
        assert list((ROOT / "app" / "calculations").glob(f"*/{name}")), name

"""The tests lie as the program lies: a test stands where the module stands that it tests."""

from __future__ import annotations

from pathlib import Path

from tests import ROOT

# What tests no one module of the program, and why it stands where it does.
OTHERS = {
    "test_mirror.py": "this one",
    "test_main.py": "the command line, app/__main__.py",
    "test_stocked_shelf.py": "the filled shelf that pictures and measures are made of",
    "simulated_shop/test_simulated_shop.py": "the order rule over years of made-up shops",
    "simulated_world/test_letters_in_simulated_worlds.py": "the renewal rule in made-up worlds",
    "calculations/letters/test_renewals_page.py": "holds docs/renewals.md to the code",
    "calculations/orders/test_reorder_docs.py": "holds docs/reorder.md to the code",
    "calculations/orders/test_supplier_terms.py": "the order rule where suppliers have terms",
    "documents/test_docs.py": "holds the pages about files to the code",
    "documents/reading/test_hostile.py": "files that nobody should have made, for all readers",
    "records/undo/test_undoing_any_sequence.py": "undo after any sequence, for minutes where asked",
    "window/paper/test_look_page.py": "holds docs/look.md to the code",
}


def module_of(test: Path) -> Path:
    """The module that a file of tests is about."""
    return ROOT / "app" / test.parent / test.name.removeprefix("test_")


def test_every_file_of_tests_stands_where_its_module_stands() -> None:
    tests = [path.relative_to(ROOT / "tests") for path in (ROOT / "tests").rglob("test_*.py")]
    assert len(tests) > 150
    astray = [str(one) for one in tests if not module_of(one).exists()]
    assert sorted(astray) == sorted(OTHERS)

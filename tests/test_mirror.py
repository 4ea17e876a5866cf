"""The tests lie as the program lies: a test stands where the module stands that it tests."""

from __future__ import annotations

from pathlib import Path

from tests import ROOT

# What tests no one module of the program, and why it stands where it does.
OTHERS = {
    "test_mirror.py": "this one",
    "test_main.py": "the command line, app/__main__.py",
    "test_stocked_shelf.py": "the filled shelf that pictures and measures are made of",
    "mutation/test_alike.py": "holds the list of mistakes that change nothing to the code",
    "faults/test_invoices.py": "invoices whose writer is killed, and two writers at once",
    "faults/test_short_campaign.py": "the whole book against faults, a short run",
    "reconciling/test_short_run.py": "slip and tax after any sequence, a short run",
    "year/test_two_weeks.py": "the window and the commands, a short run",
    "simulated_bay/test_simulated_bay.py": "promises of the plan in a made-up shop",
    "simulated_hours/test_simulated_hours.py": "own_hours.py in made-up shops of unknown speeds",
    "simulated_rhythms/test_simulated_rhythms.py": "rhythms.py in made-up shops",
    "simulated_shop/test_simulated_shop.py": "the order rule over years of made-up shops",
    "simulated_world/test_letters_in_simulated_worlds.py": "the renewal rule in made-up worlds",
    "calculations/bay/test_exact_plan.py": "planning.py beside an exact solver",
    "calculations/orders/test_any_shelf.py": "reorder.py, what must hold on any shelf",
    "calculations/orders/test_new_shop.py": "reorder.py and need.py, where little is known yet",
    "calculations/orders/test_order_figures.py": "reorder.py, the figures of an order",
    "calculations/orders/test_need_parts.py": "need.py, each part of the forecast by itself",
    "calculations/orders/test_covers.py": "reorder.py, how long what stands on the shelf lasts",
    "calculations/letters/test_letter_days.py": "letters.py, the days on which its reasons end",
    "calculations/letters/test_renewals_page.py": "holds docs/renewals.md to the code",
    "calculations/orders/test_reorder_docs.py": "holds docs/reorder.md to the code",
    "calculations/orders/test_supplier_terms.py": "the order rule where suppliers have terms",
    "calculations/orders/test_demand.py": "the forecasts that rivals of the order rule use",
    "calculations/orders/test_reorder_point.py": "the formulas that rivals of the order rule use",
    "actions/day/test_closing_beside_typing.py": "closing.py while another thread types",
    "actions/exchange/test_many_of_one_name.py": "hundreds of people of one name, of gathering.py",
    "actions/exchange/test_title_lasting.py": "how long a title says that a layer lasts",
    "calculations/layers/test_bare_ends.py": "a shop that writes only what failed, of sightings.py",
    "calculations/orders/test_need_of_young_shops.py": "need.py where little is known",
    "actions/figures/test_figures_from_an_export.py": "holds docs/figures.md to the code",
    "actions/desk/test_shop_days.py": "instants and the shop's days in all that shows them",
    "actions/orders/test_ordering.py": "an order from its proposal to its last pack",
    "records/storage/test_third_version.py": "what migration 0003 converts",
    "records/storage/test_seventh_version.py": "what migration 0007 converts",
    "records/storage/test_eighth_version.py": "what migration 0008 converts",
    "records/test_founding.py": "rows written in bulk, of book.py",
    "records/test_turns.py": "turns of two threads at writing, of book.py",
    "window/day/test_writing_meanwhile.py": "the sheet while the book is written in the background",
    "window/test_first_hour.py": "from nothing to the first closed day, in keys",
    "window/test_for_everyone.py": "every page for who cannot see it, or has no mouse",
    "window/test_forms_meanwhile.py": "forms that wait while the book is written",
    "window/house/test_interleavings.py": "typing, closing, bringing in and undo in any order",
    "documents/test_docs.py": "holds the pages about files to the code",
    "demo/test_same_numbers.py": "one number for what stands in several places",
    "documents/reading/test_hostile.py": "files that nobody should have made, for all readers",
    "records/undo/test_undoing_any_sequence.py": "undo after any sequence, for minutes where asked",
    "window/test_keys_page.py": "holds docs/keys.md to the code",
    "window/paper/test_aside.py": "columns that have no room, of columnfit.py and margin.py",
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

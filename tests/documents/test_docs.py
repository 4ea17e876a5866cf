"""The pages on files list what the code reads and writes."""

from __future__ import annotations

import importlib
import re
from pathlib import Path

import pytest

from app.documents.export.layout import BY_TITLE, SHEETS
from app.documents.export.template import SHEETS as TEMPLATE
from app.documents.reading.meanings import MEANINGS
from app.paths import guide
from app.window.paper.prose import chapters
from app.window.places import asides, places
from tests import ROOT
from tests.documents.tables_of_docs import DOCS, PAGES, with_tables
from tests.pictures import BESIDE, picture_of

COMMANDS = sorted(
    set(re.findall(r"python\s+-m\s+(\w+\.[\w.]*\w)", (ROOT / "DEVELOPERS.md").read_text("utf-8")))
)


def tables(page: str) -> dict[str, list[tuple[str, ...]]]:
    """The tables of a page by the heading above them, without their own two first lines."""
    found: dict[str, list[tuple[str, ...]]] = {}
    title = ""
    for line in (DOCS / page).read_text(encoding="utf-8").splitlines():
        if line.startswith("#"):
            title = line.lstrip("# ")
        elif line.startswith("|"):
            cells = tuple(cell.strip() for cell in line.strip("|").split("|"))
            found.setdefault(title, []).append(cells)
    return {title: rows[2:] for title, rows in found.items()}


@pytest.mark.parametrize("title", list(TEMPLATE))
def test_the_page_on_bringing_in_lists_every_column_of_the_template(title: str) -> None:
    told = tables("bringing-in.md")[title]
    assert told == [(heading, MEANINGS[key].note) for key, heading in TEMPLATE[title]]


@pytest.mark.parametrize("title", [layout.title for layout in SHEETS])
def test_the_page_on_files_lists_every_column_of_the_export(title: str) -> None:
    told = [(row[0], row[2]) for row in tables("files.md")[title]]
    assert told == [(field.heading, field.note) for field in BY_TITLE[title.casefold()].fields]


@pytest.mark.parametrize("name", list(PAGES))
def test_the_tables_of_a_page_are_those_written_from_the_code(name: str) -> None:
    page = (DOCS / name).read_text(encoding="utf-8")
    assert with_tables(page, PAGES[name]) == page


@pytest.mark.parametrize("module", COMMANDS)
def test_every_command_of_the_contributors_page_still_fits_the_code(module: str) -> None:
    found = importlib.import_module(module)
    if hasattr(found, "__path__"):
        found = importlib.import_module(f"{module}.__main__")
    assert 'if __name__ == "__main__"' in Path(str(found.__file__)).read_text("utf-8")


def test_the_guide_has_a_page_for_every_place_with_a_picture_that_the_command_draws() -> None:
    pages = chapters(guide().read_text(encoding="utf-8"))
    shown = {entry.name: entry.key for entry in (*places(), *asides()) if entry.key != "guide"}
    assert set(shown) <= set(pages)
    assert len(set(pages) - set(shown)) <= 4, "a page for each place, and few others"
    for name, page in pages.items():
        pictures = re.findall(r"\]\((pictures/[^)]*)\)", page)
        if name in shown and shown[name] != "lost":
            assert pictures[:1] == [f"pictures/{picture_of(shown[name])}"]
            assert set(pictures[1:]) <= {f"pictures/{one}" for one in BESIDE}, name
        assert all((DOCS / one).is_file() for one in pictures), f"python -m tests.pictures: {name}"
        assert len(page.split()) > 60, name


def test_the_pages_name_no_sheet_or_file_that_is_not_there() -> None:
    for page in ("bringing-in.md", "files.md", "guide.md"):
        for link in re.findall(r"\]\(([\w-]+\.md)\)", (DOCS / page).read_text(encoding="utf-8")):
            assert (DOCS / link).is_file(), link

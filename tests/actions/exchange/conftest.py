"""A new book, and lists brought into it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from app.actions.desk.desk import Changed, Desk
from app.actions.exchange.bringing_in import bring_in, preview, read
from app.actions.exchange.preview_lines import Preview
from app.records.queries import everything

Rows = list[dict[str, Any]]
Bring = Callable[..., tuple[Preview, Changed]]


@pytest.fixture
def bring(tmp_path: Path) -> Bring:
    """Bring a text table in and give the preview and what changed."""

    def do(desk: Desk, text: str, name: str = "list.csv") -> tuple[Preview, Changed]:
        path = tmp_path / name
        path.write_text(text, encoding="utf-8")
        plan = preview(desk, [read(desk, path)])
        return plan, bring_in(desk, plan)

    return do


def rows(desk: Desk, kind: str) -> Rows:
    with desk.book.reading() as session:
        return list(everything.rows(session, kind))

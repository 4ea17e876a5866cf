"""Forms: labels over fields, in as many columns as the page has room for."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtWidgets import QWidget

from app.window.paper.fields import Form
from app.window.paper.theme import Theme

Show = Callable[[QWidget, int, int], QWidget]


@pytest.mark.parametrize(("width", "columns"), [(824, 4), (420, 3), (360, 2), (130, 1)])
def test_a_form_has_fewer_columns_where_they_would_be_too_narrow(
    theme: Theme, shown: Show, width: int, columns: int
) -> None:
    form = Form(theme, 4)
    fields = [form.add_line(f"Label {number}") for number in range(8)]
    shown(form, width, 600)
    assert sum(field.y() == fields[0].y() for field in fields) == columns
    assert all(field.width() >= theme.px(110) for field in fields)

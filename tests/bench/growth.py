"""What ten times as much costs, in processor time within one run: `python -m tests.bench.growth`.

The same work, counted in steps, is held by tests; this shows the seconds behind.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")  # before anything imports Qt

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from app.calculations.layers.lives import Label, fit
from app.calculations.letters.renewals import due_spans
from app.calculations.plan import expected_use
from app.records.book import Book
from app.records.models import Customer
from app.window.paper.theme import Theme
from tests.bench.__main__ import line
from tests.bench.proposal import least
from tests.calculations.layers.test_lives import _looked_at
from tests.calculations.letters.test_renewals import LABELS_ALONE, TODAY, candidate
from tests.window.paper.test_entrytable import Shelf, wire


def layers_dated(times: int) -> Callable[[], object]:
    """The due spans of 800 layers, or so many times more."""
    some = [candidate(number % 300) for number in range(800 * times)]
    return lambda: due_spans(some, LABELS_ALONE, TODAY)


def lives_learnt(times: int) -> Callable[[], object]:
    """The lives of sixty supplies from 500 layers, or so many times more."""
    rng = np.random.default_rng(12)
    labels = [Label(supply, f"class {supply % 5}", 50.0, 100.0) for supply in range(60)]
    seen = [one for supply in range(60) for one in _looked_at(rng, supply, 90.0, 3.5, 84)]
    some = seen[: 5000 : 10 // times]
    return lambda: fit(some, labels)


def uses_learnt(times: int) -> Callable[[], object]:
    """What jobs use, from 30,000 confirmed uses, or so many times more."""
    rng, n = np.random.default_rng(5), 30_000 * times
    sizes = [("S", "M", "L", "XL")[at] for at in rng.integers(0, 4, n)]
    supplies, services = rng.integers(1, 301, n).tolist(), rng.integers(1, 9, n).tolist()
    used, days = rng.integers(0, 3000, n).tolist(), rng.integers(0, 3650, n).tolist()
    columns = zip(supplies, services, sizes, [1000] * n, used, days, strict=True)
    some = [expected_use.ConfirmedUse(*row) for row in columns]
    return lambda: expected_use.fit(some)


def rows_changed(book: Book, times: int) -> Callable[[], object]:
    """One change of twenty rows, or so many times more."""

    def change() -> None:
        with book.change("Rows") as session:
            session.add_all(Customer(name=f"customer {at}") for at in range(20 * times))

    return change


def key_painted(theme: Theme, times: int) -> Callable[[], object]:
    """A keystroke in a table of fifty rows, or so many times more, until it is painted."""
    table = wire(theme, Shelf({f"Supply {at}": at for at in range(50 * times)}))
    table.resize(1000, 600)

    def key() -> None:
        table.show()
        table.activateWindow()
        table.go("Supply 7", "amount")
        QTest.keyClick(table, Qt.Key.Key_1)
        QApplication.processEvents()
        QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Escape)

    return key


def main() -> None:
    """One line for each, beside its bar."""
    application = QApplication([])
    theme = Theme()
    theme.dress(application)
    with TemporaryDirectory() as folder, Book.create(Path(folder) / "shop.bayledger") as book:
        for what, work, bar in (
            ("layers dated", layers_dated, 12),
            ("lives learnt", lives_learnt, 12),
            ("uses learnt", uses_learnt, 14),
            ("rows changed", lambda times: rows_changed(book, times), 12),
            ("a keystroke among rows, painted", lambda times: key_painted(theme, times), 1.5),
        ):
            one, ten = (least(work(times), times=5) for times in (1, 10))
            line(f"ten times: {what} ({ten:.1f} ms)", ten / one, bar)


if __name__ == "__main__":
    main()

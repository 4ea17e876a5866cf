"""The least a window over a book can be: what a start is compared with.

    python -m tests.bench.bare BOOK

Imports QtWidgets and SQLAlchemy, opens the same file, shows an empty window of the same size.
"""

from __future__ import annotations

import sys

from PySide6.QtWidgets import QApplication, QWidget
from sqlalchemy import create_engine, text
from sqlalchemy.orm import Session

from tests.bench.measuring import report

application = QApplication([])
engine = create_engine(f"sqlite:///{sys.argv[1]}")
with Session(engine) as session:
    session.execute(text("SELECT count(*) FROM days")).scalar()
window = QWidget()
window.resize(1366, 768)
window.show()
application.processEvents()
window.grab()
report()

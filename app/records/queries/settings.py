"""The shop's settings as they stand in the book."""

from __future__ import annotations

from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.records.models import Setting


def read_all(session: Session) -> dict[str, Any]:
    """Every setting that was ever set, by name."""
    return {row.name: row.value for row in session.scalars(select(Setting))}


def write(session: Session, values: dict[str, Any]) -> None:
    """Set settings; a value that stands as it is changes nothing."""
    for name, value in values.items():
        row = session.get(Setting, name)
        if row is None:
            session.add(Setting(name=name, value=value))
        elif row.value != value:
            row.value = value


def replace(session: Session, values: dict[str, Any]) -> None:
    """Have these settings and no others."""
    for row in session.scalars(select(Setting)):
        if row.name not in values:
            session.delete(row)
    write(session, values)

"""A version of an estimate that was given to a customer stays as it was given."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from sqlalchemy import inspect
from sqlalchemy.orm import Session

from app.errors import Refused
from app.records.models import Estimate, EstimateLine, HoldPoint

# What comes to a version after it was given: the customer's answer.
_LATER = {
    Estimate: {"state", "given_on", "approved_on", "approved_at", "approved_by", "approved_how",
               "ceiling"},
    EstimateLine: set(),
    HoldPoint: {"answer", "answered_on", "answered_at", "channel"},
}  # fmt: skip


def hold_given_versions(session: Session) -> None:
    """Refuse to change, add to or take out what a given version says.

    Raises:
        Refused: the change would alter what the customer holds.
    """
    with session.no_autoflush:
        for row in _altered(session):
            version = row if isinstance(row, Estimate) else session.get(Estimate, row.estimate_id)
            if version is not None and _was_given(version):
                raise Refused(
                    f"Version {version.version} of this estimate was given to the customer and "
                    "stays as it is. Make the next version instead."
                )


def _altered(session: Session) -> Iterator[Any]:
    kinds = tuple(_LATER)
    for row in session.dirty:
        if isinstance(row, kinds):
            state = inspect(row)
            names = {one.key for one in state.attrs if one.history.has_changes()}
            if names - _LATER[type(row)]:
                yield row
    yield from (row for row in session.deleted if isinstance(row, kinds))
    # A version that is new together with its lines was not given before them.
    new = [row for row in session.new if isinstance(row, EstimateLine | HoldPoint)]
    yield from (row for row in new if row.estimate_id is not None)


def _was_given(version: Estimate) -> bool:
    """Whether it was given before this change."""
    history = inspect(version).attrs.given_on.history
    before = list(history.deleted or ()) if history.has_changes() else [version.given_on]
    return any(before)

"""A version of an estimate that was given to a customer stays as it was given."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from sqlalchemy import inspect
from sqlalchemy.orm import Session

from app.errors import Refused
from app.records.models import Estimate, EstimateLine, HoldPoint, Record

if TYPE_CHECKING:
    from app.records.undo.images import Trace

# What comes to a version after it was given: the customer's answer.
_LATER = {
    Estimate: {"state", "given_on", "approved_on", "approved_at", "approved_by", "approved_how",
               "ceiling"},
    EstimateLine: set(),
    HoldPoint: {"answer", "answered_on", "answered_at", "channel"},
}  # fmt: skip


def hold_given_versions(session: Session, trace: Trace) -> None:
    """Refuse to change, add to or take out what a version says that was given before this change;
    one that comes whole, as from an export, may come as given.

    Raises:
        Refused: the change would alter what the customer holds.
    """
    with session.no_autoflush:
        for row in _altered(session):
            version = row if isinstance(row, Estimate) else session.get(Estimate, row.estimate_id)
            if version is not None and _was_given(version, trace):
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


def _was_given(version: Estimate, trace: Trace) -> bool:
    """Whether it was given before this change."""
    table = Record.metadata.tables[Estimate.__tablename__]
    if not trace.holds(table, version.id):
        return version.given_on is not None
    before = trace.before(table, version.id)
    return before is not None and before["given_on"] is not None

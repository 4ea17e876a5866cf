"""Runs the versions on the connection that `migrating` hands over, inside its transaction."""

from __future__ import annotations

from typing import Literal

from alembic import context

from app.records.models import Instant, Record


def _plain_type(kind: str, thing: object, _autogen: object) -> str | Literal[False]:
    """Our own column types as what the database sees, so that a version stays what it was."""
    return "sa.DateTime()" if kind == "type" and isinstance(thing, Instant) else False


context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=Record.metadata,
    # A later version changes a column by rebuilding its table; the first only makes tables.
    render_as_batch=not context.config.attributes.get("first", False),
    render_item=_plain_type,
    transactional_ddl=False,  # the transaction is the caller's
)
context.run_migrations()

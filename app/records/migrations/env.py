"""Runs the versions on the connection that `migrating` hands over, inside its transaction."""

from __future__ import annotations

from alembic import context

from app.records.models import Record

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=Record.metadata,
    render_as_batch=True,
    transactional_ddl=False,  # the transaction is the caller's
)
context.run_migrations()

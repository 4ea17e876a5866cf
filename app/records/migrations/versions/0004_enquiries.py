"""Enquiries: when they came and for when, and why one came to nothing."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring a book forward to this version."""
    # Never by a rebuilt table, which would forget that it keeps its numbers.
    with op.batch_alter_table("jobs", schema=None, recreate="never") as batch_op:
        batch_op.add_column(sa.Column("asked_on", sa.Date(), nullable=True))
        batch_op.add_column(
            sa.Column("wanted", sa.String(length=80), nullable=False, server_default="")
        )
        batch_op.add_column(
            sa.Column("came_to_nothing", sa.Boolean(), nullable=False, server_default=sa.false())
        )
        batch_op.add_column(
            sa.Column("ended_because", sa.String(length=200), nullable=False, server_default="")
        )

"""Bay time: how long steps take and then stand, where a job is done, what moved, weather."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0012"
down_revision = "0011"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring a book forward to this version."""
    none, no_word = sa.text("0"), sa.text("''")
    # Never by rebuilt tables, which would forget that they keep their numbers.
    for table in ("service_steps", "job_steps"):
        with op.batch_alter_table(table, schema=None, recreate="never") as batch_op:
            for name in ("minutes", "hold_minutes"):
                batch_op.add_column(
                    sa.Column(name, sa.Integer(), nullable=False, server_default=none)
                )
            batch_op.add_column(
                sa.Column("hold", sa.String(length=8), nullable=False, server_default=no_word)
            )
    with op.batch_alter_table("services", schema=None, recreate="never") as batch_op:
        batch_op.add_column(
            sa.Column("in_bay", sa.Boolean(), nullable=False, server_default=sa.true())
        )
    with op.batch_alter_table("jobs", schema=None, recreate="never") as batch_op:
        batch_op.add_column(sa.Column("begins_at", sa.DateTime(), nullable=True))
        batch_op.add_column(
            sa.Column("place", sa.String(length=8), nullable=False, server_default=no_word)
        )
        batch_op.add_column(
            sa.Column("travel_minutes", sa.Integer(), nullable=False, server_default=none)
        )
    with op.batch_alter_table("supplies", schema=None, recreate="never") as batch_op:
        batch_op.add_column(sa.Column("least_temperature", sa.Integer(), nullable=True))
    op.create_table(
        "weather",
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("holds_outside", sa.Boolean(), nullable=False),
        sa.Column("low", sa.Integer(), nullable=True),
        sa.Column("note", sa.String(length=200), nullable=False),
        sa.PrimaryKeyConstraint("day", name=op.f("pk_weather")),
    )
    op.create_table(
        "job_moves",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.Column("kind", sa.String(length=10), nullable=False),
        sa.Column("asked_by", sa.String(length=10), nullable=False),
        sa.Column("before", sa.DateTime(), nullable=True),
        sa.Column("after", sa.DateTime(), nullable=True),
        sa.Column("minutes", sa.Integer(), nullable=False),
        sa.Column("note", sa.String(length=200), nullable=False),
        sa.ForeignKeyConstraint(
            ["job_id"],
            ["jobs.id"],
            name=op.f("fk_job_moves_job_id"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_job_moves")),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("job_moves", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_job_moves_job_id"), ["job_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_job_moves_day"), ["day"], unique=False)

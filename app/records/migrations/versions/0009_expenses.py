"""Expenses, those that repeat, cash counted at the day's end, what was driven."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring a book forward to this version."""
    op.create_table(
        "expenses",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.Column("kind", sa.String(length=12), nullable=False),
        sa.Column("text", sa.String(length=200), nullable=False),
        sa.Column("amount", sa.Integer(), nullable=False),
        sa.Column("tax", sa.Integer(), nullable=False),
        sa.Column("method", sa.String(length=15), nullable=False),
        sa.Column("repeat_id", sa.Integer(), nullable=True),
        sa.Column("period", sa.Date(), nullable=True),
        sa.Column("counters_id", sa.Integer(), nullable=True),
        sa.Column("note", sa.String(length=300), nullable=False),
        sa.ForeignKeyConstraint(
            ["counters_id"],
            ["expenses.id"],
            name=op.f("fk_expenses_counters_id"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_expenses")),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("expenses", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_expenses_counters_id"), ["counters_id"], unique=True)
        batch_op.create_index(batch_op.f("ix_expenses_day"), ["day"], unique=False)
        batch_op.create_index(batch_op.f("ix_expenses_repeat_id"), ["repeat_id"], unique=False)

    op.create_table(
        "repeats",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=12), nullable=False),
        sa.Column("text", sa.String(length=200), nullable=False),
        sa.Column("amount", sa.Integer(), nullable=False),
        sa.Column("tax", sa.Integer(), nullable=False),
        sa.Column("method", sa.String(length=15), nullable=False),
        sa.Column("every", sa.String(length=5), nullable=False),
        sa.Column("from_day", sa.Date(), nullable=False),
        sa.Column("until", sa.Date(), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_repeats")),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("days", schema=None) as batch_op:
        batch_op.add_column(sa.Column("cash_counted", sa.Integer(), nullable=True))
        batch_op.add_column(sa.Column("driven", sa.Integer(), server_default="0", nullable=False))

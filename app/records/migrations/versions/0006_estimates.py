"""Estimates in versions, hold points with their answers, calls about the price."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Bring a book forward to this version."""
    op.create_table(
        "estimates",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("made_on", sa.Date(), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.Column("state", sa.String(length=10), nullable=False),
        sa.Column("low_minutes", sa.Integer(), nullable=False),
        sa.Column("minutes", sa.Integer(), nullable=False),
        sa.Column("high_minutes", sa.Integer(), nullable=False),
        sa.Column("low", sa.Integer(), nullable=False),
        sa.Column("likely", sa.Integer(), nullable=False),
        sa.Column("high", sa.Integer(), nullable=False),
        sa.Column("tax_rule", sa.String(length=10), nullable=False),
        sa.Column("valid_until", sa.Date(), nullable=True),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("assumptions", sa.Text(), nullable=False),
        sa.Column("not_included", sa.Text(), nullable=False),
        sa.Column("left_alone", sa.Text(), nullable=False),
        sa.Column("deposit", sa.Integer(), nullable=False),
        sa.Column("given_on", sa.Date(), nullable=True),
        sa.Column("approved_on", sa.Date(), nullable=True),
        sa.Column("approved_at", sa.DateTime(), nullable=True),
        sa.Column("approved_by", sa.String(length=120), nullable=False),
        sa.Column("approved_how", sa.String(length=10), nullable=False),
        sa.Column("ceiling", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(
            ["job_id"],
            ["jobs.id"],
            name=op.f("fk_estimates_job_id"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_estimates")),
        sa.UniqueConstraint("job_id", "version", name=op.f("uq_estimates_job_id_version")),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("estimates", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_estimates_job_id"), ["job_id"], unique=False)

    op.create_table(
        "estimate_calls",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("estimate_id", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.Column("who", sa.String(length=120), nullable=False),
        sa.Column("said", sa.String(length=300), nullable=False),
        sa.Column("reached", sa.Integer(), nullable=False),
        sa.Column("ceiling", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(
            ["estimate_id"],
            ["estimates.id"],
            name=op.f("fk_estimate_calls_estimate_id"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_estimate_calls")),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("estimate_calls", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_estimate_calls_estimate_id"), ["estimate_id"], unique=False
        )

    op.create_table(
        "estimate_lines",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("estimate_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("text", sa.String(length=200), nullable=False),
        sa.Column("low_minutes", sa.Integer(), nullable=False),
        sa.Column("minutes", sa.Integer(), nullable=False),
        sa.Column("high_minutes", sa.Integer(), nullable=False),
        sa.Column("low", sa.Integer(), nullable=False),
        sa.Column("likely", sa.Integer(), nullable=False),
        sa.Column("high", sa.Integer(), nullable=False),
        sa.Column("tax_rate", sa.Integer(), nullable=False),
        sa.Column("service_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(
            ["estimate_id"],
            ["estimates.id"],
            name=op.f("fk_estimate_lines_estimate_id"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.ForeignKeyConstraint(
            ["service_id"],
            ["services.id"],
            name=op.f("fk_estimate_lines_service_id"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_estimate_lines")),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("estimate_lines", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_estimate_lines_estimate_id"), ["estimate_id"], unique=False
        )

    op.create_table(
        "hold_points",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("estimate_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("text", sa.String(length=300), nullable=False),
        sa.Column("answer", sa.String(length=300), nullable=False),
        sa.Column("answered_on", sa.Date(), nullable=True),
        sa.Column("answered_at", sa.DateTime(), nullable=True),
        sa.Column("channel", sa.String(length=10), nullable=False),
        sa.ForeignKeyConstraint(
            ["estimate_id"],
            ["estimates.id"],
            name=op.f("fk_hold_points_estimate_id"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_hold_points")),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("hold_points", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_hold_points_estimate_id"), ["estimate_id"], unique=False
        )

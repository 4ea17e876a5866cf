"""Invoices and credit notes, and what was said of them."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None

# What holds the printed columns, and refuses to delete; as this version had it.
_PRINTED = {
    "invoices": "kind, year, number, issued_on, at, payer_name, payer_address, credits_id, reason, "
    "order_number, terms_days, due_on, currency, tax_rule, tax_text, net, tax, gross",
    "invoice_lines": "invoice_id, position, credits_line_id, text, amount, tax_rate, tax_letter",
    "invoice_taxes": "invoice_id, letter, rate, net, tax",
}
_WHEN = [
    (table, f"{table}_{what}", when)
    for table, columns in _PRINTED.items()
    for what, when in (("stays", f"UPDATE OF {columns}"), ("is_kept", "DELETE"))
]
_STAYS = "an issued invoice never changes"
_TRIGGERS = [
    f"CREATE TRIGGER {name} BEFORE {when} ON {table} BEGIN SELECT RAISE(ABORT, '{_STAYS}'); END"
    for table, name, when in _WHEN
]
_ON_A_SERVER = [
    "CREATE OR REPLACE FUNCTION invoices_stay() RETURNS trigger LANGUAGE plpgsql AS "
    f"$$ BEGIN RAISE EXCEPTION '{_STAYS}'; END $$",
    *(
        f"CREATE TRIGGER {name} BEFORE {when} ON {table} "
        "FOR EACH ROW EXECUTE FUNCTION invoices_stay()"
        for table, name, when in _WHEN
    ),
]


def upgrade() -> None:
    """Bring a book forward to this version."""
    op.create_table(
        "invoices",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=10), nullable=False),
        sa.Column("year", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("issued_on", sa.Date(), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.Column("payer_id", sa.Integer(), nullable=True),
        sa.Column("payer_name", sa.String(length=200), nullable=False),
        sa.Column("payer_address", sa.Text(), nullable=False),
        sa.Column("credits_id", sa.Integer(), nullable=True),
        sa.Column("reason", sa.String(length=300), nullable=False),
        sa.Column("order_number", sa.String(length=60), nullable=False),
        sa.Column("terms_days", sa.Integer(), nullable=False),
        sa.Column("due_on", sa.Date(), nullable=True),
        sa.Column("currency", sa.String(length=3), nullable=False),
        sa.Column("tax_rule", sa.String(length=10), nullable=False),
        sa.Column("tax_text", sa.String(length=200), nullable=False),
        sa.Column("net", sa.Integer(), nullable=False),
        sa.Column("tax", sa.Integer(), nullable=False),
        sa.Column("gross", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["credits_id"],
            ["invoices.id"],
            name=op.f("fk_invoices_credits_id"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.ForeignKeyConstraint(
            ["payer_id"],
            ["customers.id"],
            name=op.f("fk_invoices_payer_id"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_invoices")),
        sa.UniqueConstraint("kind", "year", "number", name=op.f("uq_invoices_kind_year_number")),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("invoices", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_invoices_credits_id"), ["credits_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_invoices_issued_on"), ["issued_on"], unique=False)
        batch_op.create_index(batch_op.f("ix_invoices_payer_id"), ["payer_id"], unique=False)

    op.create_table(
        "invoice_lines",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("invoice_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("charge_id", sa.Integer(), nullable=True),
        sa.Column("credits_line_id", sa.Integer(), nullable=True),
        sa.Column("text", sa.String(length=200), nullable=False),
        sa.Column("amount", sa.Integer(), nullable=False),
        sa.Column("tax_rate", sa.Integer(), nullable=False),
        sa.Column("tax_letter", sa.String(length=3), nullable=False),
        sa.ForeignKeyConstraint(
            ["credits_line_id"],
            ["invoice_lines.id"],
            name=op.f("fk_invoice_lines_credits_line_id"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.ForeignKeyConstraint(
            ["invoice_id"],
            ["invoices.id"],
            name=op.f("fk_invoice_lines_invoice_id"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.ForeignKeyConstraint(
            ["job_id"],
            ["jobs.id"],
            name=op.f("fk_invoice_lines_job_id"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_invoice_lines")),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("invoice_lines", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_invoice_lines_charge_id"), ["charge_id"], unique=False)
        batch_op.create_index(
            batch_op.f("ix_invoice_lines_credits_line_id"), ["credits_line_id"], unique=False
        )
        batch_op.create_index(
            batch_op.f("ix_invoice_lines_invoice_id"), ["invoice_id"], unique=False
        )
        batch_op.create_index(batch_op.f("ix_invoice_lines_job_id"), ["job_id"], unique=False)

    op.create_table(
        "invoice_taxes",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("invoice_id", sa.Integer(), nullable=False),
        sa.Column("letter", sa.String(length=3), nullable=False),
        sa.Column("rate", sa.Integer(), nullable=False),
        sa.Column("net", sa.Integer(), nullable=False),
        sa.Column("tax", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["invoice_id"],
            ["invoices.id"],
            name=op.f("fk_invoice_taxes_invoice_id"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_invoice_taxes")),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("invoice_taxes", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_invoice_taxes_invoice_id"), ["invoice_id"], unique=False
        )

    op.create_table(
        "invoice_words",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("invoice_id", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.Column("kind", sa.String(length=10), nullable=False),
        sa.Column("how", sa.String(length=10), nullable=False),
        sa.Column("until", sa.Date(), nullable=True),
        sa.Column("note", sa.String(length=300), nullable=False),
        sa.ForeignKeyConstraint(
            ["invoice_id"],
            ["invoices.id"],
            name=op.f("fk_invoice_words_invoice_id"),
            initially="DEFERRED",
            deferrable=True,
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_invoice_words")),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("invoice_words", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_invoice_words_invoice_id"), ["invoice_id"], unique=False
        )

    # Never by a rebuilt table, which would forget that it keeps its numbers.
    with op.batch_alter_table("jobs", schema=None, recreate="never") as batch_op:
        batch_op.add_column(
            sa.Column("order_number", sa.String(length=60), nullable=False, server_default="")
        )
    for statement in _TRIGGERS if op.get_bind().dialect.name == "sqlite" else _ON_A_SERVER:
        op.execute(statement)

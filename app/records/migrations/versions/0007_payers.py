"""Who pays for a customer or a job, their own terms, and the tax that each printed line carries."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None

_LINES = "invoice_id, position, credits_line_id, text, amount, tax_rate, tax_letter, tax"
_STAYS = "an issued invoice never changes"


def upgrade() -> None:
    """Bring a book forward to this version."""
    # Never by a rebuilt table, which would forget that it keeps its numbers.
    with op.batch_alter_table("customers", schema=None, recreate="never") as batch_op:
        batch_op.add_column(sa.Column("payer_id", sa.Integer(), nullable=True))
        batch_op.add_column(sa.Column("terms_days", sa.Integer(), nullable=True))
        batch_op.create_index(batch_op.f("ix_customers_payer_id"), ["payer_id"], unique=False)
    with op.batch_alter_table("jobs", schema=None, recreate="never") as batch_op:
        batch_op.add_column(sa.Column("payer_id", sa.Integer(), nullable=True))
        batch_op.create_index(batch_op.f("ix_jobs_payer_id"), ["payer_id"], unique=False)
    with op.batch_alter_table("invoice_lines", schema=None, recreate="never") as batch_op:
        batch_op.add_column(sa.Column("tax", sa.Integer(), nullable=False, server_default="0"))
    # Every paper of before is of one job: the first line of a rate carries all of its tax.
    op.execute(
        "UPDATE invoice_lines SET tax = (SELECT t.tax FROM invoice_taxes t WHERE "
        "t.invoice_id = invoice_lines.invoice_id AND t.rate = invoice_lines.tax_rate) "
        "WHERE id IN (SELECT min(l.id) FROM invoice_lines l JOIN invoice_taxes t ON "
        "t.invoice_id = l.invoice_id AND t.rate = l.tax_rate GROUP BY l.invoice_id, l.tax_rate)"
    )
    if op.get_bind().dialect.name == "sqlite":
        op.execute("DROP TRIGGER invoice_lines_stays")
        does = f"BEGIN SELECT RAISE(ABORT, '{_STAYS}'); END"
    else:
        op.execute("DROP TRIGGER invoice_lines_stays ON invoice_lines")
        does = "FOR EACH ROW EXECUTE FUNCTION invoices_stay()"
    op.execute(
        f"CREATE TRIGGER invoice_lines_stays BEFORE UPDATE OF {_LINES} ON invoice_lines {does}"
    )

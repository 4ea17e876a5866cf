"""Charges by time, estimates as they were given, what is filled in, use tax of expenses, photos."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0009"
branch_labels = None
depends_on = None

_LINES = (
    "invoice_id, position, credits_line_id, text, amount, tax_rate, tax_letter, minutes, "
    "hour_rate, tax"
)
_STAYS = "an issued invoice never changes"


def upgrade() -> None:
    """Bring a book forward to this version."""
    op.create_table(
        "photos",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("size", sa.Integer(), nullable=False),
        sa.Column("form", sa.String(length=10), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.Column("expense_id", sa.Integer(), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_photos")),
        sqlite_autoincrement=True,
    )
    with op.batch_alter_table("photos", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_photos_expense_id"), ["expense_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_photos_sha256"), ["sha256"], unique=False)
    # Never by rebuilt tables, which take long and forget that they keep their numbers.
    for table, columns in (
        ("charges", (_whole("minutes"), _whole("hour_rate"))),
        ("invoice_lines", (_whole("minutes"), _whole("hour_rate"))),
        ("estimates", (
            _whole("hour_rate"), _words("name", 200),
            sa.Column("address", sa.Text(), nullable=False, server_default=""),
            _words("vehicle", 250),
        )),
        ("estimate_lines", (
            _words("tax_kind", 40),
            sa.Column("proposed", sa.Boolean(), nullable=False, server_default=sa.false()),
        )),
        ("expenses", (_whole("use_tax_rate"),)),
        ("invoice_words", (sa.Column("text", sa.Text(), nullable=False, server_default=""),)),
    ):  # fmt: skip
        with op.batch_alter_table(table, schema=None, recreate="never") as batch_op:
            for column in columns:
                batch_op.add_column(column)
    if op.get_bind().dialect.name == "sqlite":
        op.execute("DROP TRIGGER invoice_lines_stays")
        does = f"BEGIN SELECT RAISE(ABORT, '{_STAYS}'); END"
    else:
        op.execute("DROP TRIGGER invoice_lines_stays ON invoice_lines")
        does = "FOR EACH ROW EXECUTE FUNCTION invoices_stay()"
    op.execute(
        f"CREATE TRIGGER invoice_lines_stays BEFORE UPDATE OF {_LINES} ON invoice_lines {does}"
    )


def _whole(name: str) -> sa.Column[int]:
    return sa.Column(name, sa.Integer(), nullable=False, server_default="0")


def _words(name: str, length: int) -> sa.Column[str]:
    return sa.Column(name, sa.String(length=length), nullable=False, server_default="")

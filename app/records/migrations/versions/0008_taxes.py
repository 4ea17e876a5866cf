"""Rates of tax by kind of line and day, exemptions with their end, use tax, filings."""

from __future__ import annotations

from datetime import date
from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None

_STAYS = "an issued invoice never changes"
_BEGINNING = date(1970, 1, 1)  # the one rate of before holds from the beginning


def upgrade() -> None:
    """Bring a book forward to this version."""
    op.create_table(
        "filings",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("first_day", sa.Date(), nullable=False),
        sa.Column("last_day", sa.Date(), nullable=False),
        sa.Column("filed_on", sa.Date(), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.Column("figures", sa.JSON(), nullable=False),
        sa.Column("unlocked_on", sa.Date(), nullable=True),
        sa.Column("unlocked_because", sa.String(length=300), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_filings")),
        sqlite_autoincrement=True,
    )
    rates = op.create_table(
        "tax_rates",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=40), nullable=False),
        sa.Column("place", sa.String(length=60), nullable=False),
        sa.Column("rate", sa.Integer(), nullable=False),
        sa.Column("from_day", sa.Date(), nullable=False),
        sa.Column("words", sa.String(length=60), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_tax_rates")),
        sa.UniqueConstraint(
            "kind", "place", "from_day", name=op.f("uq_tax_rates_kind_place_from_day")
        ),
        sqlite_autoincrement=True,
    )
    # Never by rebuilt tables, which take long and forget that they keep their numbers.
    for table, column in (
        ("charges", _words("tax_kind", 40)),
        ("customers", sa.Column("tax_exempt_until", sa.Date(), nullable=True)),
        ("invoice_taxes", _words("words", 60)),
        ("jobs", _words("tax_place", 60)),
        ("movements", sa.Column("use_tax_rate", sa.Integer(), nullable=False, server_default="0")),
        ("services", _words("tax_kind", 40)),
        ("suppliers", sa.Column("use_tax_rate", sa.Integer(), nullable=False, server_default="0")),
    ):
        with op.batch_alter_table(table, schema=None, recreate="never") as batch_op:
            batch_op.add_column(column)

    connection = op.get_bind()
    connection.execute(
        sa.text("UPDATE services SET tax_kind = 'work' WHERE taxed = :yes"), {"yes": True}
    )
    _kinds_in_images(connection)
    _first_rate(connection, rates)
    with op.batch_alter_table("services", schema=None) as batch_op:
        batch_op.drop_column("taxed")
    _hold_words(connection)


def _words(name: str, length: int) -> sa.Column[str]:
    return sa.Column(name, sa.String(length=length), nullable=False, server_default="")


def _first_rate(connection: sa.Connection, rates: sa.Table) -> None:
    """The one rate of the shop becomes the first one of work; what set it is not undone."""
    settings = sa.table("settings", sa.column("name"), sa.column("value", sa.JSON))
    of_rate = settings.c.name == "tax_rate"
    rate = connection.scalar(sa.select(settings.c.value).where(of_rate))
    if isinstance(rate, int) and not isinstance(rate, bool) and 0 < rate <= 100_000:
        first = {"kind": "work", "place": "", "rate": rate, "from_day": _BEGINNING, "words": ""}
        connection.execute(rates.insert(), first)
    connection.execute(sa.delete(settings).where(of_rate))
    images = sa.table("images", sa.column("table_name"), sa.column("row_key"))
    connection.execute(
        sa.delete(images).where(images.c.table_name == "settings", images.c.row_key == "tax_rate")
    )


def _kinds_in_images(connection: sa.Connection) -> None:
    """The same in the log of actions, so that what was done before can still be undone."""
    images = sa.table(
        "images", sa.column("id"), sa.column("table_name"),
        sa.column("before", sa.JSON), sa.column("after", sa.JSON),
    )  # fmt: skip
    rows = connection.execute(
        sa.select(images.c.id, images.c.before, images.c.after).where(
            images.c.table_name == "services"
        )
    ).all()
    for number, *sides in rows:
        after = [_with_kind(side) for side in sides]
        if after != sides:
            values = {
                name: sa.null() if side is None else side
                for name, side in zip(("before", "after"), after, strict=True)
            }
            connection.execute(sa.update(images).where(images.c.id == number).values(values))


def _with_kind(values: dict[str, Any] | None) -> dict[str, Any] | None:
    if values is None or "taxed" not in values:
        return values
    rest = {name: value for name, value in values.items() if name != "taxed"}
    return {**rest, "tax_kind": "work" if values["taxed"] else ""}


def _hold_words(connection: sa.Connection) -> None:
    """What a tax was called when it was printed stays too."""
    name, table = "invoice_taxes_stays", "invoice_taxes"
    does = f"BEGIN SELECT RAISE(ABORT, '{_STAYS}'); END"
    on = ""
    if connection.dialect.name != "sqlite":
        does, on = "FOR EACH ROW EXECUTE FUNCTION invoices_stay()", f" ON {table}"
    op.execute(f"DROP TRIGGER {name}{on}")
    columns = "invoice_id, letter, rate, words, net, tax"
    op.execute(f"CREATE TRIGGER {name} BEFORE UPDATE OF {columns} ON {table} {does}")

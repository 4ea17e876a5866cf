"""Weighings, states, steps of layers: what remarks said stands in columns of its own."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from datetime import date, datetime, time
from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

Values = dict[str, Any]

# The words in which the versions before noted what now has a column.
_UNCONFIRMED = "expected, unconfirmed"
_DAMAGED = re.compile(r" ?(\d+) x (.*?) came damaged (\d+) (\w+) (\d+)\.")
_WEIGHED = re.compile(r"([\d.,]+)\s*(g|kg|oz|lb)\s*(?:left|now)", re.IGNORECASE)
_MG = {"g": 1000, "kg": 1_000_000, "oz": 28_349.523125, "lb": 453_592.37}
_MONTHS = (
    "january", "february", "march", "april", "may", "june", "july", "august", "september",
    "october", "november", "december",
)  # fmt: skip
_EFFECTS = {"applied": "applies", "stripped": "strips", "abraded": "abrades"}


# What *Not now* wrote until then stood among the promises of customers.
_NOT_NOW = "Not now; asked again from %"


def upgrade() -> None:
    """Bring a book forward to this version."""
    with op.batch_alter_table("customers", schema=None, recreate="never") as batch_op:
        batch_op.add_column(sa.Column("not_before", sa.Date(), nullable=True))

    with op.batch_alter_table("reminders", schema=None) as batch_op:
        batch_op.alter_column("reason", existing_type=sa.String(length=300), type_=sa.Text())

    with op.batch_alter_table("layer_events", schema=None) as batch_op:
        batch_op.add_column(sa.Column("step_id", sa.Integer(), nullable=True))

    # Never by a rebuilt table, which would take long and forget that it keeps its numbers.
    with op.batch_alter_table("movements", schema=None, recreate="never") as batch_op:
        batch_op.add_column(
            sa.Column("physical", sa.Boolean(), nullable=False, server_default=sa.false())
        )
        batch_op.add_column(sa.Column("weight", sa.Integer(), nullable=True))
        batch_op.create_index(
            "ix_movements_weighed",
            ["supply_id", "day"],
            unique=False,
            sqlite_where=sa.text("weight IS NOT NULL"),
        )

    with op.batch_alter_table("order_lines", schema=None) as batch_op:
        batch_op.add_column(
            sa.Column("packs_damaged", sa.Integer(), nullable=False, server_default="0")
        )
        batch_op.add_column(sa.Column("damaged_on", sa.Date(), nullable=True))

    with op.batch_alter_table("receipts", schema=None) as batch_op:
        batch_op.add_column(
            sa.Column("state", sa.String(length=12), nullable=False, server_default="confirmed")
        )

    with op.batch_alter_table("uses", schema=None) as batch_op:
        batch_op.add_column(sa.Column("weight_before", sa.Integer(), nullable=True))
        batch_op.add_column(sa.Column("weight_after", sa.Integer(), nullable=True))
        batch_op.add_column(sa.Column("weighed_at", sa.DateTime(), nullable=True))
        batch_op.create_index(
            "ix_uses_weighed",
            ["supply_id", "day"],
            unique=False,
            sqlite_where=sa.text("weight_after IS NOT NULL"),
        )

    connection = op.get_bind()
    steps = _steps(connection)
    _in_images(connection, "receipts", _with_state)
    _in_images(connection, "movements", _with_physical)
    _in_images(connection, "layer_events", lambda values: _with_step(values, steps))
    _in_images(connection, "supplies", _without_weight)
    connection.execute(
        sa.text("UPDATE receipts SET state = 'expected', note = '' WHERE note = :note"),
        {"note": _UNCONFIRMED},
    )
    # What takes back a tip is a tip too, so that it is not taken for what a job paid.
    connection.execute(
        sa.text(
            "UPDATE receipts SET kind = 'tip' WHERE kind = 'reversed' AND counters_id IN "
            "(SELECT id FROM receipts WHERE kind = 'tip')"
        )
    )
    connection.execute(
        sa.text(
            "UPDATE movements SET physical = :yes WHERE kind = 'counted' "
            "AND (note = '' OR note LIKE 'Counted%')"
        ),
        {"yes": True},
    )
    _step_of_layers(connection, steps)
    _damaged_packs(connection)
    _last_weights(connection)
    _not_now(connection)

    with op.batch_alter_table("supplies", schema=None) as batch_op:
        batch_op.drop_column("last_weight")


def _in_images(connection: sa.Connection, table: str, mended: Callable[[Values], Values]) -> None:
    """The same in the log of actions, so that what was done before can still be undone."""
    images = sa.table(
        "images", sa.column("id"), sa.column("table_name"),
        sa.column("before", sa.JSON), sa.column("after", sa.JSON),
    )  # fmt: skip
    rows = connection.execute(
        sa.select(images.c.id, images.c.before, images.c.after).where(images.c.table_name == table)
    ).all()
    for number, *sides in rows:
        after = [None if side is None else mended(side) for side in sides]
        if after != sides:
            connection.execute(
                sa.update(images)
                .where(images.c.id == number)
                .values(
                    {
                        name: sa.null() if side is None else side
                        for name, side in zip(("before", "after"), after, strict=True)
                    }
                )
            )


def _not_now(connection: sa.Connection) -> None:
    """The day of the shop's own *Not now* goes to its column, in the log of actions too."""
    said = sa.text(
        "SELECT images.id, row_key, before, after FROM images JOIN actions "
        "ON actions.id = action_id WHERE table_name = 'customers' AND name LIKE :name "
        "AND state = 'done' ORDER BY images.id"
    ).columns(before=sa.JSON, after=sa.JSON)
    chains: dict[int, list[tuple[int, Any, Any]]] = {}
    for image, key, before, after in connection.execute(said, {"name": _NOT_NOW}):
        was, until = (before or {}).get("later_until"), (after or {}).get("later_until")
        chain = chains.setdefault(int(key), [])
        if not chain or chain[-1][2] != was:
            chain.clear()  # a customer's own wish came between
        chain.append((image, was, until))
    for customer, chain in chains.items():
        stands = connection.execute(
            sa.text(
                "UPDATE customers SET not_before = later_until, later_until = :promised "
                "WHERE id = :customer AND later_until = :until"
            ),
            {"promised": chain[0][1], "customer": customer, "until": chain[-1][2]},
        ).rowcount
        for at, (image, was, until) in enumerate(chain if stands else ()):
            connection.execute(
                sa.text("UPDATE images SET before = :before, after = :after WHERE id = :image"),
                {
                    "before": json.dumps({"not_before": was if at else None}),
                    "after": json.dumps({"not_before": until}),
                    "image": image,
                },
            )


def _with_state(values: Values) -> Values:
    """A receipt's image, whole or its changed columns."""
    if "note" not in values:
        return values
    guessed = values["note"] == _UNCONFIRMED
    return {
        **values,
        "note": "" if guessed else values["note"],
        "state": "expected" if guessed else "confirmed",
    }


def _with_physical(values: Values) -> Values:
    if "kind" not in values:
        return values
    note = str(values.get("note", ""))
    return {
        **values,
        "physical": values["kind"] == "counted" and (not note or note.startswith("Counted")),
    }


def _with_step(values: Values, steps: dict[tuple[Any, ...], int]) -> Values:
    return {**values, "step_id": _step(values, steps)} if "kind" in values else values


def _without_weight(values: Values) -> Values:
    return {name: value for name, value in values.items() if name != "last_weight"}


def _steps(connection: sa.Connection) -> dict[tuple[Any, ...], int]:
    """The first step of a job by its effect, surface group and name."""
    rows = connection.execute(
        sa.text("SELECT id, job_id, effect, name, surface_groups FROM job_steps ORDER BY position")
    )
    found: dict[tuple[Any, ...], int] = {}
    for step, job, effect, name, groups in rows:
        for group in json.loads(groups or "[]"):
            found.setdefault((job, effect, group, name), step)
    return found


def _step(values: Values, steps: dict[tuple[Any, ...], int]) -> int | None:
    effect = _EFFECTS.get(values.get("kind", ""), "")
    return steps.get(
        (values.get("job_id"), effect, values.get("surface_group"), values.get("note"))
    )


def _step_of_layers(connection: sa.Connection, steps: dict[tuple[Any, ...], int]) -> None:
    rows = connection.execute(
        sa.text(
            "SELECT id, job_id, kind, surface_group, note FROM layer_events "
            "WHERE job_id IS NOT NULL AND counters_id IS NULL"
        )
    ).mappings()
    found = [
        {"id": row["id"], "step": step}
        for row in rows
        if (step := _step(dict(row), steps)) is not None
    ]
    if found:
        connection.execute(
            sa.text("UPDATE layer_events SET step_id = :step WHERE id = :id OR counters_id = :id"),
            found,
        )


def _damaged_packs(connection: sa.Connection) -> None:
    """`2 x 1 gal of Wash soap came damaged 5 November 2025.` goes from the order to its line."""
    orders = connection.execute(
        sa.text("SELECT id, note FROM orders WHERE note LIKE '%came damaged%'")
    ).all()
    for order, note in orders:
        lines = {
            f"{label} of {name}": line
            for line, label, name in connection.execute(
                sa.text(
                    "SELECT order_lines.id, pack_label, supplies.name FROM order_lines "
                    "JOIN supplies ON supplies.id = supply_id WHERE order_id = :order"
                ),
                {"order": order},
            )
        }
        kept = note
        for said in _DAMAGED.finditer(note):
            line, month = lines.get(said[2]), said[4].lower()
            if line is None or month not in _MONTHS:
                continue
            connection.execute(
                sa.text(
                    "UPDATE order_lines SET packs_damaged = packs_damaged + :packs, "
                    "damaged_on = :day WHERE id = :line"
                ),
                {
                    "packs": int(said[1]),
                    "day": date(int(said[5]), _MONTHS.index(month) + 1, int(said[3])).isoformat(),
                    "line": line,
                },
            )
            kept = kept.replace(said[0], "")
        connection.execute(
            sa.text("UPDATE orders SET note = :note WHERE id = :order"),
            {"note": kept.strip(), "order": order},
        )


def _last_weights(connection: sa.Connection) -> None:
    """A supply's last weight goes to what was weighed: the newest use typed so, else the newest
    line of its ledger, a count where there is one."""
    supplies = connection.execute(
        sa.text("SELECT id, kind, density, last_weight FROM supplies WHERE last_weight IS NOT NULL")
    ).all()
    for supply, kind, density, weight in supplies:
        if not _on_its_use(connection, supply, kind, density, weight):
            connection.execute(
                sa.text(
                    "UPDATE movements SET weight = :weight WHERE id = (SELECT id FROM movements "
                    "WHERE supply_id = :supply AND counters_id IS NULL AND id NOT IN (SELECT "
                    "counters_id FROM movements WHERE counters_id IS NOT NULL) "
                    "ORDER BY physical DESC, day DESC, id DESC LIMIT 1)"
                ),
                {"weight": weight, "supply": supply},
            )


def _on_its_use(
    connection: sa.Connection, supply: int, kind: str, density: int, weight: int
) -> bool:
    uses = sa.table(
        "uses", sa.column("id"), sa.column("supply_id"), sa.column("day", sa.Date),
        sa.column("quantity"), sa.column("typed"), sa.column("weight_before"),
        sa.column("weight_after"), sa.column("weighed_at", sa.DateTime),
    )  # fmt: skip
    rows = connection.execute(
        sa.select(uses.c.id, uses.c.day, uses.c.quantity, uses.c.typed)
        .where(uses.c.supply_id == supply, uses.c.typed != "")
        .order_by(uses.c.day.desc(), uses.c.id.desc())
    )
    for number, day, quantity, typed in rows:
        read = _WEIGHED.fullmatch(typed.strip())
        if read is None or abs(_mg(read) - weight) > 1:
            continue
        mass = round(quantity * density / 1000) if kind == "liquid" else quantity
        connection.execute(
            sa.update(uses)
            .where(uses.c.id == number)
            .values(
                weight_before=weight + mass,
                weight_after=weight,
                weighed_at=datetime.combine(day, time(12)),
            )
        )
        return True
    return False


def _mg(read: re.Match[str]) -> float:
    try:
        return float(read[1].replace(",", "")) * _MG[read[2].lower()]
    except ValueError:
        return -1.0

"""Whether each value of the book can be read, which SQLite by itself does not ask.

It lets any value into any column: a day that is none, broken JSON, text that is no UTF-8, a word
where there are only a few others (`models/words.py`). A server
keeps kinds by itself and needs nothing of this. The database is asked: to read each value here
takes six times as long on a book of ten years.
"""

from __future__ import annotations

from sqlalchemy import JSON, Column, Connection, Table, TypeDecorator, select
from sqlalchemy.exc import DBAPIError

from app.records.models import Record, Setting
from app.records.models.words import WORDS, is_foreign

_ANEW = "+0 days"  # makes SQLite reckon the day, so that 30 February is not taken as typed


def unreadable(connection: Connection) -> list[str]:
    """Plain sentences, one for each table that holds a value which is not of its kind, or a word
    that is none of its column's, and one for each such setting."""
    found = [
        f"A line in {table.name} cannot be read{_where(connection, table)}."
        for table in Record.metadata.sorted_tables
        if _is_unreadable(connection, table)
    ]
    if any("in settings" in one for one in found):
        return found
    for name, value in connection.execute(select(Setting.name, Setting.value)):
        if is_foreign(name, value):
            found.append(f"The setting {name} says “{str(value)[:40]}”, which cannot be meant.")
    return found


def _where(connection: Connection, table: Table) -> str:
    """The line and column of a value that is not of its kind, in words: `: its state, line 12`."""
    (key,) = table.primary_key
    for column in table.columns:
        asked = f"SELECT {key.name} FROM {table.name} WHERE {_wrong(column)} LIMIT 1"
        try:
            number = connection.exec_driver_sql(asked).scalar()
        except DBAPIError:  # text that is no UTF-8
            return ""
        if number is not None:
            return f": its {column.name.replace('_', ' ')}, line {number}"
    return ""


def _is_unreadable(connection: Connection, table: Table) -> bool:
    """Asked in one go through the table; the driver refuses text that is no UTF-8 where it reads
    it, which need not be done with what is ASCII, nor with one of a few words."""
    wrong = " OR ".join(_wrong(column) for column in table.columns)
    texts = [
        column.name
        for column in table.columns
        if _kind(column) == "str" and (table.name, column.name) not in WORDS
    ]
    odd = "".join(f" OR {text} GLOB '*[^\x01-\x7f]*'" for text in texts)
    read = "".join(f", {text}" for text in texts)
    asked = f"SELECT {wrong}{read} FROM {table.name} WHERE {wrong}{odd}"
    try:
        rows = connection.exec_driver_sql(asked)
        return any(is_wrong for is_wrong, *_ in rows)
    except DBAPIError as trouble:
        if "decode" not in str(trouble.orig):
            raise
        return True


def _kind(column: Column[object]) -> str:
    kind = column.type.impl_instance if isinstance(column.type, TypeDecorator) else column.type
    return "json" if isinstance(kind, JSON) else kind.python_type.__name__


def _wrong(column: Column[object]) -> str:
    """The condition, in SQLite's words, that a value is not of its column's kind."""
    name = column.name
    match _kind(column):
        case "int":
            wrong = f"typeof({name}) != 'integer'"
        case "bool":
            wrong = f"{name} NOT IN (0, 1)"
        case "float":
            wrong = f"typeof({name}) NOT IN ('real', 'integer')"
        case "date":
            wrong = f"coalesce(date({name}, '{_ANEW}'), '') != {name}"
        case "datetime":
            # Without its fraction: SQLite rounds 59.9996 seconds up to the next minute.
            whole = f"substr({name}, 1, 19)"
            wrong = f"coalesce(datetime({whole}, '{_ANEW}'), '') != {whole}"
        case "dict" | "list" | "json":
            wrong = f"NOT json_valid({name})"
        case _:
            words = WORDS.get((column.table.name, column.name))
            among = ", ".join("'" + word.replace("'", "''") + "'" for word in words or ())
            wrong = f"typeof({name}) != 'text'" if words is None else f"{name} NOT IN ({among})"
    return f"({name} IS NOT NULL AND {wrong})"

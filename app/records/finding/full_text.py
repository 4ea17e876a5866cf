"""The words of the book in SQLite's own full text (FTS5), with what forgives slips beside it.

This is what SQLite alone understands. `plain` is its twin for any database; a server's own full
text takes this one's place with the same five functions. Where FTS5 is missing or what it holds is
damaged, `Unsearchable` is raised, and nothing but finding suffers.

The tables here hold nothing that does not stand elsewhere. They are made where they are missing, so
no version of the book's tables counts them.
https://www.sqlite.org/fts5.html
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager

from sqlalchemy import Connection
from sqlalchemy.exc import DBAPIError

from app.calculations.numbers.spelling import BEGINNING, beginnings, forgiven, slips
from app.records.finding.asked import SHORT_NUMBER, Asked
from app.records.finding.documents import (
    BACKWARDS,
    KINDS,
    MODELS,
    Words,
    key_of,
    newest_action,
    span_of,
)

FORM = 2  # of what is written here; another is made anew
TABLES = ("finding_words", "finding_near", "finding_waiting", "finding_state")
TEXT = "finding_text"
# The words themselves are folded before they come here: SQLite has only to tell them apart, which
# every FTS5 does alike. A tokenizer by three letters, which newer ones have, would find a word's
# middle, but neither its accents (before 3.45) nor two letters of it, in twice the room.
_MAKE = (
    "CREATE TABLE IF NOT EXISTS finding_words "
    "(id INTEGER PRIMARY KEY, title TEXT NOT NULL, more TEXT NOT NULL)",
    "CREATE TABLE IF NOT EXISTS finding_near "
    "(start TEXT NOT NULL, word TEXT NOT NULL, PRIMARY KEY (start, word)) WITHOUT ROWID",
    "CREATE TABLE IF NOT EXISTS finding_waiting (id INTEGER PRIMARY KEY)",
    "CREATE TABLE IF NOT EXISTS finding_state (form INTEGER NOT NULL, as_of INTEGER NOT NULL)",
    f"CREATE VIRTUAL TABLE IF NOT EXISTS {TEXT} USING fts5(title, more, content='finding_words', "
    f"content_rowid='id', tokenize=\"unicode61 remove_diacritics 0 tokenchars '{BACKWARDS}'\", "
    "prefix='1 2', detail=column, columnsize=0)",
)
_OF_A_KIND = 12  # keys of a kind and grade: what is shown is chosen among them
_NEAREST = 6  # words of the book that one slip may mean
_SLIPS_LOOKED_AT = 400
_PART = 3  # letters of a word's part that is looked for as a word of its own
_LONGEST = 40  # letters; what is longer is no word


class Unsearchable(Exception):
    """The full text is missing, damaged, or not known to this SQLite."""


@contextmanager
def unharmed() -> Iterator[None]:
    """Say `Unsearchable` where the full text itself is what fails; all other trouble goes on."""
    try:
        yield
    except DBAPIError as trouble:
        name = getattr(trouble.orig, "sqlite_errorname", "") or ""
        if name.startswith(("SQLITE_CORRUPT", "SQLITE_ERROR")):
            raise Unsearchable(name) from trouble
        raise


def is_current(connection: Connection, as_of: int | None = None) -> bool:
    """Whether the full text holds all that the book says, as of its newest action or of another.

    Where another program wrote in the book, an older one perhaps, it does not.
    """
    try:
        found = connection.exec_driver_sql(
            "SELECT form, as_of, EXISTS (SELECT 1 FROM finding_waiting) FROM finding_state"
        ).fetchone()
    except DBAPIError:
        return False
    if found is None or found[0] != FORM:
        return False
    if as_of is not None:
        return bool(found[1] == as_of)
    return not found[2] and bool(found[1] == newest_action(connection))


def begin(connection: Connection) -> None:
    """Make the tables, where they are missing, and let everything wait to be taken in."""
    with unharmed():
        for words in _MAKE:
            connection.exec_driver_sql(words)
        clear(connection)
        for kind, model in zip(KINDS, MODELS, strict=True):
            connection.exec_driver_sql(
                f"INSERT INTO finding_waiting SELECT id + ? FROM {model.__tablename__}",
                (key_of(kind, 0),),
            )
        connection.exec_driver_sql(
            "INSERT INTO finding_state VALUES (?, ?)", (FORM, newest_action(connection))
        )


def drop(connection: Connection) -> None:
    """Take the tables themselves away, also damaged ones, as far as that can be done."""
    for name in (TEXT, *TABLES):
        with unharmed():
            connection.exec_driver_sql(f"DROP TABLE IF EXISTS {name}")


def clear(connection: Connection) -> None:
    """Forget every word, where there are any; the state goes too, so that all is made anew."""
    there = set(
        connection.exec_driver_sql(
            "SELECT name FROM sqlite_master WHERE type = 'table' AND name LIKE 'finding_%'"
        ).scalars()
    )
    for name in set(TABLES) & there:
        connection.exec_driver_sql(f"DELETE FROM {name}")
    if TEXT in there:
        try:
            with unharmed():
                connection.exec_driver_sql(f"INSERT INTO {TEXT} ({TEXT}) VALUES ('delete-all')")
        except Unsearchable:
            # Its own tables, which hold the words, can be emptied also by who knows no FTS5.
            for name in {f"{TEXT}_data", f"{TEXT}_idx"} & there:
                connection.exec_driver_sql(f"DELETE FROM {name}")


def waits(connection: Connection, keys: Iterable[int]) -> None:
    """Let things wait to be taken in: many at once are not kept up with in the change itself."""
    rows = [(key,) for key in keys]
    if rows:
        connection.exec_driver_sql("INSERT OR IGNORE INTO finding_waiting VALUES (?)", rows)


def waiting(connection: Connection, most: int) -> list[int]:
    """Some of what waits; nothing where nothing does."""
    rows = connection.exec_driver_sql("SELECT id FROM finding_waiting LIMIT ?", (most,))
    return list(rows.scalars())


def taken_in(connection: Connection, keys: Sequence[int]) -> None:
    """These wait no more."""
    connection.exec_driver_sql("DELETE FROM finding_waiting WHERE id = ?", [(k,) for k in keys])


def note(connection: Connection, as_of: int) -> None:
    """The full text follows the book up to this action."""
    connection.exec_driver_sql("UPDATE finding_state SET as_of = ?", (as_of,))


# words --------------------------------------------------------------------------------------
def put(connection: Connection, keys: Sequence[int], new: Mapping[int, Words]) -> None:
    """Write the words of these things anew; one without any is taken out."""
    with unharmed():
        old = _standing(connection, keys)
        gone = [(key, *words) for key, words in old.items() if new.get(key) != words]
        come = [(key, *words) for key, words in new.items() if old.get(key) != words]
        if gone:
            connection.exec_driver_sql(
                f"INSERT INTO {TEXT} ({TEXT}, rowid, title, more) VALUES ('delete', ?, ?, ?)", gone
            )
            connection.exec_driver_sql(
                "DELETE FROM finding_words WHERE id = ?", [(row[0],) for row in gone]
            )
        if come:
            connection.exec_driver_sql("INSERT INTO finding_words VALUES (?, ?, ?)", come)
            connection.exec_driver_sql(
                f"INSERT INTO {TEXT} (rowid, title, more) VALUES (?, ?, ?)", come
            )
        before, after = _vocabulary(gone), _vocabulary(come)
        _learn(connection, after - before)
        _unlearn(connection, before - after)


def _standing(connection: Connection, keys: Sequence[int]) -> dict[int, Words]:
    if not keys:
        return {}
    rows = connection.exec_driver_sql(
        f"SELECT id, title, more FROM finding_words WHERE id IN ({','.join('?' * len(keys))})",
        tuple(keys),
    )
    return {key: (title, more) for key, title, more in rows}


def _vocabulary(rows: Iterable[tuple[int, str, str]]) -> set[str]:
    """The words in which a slip is forgiven."""
    return {
        word
        for _, title, more in rows
        for word in (*title.split(), *more.split())
        if word.isalpha() and 3 <= len(word) <= _LONGEST
    }


def _learn(connection: Connection, words: Iterable[str]) -> None:
    rows = [(start, word) for word in words for start in beginnings(word)]
    if rows:
        connection.exec_driver_sql("INSERT OR IGNORE INTO finding_near VALUES (?, ?)", rows)


def _unlearn(connection: Connection, words: Iterable[str]) -> None:
    """Forget the words that nothing in the book has any more."""
    gone = [
        word
        for word in words
        if connection.exec_driver_sql(
            f"SELECT 1 FROM {TEXT} WHERE {TEXT} MATCH ? LIMIT 1", (f'"{word}"',)
        ).first()
        is None
    ]
    rows = [(start, word) for word in gone for start in beginnings(word)]
    if rows:
        connection.exec_driver_sql("DELETE FROM finding_near WHERE start = ? AND word = ?", rows)


# looking up ---------------------------------------------------------------------------------
def look_up(connection: Connection, what: Asked, kinds: Sequence[str] = KINDS) -> dict[int, int]:
    """The keys of what was asked for, with a grade: 0 called so, 1 its name begins so, 2 else.

    Of a kind and grade the newest; a thing has every word asked, or one that a slip may mean.
    """
    grades = (
        (0, f"title : ({_expression(what, begun=False)})"),
        (1, f"title : ({_expression(what)})"),
        (2, _expression(what)),
    )
    parts, values = [], []
    for kind in kinds:
        for grade, expression in grades:
            parts.append(
                f"SELECT * FROM (SELECT rowid, {grade} FROM {TEXT} WHERE {TEXT} MATCH ? "
                "AND rowid BETWEEN ? AND ? ORDER BY rowid DESC LIMIT ?)"
            )
            values += [expression, *span_of(kind), _OF_A_KIND]
    found: dict[int, int] = {}
    with unharmed():
        for key, grade in connection.exec_driver_sql(" UNION ALL ".join(parts), tuple(values)):
            found[key] = min(grade, found.get(key, grade))
    return found


def _expression(what: Asked, *, begun: bool = True) -> str:
    """What FTS5 is asked: the words are letters and digits alone, and stand in quotes."""
    star = "*" if begun else ""
    words = []
    for word in what.words:
        ways = [f'"{word}"{star}', *(f'"{one}"' for one in what.near.get(word, ()))]
        if word.isdigit():
            ways += [f'"{short}"{star}' for short in {word.lstrip("0")} - {word, ""}]
        if len(word) >= SHORT_NUMBER and any(c.isdigit() for c in word):
            ways.append(f'"{BACKWARDS}{word[::-1]}"{star}')
        if what.apart and word.isalpha():
            cuts = range(_PART, len(word) - _PART + 1)
            ways += [f'("{word[:at]}" AND "{word[at:]}"{star})' for at in cuts]
        words.append(f"({' OR '.join(ways)})")
    expression = " AND ".join(words)
    if what.apart and len(what.words) == 2:
        expression = f'({expression}) OR "{"".join(what.words)}"{star}'
    for whole in what.whole:
        ends = [f'"{whole}"{star}', f'"{BACKWARDS}{whole[::-1]}"{star}']
        expression = f"({expression}) OR {' OR '.join(ends)}"
    return expression


def look_within(
    connection: Connection, what: Asked, kinds: Sequence[str] = KINDS
) -> dict[int, int]:
    """The keys of things in whose words these stand in the middle of others, all of one grade.

    Every word of the book is gone through: for what the full text does not find.
    """
    where = " AND ".join(["(instr(title, ?) OR instr(more, ?))"] * len(what.words))
    parts, values = [], []
    for kind in kinds:
        parts.append(
            "SELECT * FROM (SELECT id FROM finding_words WHERE id BETWEEN ? AND ? AND "
            f"{where} ORDER BY id DESC LIMIT {_OF_A_KIND})"
        )
        values += [*span_of(kind), *(word for word in what.words for _ in range(2))]
    with unharmed():
        rows = connection.exec_driver_sql(" UNION ALL ".join(parts), tuple(values))
        return dict.fromkeys(rows.scalars(), 3)


def near(connection: Connection, typed: str) -> tuple[str, ...]:
    """The words of the book that a word may be a slip of, the nearest first."""
    most = forgiven(typed)
    if not most:
        return ()
    begun = len(typed) < BEGINNING  # then the rest of the word may not be typed yet
    starts = beginnings(typed)
    where, values = [], []
    for start in starts:
        if begun and len(start) >= 4:
            where.append("start BETWEEN ? AND ?")
            values += [start, start + "\U0010ffff"]
        else:
            where.append("start = ?")
            values.append(start)
    with unharmed():
        rows = connection.exec_driver_sql(
            f"SELECT DISTINCT word FROM finding_near WHERE {' OR '.join(where)} "
            f"LIMIT {_SLIPS_LOOKED_AT}",
            tuple(values),
        )
        words = list(rows.scalars())
    found = []
    for word in words:
        apart = slips(typed, word, most)
        if apart > most and len(typed) > SHORT_NUMBER + 1:
            apart = slips(typed, word, most, begun=True)
            rank = (apart, 1, abs(len(word) - len(typed)), word)
        else:
            rank = (apart, 0, abs(len(word) - len(typed)), word)
        if apart <= most:
            found.append(rank)
    least = min((rank[0] for rank in found), default=0)
    return tuple(rank[3] for rank in sorted(found) if rank[0] == least)[:_NEAREST]

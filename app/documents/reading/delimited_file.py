"""Reading text tables (.csv, .tsv, .txt): which encoding, which delimiter, which quotes."""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Iterable, Iterator
from pathlib import Path

from app.documents.reading.grid import MOST_COLUMNS, MOST_ROWS, Grid, clean, trimmed
from app.documents.reading.options import Options, Progress, Room, Step, TooMuch
from app.errors import Mendable

DELIMITERS = (",", ";", "\t", "|")
_MOST_LINES_IN_A_CELL = 60
_SAMPLE_LINES, _SAMPLE_TEXT = 400, 400_000  # by which the delimiter is found


def read_grid(path: Path, options: Options, progress: Progress | None = None) -> Grid:
    """The table of a text file as a grid; raises Mendable when it is no text."""
    text, notes = decode(path.read_bytes(), options, path.name)
    lines = _first_lines(text)
    declared = _declared(lines)
    above = []
    if declared:
        text = text.partition("\n")[2] if "\n" in text else ""
        # The declaration is a line that the person sees: rows keep their numbers.
        above.append(())
    delimiter = declared or _delimiter(lines)
    # Progress is told by line ends: what is quoted may hold more of them than there are rows.
    step = Step(progress, text.count("\n") + 1)
    grid = Grid("", [*above], notes=notes)
    name = path.name
    if not _fill(name, grid, _split(text, delimiter, quoted=True), Room(name, options), step):
        grid = Grid("", [*above], notes=notes)
        _fill(name, grid, _split(text, delimiter, quoted=False), Room(name, options), step)
        grid.notes.append(
            f"A quotation mark in {path.name} is never closed; quotation marks were read as text."
        )
    if any(len(row) > MOST_COLUMNS for row in grid.rows):
        grid.rows = [trimmed(row[:MOST_COLUMNS]) for row in grid.rows]
        grid.notes.append(
            f"{path.name} is wider than {MOST_COLUMNS} columns; what stands further right is not "
            "read."
        )
    while grid.rows and not grid.rows[-1]:
        grid.rows.pop()
    return grid


def _first_lines(text: str) -> list[str]:
    """Lines enough to see how they are cut; one may be as long as the file."""
    return text[:_SAMPLE_TEXT].splitlines()[:_SAMPLE_LINES]


def _fill(name: str, grid: Grid, rows: Iterable[list[str]], room: Room, step: Step) -> bool:
    """Put rows into the grid; False when a quotation mark that is never closed swallows lines."""
    try:
        for row in rows:
            if any(cell.count("\n") > _MOST_LINES_IN_A_CELL for cell in row):
                return False
            if len(grid.rows) >= MOST_ROWS:
                raise TooMuch(
                    f"{name} holds more than {MOST_ROWS:,} rows; split it into several files."
                )
            room.take(row, max(len(row), 1), f"row {len(grid.rows) + 1}")
            # One more than is read shows that the row goes on.
            grid.rows.append(trimmed(clean(cell) for cell in row[: MOST_COLUMNS + 1]))
            step.on()
    except csv.Error:
        return False
    return True


def decode(raw: bytes, options: Options, name: str) -> tuple[str, list[str]]:
    """The text of a file's bytes and notes on how it was read.

    A byte-order mark decides; without one UTF-16 shows by its zeros, UTF-8 by decoding without an
    error; what remains is taken for Windows-1252, as office programs write it.
    """
    if options.encoding:
        try:
            return raw.decode(options.encoding), []
        except (UnicodeDecodeError, LookupError) as error:
            raise Mendable(
                f"{name} cannot be read as {options.encoding}; choose another encoding."
            ) from error
    for mark, encoding in (
        (b"\xef\xbb\xbf", "utf-8"),
        (b"\xff\xfe\x00\x00", "utf-32"),
        (b"\x00\x00\xfe\xff", "utf-32"),
        (b"\xff\xfe", "utf-16"),
        (b"\xfe\xff", "utf-16"),
    ):
        if raw.startswith(mark):
            return raw.decode(encoding, "replace").lstrip("\ufeff"), []
    sample = raw[:4000]
    if sample.count(0) > len(sample) // 5:
        even, odd = sample[0::2].count(0), sample[1::2].count(0)
        if max(even, odd) > 4 * min(even, odd):
            return raw.decode("utf-16-le" if odd > even else "utf-16-be", "replace"), []
        raise Mendable(f"{name} is not a text file; save the table as .xlsx or .csv and try that.")
    try:
        return raw.decode("utf-8"), []
    except UnicodeDecodeError:
        pass
    if b"\x00" in raw[:100_000] and raw[:100_000].count(0) > 8:
        raise Mendable(f"{name} is not a text file; save the table as .xlsx or .csv and try that.")
    text = raw.decode("cp1252", "replace")
    return text, [f"{name} was read as Windows-1252 text."]


def _declared(lines: list[str]) -> str:
    """The delimiter that a first line `sep=;` declares, as spreadsheets write it."""
    if lines and lines[0].lower().startswith("sep=") and len(lines[0].rstrip()) <= 5:
        return lines[0][4:5] or "\t"
    return ""


def _delimiter(lines: list[str]) -> str:
    """The delimiter that cuts most lines into the same number of several cells."""
    best, best_score = ",", 0.0
    for delimiter in DELIMITERS:
        try:
            widths = [
                len(row)
                for row in csv.reader(lines, delimiter=delimiter)
                if any(map(str.strip, row))
            ]
        except csv.Error:
            widths = [line.count(delimiter) + 1 for line in lines if line.strip()]
        wide = [width for width in widths if width > 1]
        if not wide:
            continue
        usual, often = Counter(wide).most_common(1)[0]
        # Agreement counts most, then how many cells; a decimal comma makes two, seldom the same.
        score = often / max(len(widths), 1) + 0.3 * len(wide) / len(widths) + 0.02 * min(usual, 20)
        if score > best_score + 1e-9:
            best, best_score = delimiter, score
    return best


def _split(text: str, delimiter: str, *, quoted: bool) -> Iterator[list[str]]:
    """The rows of the text; raises csv.Error where its quotation marks make no sense."""
    # One cell may be as large as the file; what may be read in all is counted row by row.
    csv.field_size_limit(max(len(text) + 1, 131_072))
    if quoted:
        return csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    return (line.split(delimiter) for line in io.StringIO(text, newline=None))

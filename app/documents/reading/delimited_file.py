"""Reading text tables (.csv, .tsv, .txt): which encoding, which delimiter, which quotes."""

from __future__ import annotations

import csv
import io
from collections import Counter
from pathlib import Path

from app.documents.reading.grid import Grid, clean, trimmed
from app.documents.reading.options import Options, Progress, Step
from app.errors import Mendable

DELIMITERS = (",", ";", "\t", "|")
_MOST_LINES_IN_A_CELL = 60


def read_grid(path: Path, options: Options, progress: Progress | None = None) -> Grid:
    """The table of a text file as a grid; raises Mendable when it is no text."""
    text, notes = decode(path.read_bytes(), options, path.name)
    grid = Grid("", [], notes=notes)
    lines = text.splitlines()
    declared = _declared(lines)
    if declared:
        text = text.partition("\n")[2] if "\n" in text else ""
        # The declaration is a line that the person sees: rows keep their numbers.
        grid.rows.append(())
    delimiter = declared or _delimiter(lines[:400])
    rows = _split(text, delimiter, quoted=True)
    if rows is None:
        rows = _split(text, delimiter, quoted=False) or []
        grid.notes.append(
            f"A quotation mark in {path.name} is never closed; quotation marks were read as text."
        )
    step = Step(progress, len(rows))
    count = 0
    for row in rows:
        values = trimmed(clean(cell) for cell in row)
        count += len(values)
        if count > options.most_cells:
            raise Mendable(
                f"{path.name} holds more cells than can be read at once (row "
                f"{len(grid.rows) + 1}); split it into several files."
            )
        grid.rows.append(values)
        step.on()
    while grid.rows and not grid.rows[-1]:
        grid.rows.pop()
    return grid


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


def _split(text: str, delimiter: str, *, quoted: bool) -> list[list[str]] | None:
    """The rows of the text; None when an unclosed quotation mark swallows lines."""
    # One cell may be as large as the file; the limit on cells and on text follows afterwards.
    csv.field_size_limit(max(len(text) + 1, 131_072))
    try:
        if not quoted:
            return [
                list(row)
                for row in csv.reader(
                    io.StringIO(text), delimiter=delimiter, quoting=csv.QUOTE_NONE
                )
            ]
        rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter))
    except csv.Error:
        if quoted:
            return None
        return [line.split(delimiter) for line in text.splitlines()]
    if any(cell.count("\n") > _MOST_LINES_IN_A_CELL for row in rows for cell in row):
        return None
    return rows

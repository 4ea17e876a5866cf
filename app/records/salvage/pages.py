"""Reading the rows of a damaged file page by page, past whatever SQLite itself stops at.

SQLite gives up a whole question at the first bad page. Its own recovery (`.recover`) reads the
pages one by one instead; but the program that has it is missing on most computers, and on some it
was built without it. So what is needed of it stands here: https://www.sqlite.org/fileformat2.html,
sections 1.3 (header), 1.5 (free pages), 1.6 (pages of a tree) and 2.1 (records).
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import dataclass

PAGE_SIZE = 4096  # of every book that was not made elsewhere
_HEAD, _LOG_HEAD, _FRAME_HEAD = 100, 32, 24
_JOURNAL, _JOURNAL_HEAD, _UP_TO_THE_END = bytes.fromhex("d9d505f920a163d7"), 28, 0xFFFFFFFF
_INDEX_INTERIOR, _TABLE_INTERIOR, _INDEX_LEAF, _TABLE_LEAF = 2, 5, 10, 13
_INTEGERS = {1: 1, 2: 2, 3: 3, 4: 4, 5: 6, 6: 8}  # serial type: bytes
_LONGEST = 64_000_000  # bytes of one row, far more than any of ours has

Values = tuple[object, ...]


@dataclass(frozen=True)
class Cell:
    """One entry of a tree; an index's has its row's number as the last value, and rowid 0."""

    rowid: int
    values: Values


class Pages:
    """The pages of a file, each read at most once, whatever leads to it."""

    def __init__(self, data: bytes, size: int = PAGE_SIZE) -> None:
        self._size = size
        self._data = data + bytes(-len(data) % size)
        self.count = len(self._data) // size
        self._free = self._free_pages()
        self._reached: set[int] = set()
        self.missed = 0  # pages and entries that a tree leads to and that cannot be read

    def table(self, root: int, columns: int) -> Iterator[Cell]:
        """The rows of a table; the pages that hold rows of more columns are another's."""
        for page in self._tree(root, _TABLE_LEAF, _TABLE_INTERIOR):
            cells = list(self._cells(page))
            if any(len(cell.values) > columns for cell in cells):
                self._reached.discard(page)
                self.missed += 1
            else:
                yield from cells

    def index(self, root: int) -> Iterator[Cell]:
        """The entries of an index."""
        for page in self._tree(root, _INDEX_LEAF, _INDEX_INTERIOR):
            yield from self._cells(page)

    def astray(self) -> Iterator[list[Cell]]:
        """The rows of each page of rows that no tree leads to any more."""
        for page in range(1, self.count + 1):
            if page in self._reached or page in self._free or self._kind(page) != _TABLE_LEAF:
                continue
            cells = list(self._cells(page))
            if cells:
                yield cells

    # pages -------------------------------------------------------------------------------
    def _page(self, number: int) -> bytes:
        return self._data[(number - 1) * self._size : number * self._size]

    def _kind(self, number: int) -> int:
        return self._data[(number - 1) * self._size + (_HEAD if number == 1 else 0)]

    def _free_pages(self) -> set[int]:
        """The pages that the file says it does not use; they hold what was taken out."""
        found: set[int] = set()
        trunk = int.from_bytes(self._data[32:36], "big")
        while 1 < trunk <= self.count and trunk not in found:
            page = self._page(trunk)
            many = int.from_bytes(page[4:8], "big")
            if many > self._size // 4 - 2:
                break  # no page of this list
            leaves = struct.unpack(f">{many}I", page[8 : 8 + 4 * many])
            found.add(trunk)
            found.update(leaves)
            trunk = int.from_bytes(page[:4], "big")
        return found

    def _tree(self, root: int, leaf: int, interior: int) -> Iterator[int]:
        waiting = [root]
        while waiting:
            number = waiting.pop()
            kind = self._kind(number) if 1 <= number <= self.count else 0
            if kind not in (leaf, interior) or number in self._reached:
                self.missed += 1
                continue
            self._reached.add(number)
            if kind == interior:
                waiting += self._children(number)
            if kind == leaf or interior == _INDEX_INTERIOR:
                yield number

    def _children(self, number: int) -> list[int]:
        page, at = self._page(number), _HEAD if number == 1 else 0
        found = [int.from_bytes(page[at + 8 : at + 12], "big")]
        for place in self._places(page, at, 12):
            found.append(int.from_bytes(page[place : place + 4], "big"))
        return found

    @staticmethod
    def _places(page: bytes, at: int, head: int) -> list[int]:
        """Where the entries of a page begin."""
        many = min(int.from_bytes(page[at + 3 : at + 5], "big"), (len(page) - at - head) // 2)
        return list(struct.unpack_from(f">{many}H", page, at + head))

    def _cells(self, number: int) -> Iterator[Cell]:
        """The entries of a page; one that cannot be read is stepped over."""
        page, at, kind = self._page(number), _HEAD if number == 1 else 0, self._kind(number)
        inner = kind == _INDEX_INTERIOR
        for place in self._places(page, at, 12 if inner else 8):
            try:
                length, place = _varint(page, place + (4 if inner else 0))
                rowid = 0
                if kind == _TABLE_LEAF:
                    rowid, place = _varint(page, place)
                    rowid -= (rowid >> 63) << 64
                most = self._size - 35
                if kind != _TABLE_LEAF:
                    most = (self._size - 12) * 64 // 255 - 23
                yield Cell(rowid, _record(self._payload(page, place, length, most)))
            except (ValueError, IndexError):
                self.missed += 1

    def _payload(self, page: bytes, at: int, length: int, most: int) -> bytes:
        """An entry's bytes, with those that had no room on its page."""
        if length > _LONGEST:
            raise ValueError("no entry is as long")
        if length <= most:
            return page[at : at + length]
        least = (self._size - 12) * 32 // 255 - 23
        local = least + (length - least) % (self._size - 4)
        local = local if local <= most else least
        found = bytearray(page[at : at + local])
        following = int.from_bytes(page[at + local : at + local + 4], "big")
        while len(found) < length:
            if not 1 < following <= self.count:
                raise ValueError("the rest of the entry is not there")
            more = self._page(following)
            found += more[4 : 4 + length - len(found)]
            following = int.from_bytes(more[:4], "big")
        return bytes(found)


def page_sizes(data: bytes) -> list[int]:
    """The sizes that pages may have: as the header says, which may be damaged, and the usual."""
    size = int.from_bytes(data[16:18], "big")
    size = 65536 if size == 1 else size
    said = size if size >= 512 and size & (size - 1) == 0 else PAGE_SIZE
    return list(dict.fromkeys((said, PAGE_SIZE)))


def with_journal(data: bytes, journal: bytes) -> bytes:
    """The file as it was before a change that broke off, from its rollback journal.

    SQLite keeps one where the disk refuses a log. https://www.sqlite.org/fileformat2.html, section
    3: pages as they were, each with a check sum over every 200th byte from its end.
    """
    whole, start, pages_before = bytearray(data), 0, 0
    while journal[start : start + 8] == _JOURNAL:
        many, nonce, pages, sector, size = struct.unpack_from(">5I", journal, start + 8)
        if size < 512 or size & (size - 1) or sector < _JOURNAL_HEAD:
            break
        pages_before = pages_before or pages * size
        at = start + sector
        if many == _UP_TO_THE_END:
            many = (len(journal) - at) // (size + 8)
        for _ in range(many):
            (number,) = struct.unpack_from(">I", journal, at) if len(journal) - at > 4 else (0,)
            page = journal[at + 4 : at + 4 + size]
            sums = nonce + sum(page[place] for place in range(size - 200, 0, -200))
            if not number or journal[at + 4 + size : at + 8 + size] != struct.pack(
                ">I", sums & 0xFFFFFFFF
            ):
                return bytes(whole[: pages_before or None])
            whole += bytes(max(0, number * size - len(whole)))
            whole[(number - 1) * size : number * size] = page
            at += size + 8
        start = -(-at // sector) * sector
    return bytes(whole[: pages_before or None])


def with_log(data: bytes, log: bytes) -> bytes:
    """The file with what its write-ahead log holds and did not fold back yet.

    https://www.sqlite.org/fileformat2.html, section 4: frames count up to the last commit before
    the first that is not of this log, or whose check sum is not right.
    """
    order = {0x377F0682: "<", 0x377F0683: ">"}.get(int.from_bytes(log[:4], "big"))
    size = int.from_bytes(log[8:12], "big")
    if order is None or len(log) < _LOG_HEAD or size < 512 or size & (size - 1):
        return data
    salts, pages, waiting = log[16:24], {}, dict[int, bytes]()
    sums = _log_sums(order, log[:24], (0, 0))
    for at in range(_LOG_HEAD, len(log) - _FRAME_HEAD - size + 1, _FRAME_HEAD + size):
        head, page = log[at : at + _FRAME_HEAD], log[at + _FRAME_HEAD : at + _FRAME_HEAD + size]
        sums = _log_sums(order, page, _log_sums(order, head[:8], sums))
        if head[8:16] != salts or struct.unpack(">2I", head[16:24]) != sums:
            break
        waiting[int.from_bytes(head[:4], "big")] = page
        if head[4:8] != bytes(4):  # a commit
            pages.update(waiting)
            waiting.clear()
    whole = bytearray(data + bytes(-len(data) % size))
    for number, page in sorted(pages.items()):
        whole += bytes(max(0, number * size - len(whole)))
        whole[(number - 1) * size : number * size] = page
    return bytes(whole)


def _log_sums(order: str, data: bytes, sums: tuple[int, int]) -> tuple[int, int]:
    one, two = sums
    words = struct.unpack(f"{order}{len(data) // 4}I", data)
    for first, second in zip(words[::2], words[1::2], strict=True):
        one = (one + first + two) & 0xFFFFFFFF
        two = (two + second + one) & 0xFFFFFFFF
    return one, two


def _varint(data: bytes, at: int) -> tuple[int, int]:
    """A number of one to nine bytes, and where the next thing begins."""
    value = 0
    for place in range(at, at + 8):
        byte = data[place]
        value = value << 7 | byte & 0x7F
        if byte < 0x80:
            return value, place + 1
    return value << 8 | data[at + 8], at + 9


def _record(payload: bytes) -> Values:
    """The values of an entry; text that is no UTF-8 has U+FFFD in place of what is not."""
    end, at = _varint(payload, 0)
    body = end
    values: list[object] = []
    while at < end:
        kind, at = _varint(payload, at)
        size = _INTEGERS.get(kind, 8 if kind == 7 else (kind - 12) // 2 if kind >= 12 else 0)
        part = payload[body : body + size]
        if len(part) < size or kind in (10, 11):
            raise ValueError("the entry is shorter than it says")
        body += size
        if kind == 0:
            values.append(None)
        elif kind in _INTEGERS:
            values.append(int.from_bytes(part, "big", signed=True))
        elif kind == 7:
            values.append(struct.unpack(">d", part)[0])
        elif kind in (8, 9):
            values.append(kind - 8)
        else:
            values.append(part.decode("utf-8", "replace") if kind % 2 else part)
    return tuple(values)

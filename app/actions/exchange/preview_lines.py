"""What a person looks through before anything is brought in, and what they said of it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from app.actions.exchange import restoring
from app.actions.exchange.drafts import Drafts
from app.actions.exchange.line_words import KIND_WORDS
from app.actions.exchange.near_names import NearName, Pair
from app.actions.exchange.title_proposals import Answer, Proposal
from app.calculations.numbers.wording import count_of
from app.documents.reading.lines import EntryLine, Line

OUTCOMES = {
    "new": "new",
    "same": "the same",
    "changed": "changed",
    "cannot": "cannot be read",
    "left": "left out",
}
# What tells one line of the files from another, also when a column means something else: file,
# sheet, row, kind, and which of that kind in the row.
LineKey = tuple[str, str, int, str, int]


@dataclass(frozen=True)
class Choices:
    """What a person said of a preview: lines left out, whether near names are the same, and what
    was proposed; `accepts` takes every proposal that asks nothing."""

    left_out: frozenset[LineKey] = frozenset()
    same: Mapping[Pair, bool] = field(default_factory=dict)
    answers: Mapping[str, Answer] = field(default_factory=dict)
    accepts: bool = False

    def with_line(self, key: LineKey) -> Choices:
        """The same with a line left out, or taken in again."""
        return replace(self, left_out=self.left_out ^ {key})

    def with_answer(self, pair: Pair, same: bool) -> Choices:
        """The same with an answer to a near name."""
        return replace(self, same={**self.same, pair: same})

    def with_said(self, said: Mapping[str, Answer]) -> Choices:
        """The same with answers to proposals, by their keys."""
        return replace(self, answers={**self.answers, **said})


@dataclass(frozen=True, slots=True, kw_only=True)
class LinePreview:
    """What a line of a file will do.

    `outcome` is new, same, changed, cannot or left; `details` say what changes or what to know,
    `problems` what could not be read, `asks` whether a near name is meant.
    """

    key: LineKey
    kind: str
    file: str
    place: str
    what: str
    outcome: str
    details: tuple[str, ...] = ()
    problems: tuple[str, ...] = ()
    asks: NearName | None = None

    def sentence(self) -> str:
        """The line in one row of text: "list.csv, row 4: Ann Marlow: changed (city: Tarn)"."""
        word = OUTCOMES[self.outcome]
        more = f" ({'; '.join(self.details)})" if self.details else ""
        return f"{self.file}, {self.place}: {self.what}: {word}{more}"


@dataclass(frozen=True, slots=True)
class Preview:
    """What a bringing-in will do, line by line; nothing is written yet.

    `counts` gives for each kind of line how many are new, same, changed and cannot be read. The
    lines of a large export that are the same are only counted.
    """

    files: tuple[str, ...]
    lines: tuple[LinePreview, ...]
    counts: dict[str, Counter[str]]
    notes: tuple[str, ...]
    version: object  # of the book, when it was looked at
    drafts: Drafts | None = field(default=None, repr=False, compare=False)
    restoring: restoring.Restoring | None = field(default=None, repr=False, compare=False)
    proposals: tuple[Proposal, ...] = ()

    def total(self, outcome: str) -> int:
        """How many lines have this outcome."""
        return sum(count[outcome] for count in self.counts.values())

    def asked(self) -> int:
        """How many lines have a near name that nobody has answered."""
        return sum(line.asks is not None and not line.asks.answered for line in self.lines)

    def changes_something(self) -> bool:
        """True when bringing in would write anything."""
        if self.restoring is not None:
            return self.restoring.total() > 0
        return self.drafts is not None and self.drafts.work() > 0

    def sentences(self) -> tuple[str, ...]:
        """One sentence for each kind of line."""
        said = []
        for kind, count in self.counts.items():
            one, many = KIND_WORDS.get(kind, (kind, kind))
            parts = [
                f"{count[outcome]:,} {word}" for outcome, word in OUTCOMES.items() if count[outcome]
            ]
            said.append(f"{count_of(count.total(), one, many)}: {', '.join(parts)}.")
        return tuple(said)


def keyed_lines(lines: Iterable[Line]) -> list[tuple[LineKey, Line]]:
    count: Counter[tuple[str, str, int, str]] = Counter()
    keyed = []
    for line in lines:
        source = line.source
        kind = line.record if isinstance(line, EntryLine) else line.kind
        place = (source.file, source.sheet, source.row, kind)
        keyed.append(((*place, count[place]), line))
        count[place] += 1
    return keyed


def all_left_out(
    keyed: Sequence[tuple[LineKey, Line]], wanted: frozenset[LineKey]
) -> frozenset[LineKey]:
    """The lines that stay out: those wanted, and what stands in the row of a customer left out."""
    rows = {key[:3] for key in wanted if key[3] == "customer"}
    return wanted | {key for key, _ in keyed if key[:3] in rows}

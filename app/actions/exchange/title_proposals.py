"""What the titles of jobs are taken for, to be confirmed once for each title, and what was said."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from app.calculations.numbers.wording import count_of

# What stands of a proposal; the first two wait for a person.
STATES = {
    "proposed": "proposed",
    "asks": "which layer?",
    "unread": "not read",
    "accepted": "taken",
    "none": "none",
    "known": "known",
}


@dataclass(frozen=True, slots=True)
class ChosenLayer:
    """The layer that a person chose: its class ("" for none) and the supply's name.

    Without a name it is not known which supply of the class it was.
    """

    protection: str
    supply: str = ""


@dataclass(frozen=True, slots=True)
class Answer:
    """What a person said of a proposal: it is so, or is not; another service; another layer."""

    takes: bool = True
    service: str = ""
    layer: ChosenLayer | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """A title, or a supply that may be a pool, and what it is taken for.

    `jobs` is how many lines have it, `told` how many layers that puts on vehicles; `layers` says
    them in words, `why` what the proposal rests on or what is missing,
    `answer` what was said of it.
    """

    key: str
    kind: str  # title, pool
    what: str
    jobs: int
    state: str
    services: tuple[str, ...] = ()
    layers: tuple[str, ...] = ()
    told: int = 0
    why: str = ""
    answer: Answer | None = None

    @property
    def waits(self) -> bool:
        """True while a person has to say something."""
        return self.state in ("proposed", "asks")

    @property
    def word(self) -> str:
        """What stands of it, in a word or two."""
        return "so many?" if (self.kind, self.state) == ("pool", "asks") else STATES[self.state]

    def sentence(self) -> str:
        """The proposal in one row of text: "Two-step" (3 jobs): Two-step polish: proposed"."""
        head = f"“{self.what}”"
        if self.kind == "title":
            head += f" ({count_of(self.jobs, 'job')})"
        said = [", ".join(self.services), *(f"leaves {layer}" for layer in self.layers), self.why]
        words = "; ".join(part for part in said if part)
        return f"{head}: {self.word}" + (f": {words}" if words else "")


def sentences(proposals: Iterable[Proposal]) -> tuple[str, ...]:
    """What is to know of the proposals in all."""
    proposals = tuple(proposals)
    titles = [one for one in proposals if one.kind == "title"]
    said = []
    for state, one, many, more in (
        ("proposed", "title is taken for a service", "titles are taken for services",
         "to be confirmed; until then nobody is reminded of their layers"),
        ("asks", "title speaks of a layer", "titles speak of a layer", "but not of which"),
        ("unread", "title is not understood", "titles are not understood",
         "and nothing is proposed"),
    ):  # fmt: skip
        count = sum(title.state == state for title in titles)
        if count:
            said.append(f"{count_of(count, one, many)}, {more}.")
    pools = sum(one.kind == "pool" and one.waits for one in proposals)
    if pools:
        said.append(f"{count_of(pools, 'supply comes', 'supplies come')} back from the wash, "
                    "it seems, and may be a pool.")  # fmt: skip
    return tuple(said)

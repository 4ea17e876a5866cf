"""Names that are near each other: whether they mean the same is asked, once for each pair."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from app.actions.exchange.alike import plain_name

Pair = tuple[str, str]


@dataclass(frozen=True, slots=True)
class NearName:
    """A name of the files, the one of the book or of another line that it is near to, and why.

    `same` is how it is taken now; `answered` is true once a person has said so.
    """

    told: str
    known: str
    why: str
    same: bool
    answered: bool = False

    @property
    def pair(self) -> Pair:
        """What an answer is kept under."""
        return plain_name(self.told), plain_name(self.known)

    def sentence(self) -> str:
        """The question, and what happens without an answer."""
        taken = "taken for the same" if self.same else "kept apart"
        return f"Is {self.told} the same as {self.known}? {self.why}; so far they are {taken}."


@dataclass(slots=True)
class NearNames:
    """Decides pairs of near names by the answers, else by what speaks for it; lists them."""

    answers: Mapping[Pair, bool] = field(default_factory=dict)
    asked: dict[Pair, NearName] = field(default_factory=dict)

    def ask(self, told: str, known: str, why: str, *, usual: bool) -> NearName:
        """The pair with its answer; `usual` holds while nobody has answered."""
        pair = plain_name(told), plain_name(known)
        found = self.asked.get(pair)
        if found is None:
            said = self.answers.get(pair)
            same = usual if said is None else said
            found = NearName(told, known, why, same, said is not None)
            self.asked[pair] = found
        return found

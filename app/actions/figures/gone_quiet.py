"""Who has gone quiet: customers past their own rhythm, each with why, and whether one may write."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from app.actions.desk.desk import Desk
from app.actions.letters.choosing import facts_of, rules_of
from app.actions.letters.reminders import whom_to_remind
from app.calculations.figures.rhythms import Rhythm, gaps_of, rhythms
from app.calculations.letters.letters import (
    Why,
    against_household,
    gravest_first,
)
from app.calculations.numbers.dates import age_words, day_year, near, span_words
from app.calculations.numbers.wording import capital, counted, listed, noun
from app.records.queries import figures as figure_queries
from app.records.queries import worth as queries

REST = 21  # days without any job after which a shop has rested, or noted none (judged)
LONG = 2.0  # times the far end of the rhythm; beyond it they are gone for long (judged)
# Who is not missed, or not to be asked; whoever asked to be left alone is not read at all.
OUT = {  # of one, of several
    Why.STOPPED: ("asked to be left alone",) * 2,
    Why.SOLD: ("holds no vehicle any more", "hold no vehicle any more"),
    Why.BOOKED: ("is booked", "are booked"),
    Why.ARCHIVED: ("is kept for the history", "are kept for the history"),
}


@dataclass(frozen=True, kw_only=True)
class Quiet:
    """A customer past their rhythm. `against`: what speaks against a letter, gravest first."""

    customer_id: int
    name: str
    household: str
    letter: bool  # whether one is due, or prepared, for their household
    last: date
    rhythm: Rhythm
    gaps: tuple[int, ...]
    against: tuple[str, ...]

    @property
    def long(self) -> bool:
        """Whether they are so far past it that they have hardly only been busy."""
        return self.rhythm.away > LONG * self.rhythm.high

    @property
    def why(self) -> str:
        """Why they are in the list, in a sentence."""
        one = self.rhythm
        away, usual = age_words(one.away), _every(one.usual)
        if one.few:
            gaps = listed([age_words(gap) for gap in self.gaps])
            return f"{_times(one.visits)}, {gaps} apart; now {away}. Too few for a rhythm."
        return (
            f"Came about every {usual}, four times in five after {span_words(one.low, one.high)}; "
            f"now {away}."
        )

    @property
    def may_write(self) -> str:
        """What the manners say of a letter, in a sentence."""
        if self.letter:
            return "A letter about their layers is due."
        if self.against:
            return f"No letter now: {self.against[0]}."
        return "The manners allow a letter, but no layer of theirs asks for one; a call may do."


@dataclass(frozen=True, kw_only=True)
class GoneQuiet:
    """The list: those past their rhythm, those gone for long, those with few visits."""

    day: date
    past: tuple[Quiet, ...]
    long: tuple[Quiet, ...]
    few: tuple[Quiet, ...]
    known: int  # customers with a rhythm or a beginning of one
    once: int  # customers who came once
    out: Mapping[Why, int]  # past their rhythm and not listed: why -> how many
    newest: date | None = None  # the last day on which any job was done

    @property
    def finding(self) -> str:
        """How many are past their rhythm, in a sentence."""
        told = len(self.past) + len(self.long)
        if not self.known:
            return "Nobody has come twice yet: a rhythm needs more visits."
        if not told:
            return "Nobody with three gaps or more is past their own rhythm."
        is_are = noun(told, "customer is", "customers are")
        rest = f"; nobody came since {near(rested, self.day)}" if (rested := self.rested) else ""
        return f"{capital(counted(told))} {is_are} past their own rhythm{rest}."

    @property
    def rested(self) -> date | None:
        """Since when the shop itself rested, or noted nothing: then staying away says little."""
        newest = self.newest
        return newest if newest is not None and (self.day - newest).days > REST else None

    @property
    def left_out(self) -> tuple[str, ...]:
        """Who is not in the list, in sentences."""
        said = []
        if (rested := self.rested) is not None:
            said.append(
                f"No job was done since {day_year(rested)}. While a shop rests everybody "
                "stays away, so this list says little of them."
            )
        if self.once:
            came = noun(self.once, "customer came", "customers came")
            said.append(f"{capital(counted(self.once))} {came} once; once is no rhythm.")
        if self.out:
            some = listed(
                [f"{counted(many)} {noun(many, *OUT[why])}" for why, many in self.out.items()]
            )
            said.append(f"Past theirs and not listed: {some}.")
        return tuple(said)


def gone_quiet(desk: Desk, day: date) -> GoneQuiet:
    """Everybody past their own rhythm on a day; who passed it last comes first."""
    with desk.book.reading() as session:
        visits, newest = queries.visits(session, day), queries.last_done(session, day)
    found = rhythms(visits, day)
    quiet = {who: one for who, one in found.items() if one.quiet}
    facts = facts_of(desk, day, frozenset(quiet))
    with desk.book.reading() as session:
        names = dict(figure_queries.names_of(session, list(quiet)))
    letters = {one.key for one in whom_to_remind(desk, day).letters} if quiet else set()
    manners, out, rows = rules_of(desk), dict.fromkeys(OUT, 0), []
    for who, rhythm in quiet.items():
        against = gravest_first(against_household(facts[who], False, day, manners))
        reason = next((why for why, _ in against if why in OUT), None)
        if reason is not None:
            out[reason] += 1
            continue
        gaps = tuple(gaps_of(visits[who]))
        rows.append(
            Quiet(customer_id=who, name=names[who], household=facts[who].household,
                  letter=facts[who].household in letters, last=visits[who][-1],
                  rhythm=rhythm, gaps=gaps, against=tuple(words for _, words in against))
        )  # fmt: skip
    rows.sort(key=lambda one: one.name)
    rows.sort(key=since, reverse=True)  # who passed it last may still be won back
    return GoneQuiet(
        day=day,
        past=tuple(one for one in rows if not one.rhythm.few and not one.long),
        long=tuple(one for one in rows if not one.rhythm.few and one.long),
        few=tuple(one for one in rows if one.rhythm.few),
        known=len(found),
        once=sum(1 for days in visits.values() if len(days) == 1),
        out={why: many for why, many in out.items() if many},
        newest=newest,
    )


def since(one: Quiet) -> date:
    """The day from which they were past their rhythm, in nine of ten gaps."""
    return one.last + timedelta(days=round(one.rhythm.high))


def passed(one: Quiet) -> str:
    """When that was, in a sentence."""
    return f"Nine in ten such gaps had ended by {day_year(since(one))}."


def _every(days: float) -> str:
    return age_words(days).removeprefix("1 ")


def _times(visits: int) -> str:
    return "Came twice" if visits == 2 else f"Came {counted(visits)} times"

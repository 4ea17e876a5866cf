"""Letters: which households to write to on a day, and why the others are not contacted.

At most one message goes to a household, about everything of theirs that is due; whatever is due
and not written about is listed with its reason. A promise ("later: March") outranks the manners,
never a death, a stop, a sale, a booking or the most letters of a year; the shop's own *Not now* is
no promise. The manners are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from app.calculations.layers.protection import CLASSES, Reminding
from app.calculations.letters.letter_reasons import reason_for
from app.calculations.letters.renewals import Due
from app.calculations.numbers.dates import day_year
from app.calculations.numbers.wording import count_of


class Why(StrEnum):
    """Reasons not to write, the gravest first."""

    DECEASED = "deceased"
    STOPPED = "stopped"
    ARCHIVED = "archived"
    SOLD = "sold"
    RENEWED = "renewed"
    NEVER_REMINDED = "never reminded"
    NO_CONSENT = "no consent"
    NO_ADDRESS = "no address"
    LATER = "later"
    NOT_NOW = "not now"
    BOOKED = "booked"
    MAY_HAVE_GONE = "may have gone"
    RECENT_VISIT = "recent visit"
    RECENT_LETTER = "recent letter"
    FOUR_A_YEAR = "four a year"
    RESTING = "resting"
    STORED = "stored"
    LEASE_ENDS = "lease ends"
    SEASON = "season"
    ALONE = "alone"
    NOT_DUE = "not due"


_GRAVITY = {why: place for place, why in enumerate(Why)}
_YEAR = timedelta(days=365)
DIED = "has died; nothing is written to them any more"
ARCHIVED = "is archived, and kept for the history only"


@dataclass(frozen=True, slots=True)
class Addressee:
    """One customer of a household, as far as writing to them goes."""

    customer: int
    deceased: bool = False
    stopped_on: date | None = None
    consent: bool = True
    reachable: bool = True  # a good address on a channel they consented to
    archived: bool = False  # kept for the history only
    mail_refused: str = ""  # what the mail server said of their address
    later_until: date | None = None  # "later: March": theirs, so a promise
    not_before: date | None = None  # *Not now*: the shop's own wish, and no promise


@dataclass(frozen=True, slots=True)
class Sent:
    """A reminder sent to the household and whether anything came back."""

    day: date
    answered: bool


@dataclass(frozen=True, slots=True)
class HouseholdFacts:
    """What bears on writing to one household. `season` are months (1..12), empty for any.

    `tried` is the day of a letter that may have gone, and nobody knows whether it did; `sold_all`
    when they held vehicles once and hold none now.
    """

    household: str
    people: tuple[Addressee, ...]
    last_visit: date | None = None
    booked: date | None = None  # a visit booked from today on
    letters: tuple[Sent, ...] = ()
    season: tuple[int, ...] = ()
    season_title: str = ""  # "before salt"
    tried: date | None = None
    sold_all: bool = False


@dataclass(frozen=True, slots=True)
class Rules:
    """The shop's manners; the defaults are common practice, no source.

    No letter up to and including `after_visit_days` after a visit, `between_letters_days` after
    another letter; `alongside_days` is how far ahead a layer may be due to be mentioned too. A
    promise that nobody kept within `promise_days` lapses.
    """

    after_visit_days: int = 30
    between_letters_days: int = 21
    letters_a_year: int = 4
    unanswered: int = 2
    rest_days: int = 365
    lease_days: int = 56
    alongside_days: int = 21
    promise_days: int = 365


@dataclass(frozen=True, slots=True)
class ChosenLetter:
    """One message to one household, about one or more layers, soonest first.

    `customer` is whom it is addressed to; `promised` when it is written because they asked to
    be written to about now (then `items` may be empty).
    """

    household: str
    customer: int
    items: tuple[Due, ...]
    due_from: date
    due_to: date
    reason: str
    promised: bool = False


@dataclass(frozen=True, slots=True)
class Suppressed:
    """Layers that are due but not written about; `why` is the gravest of the sentences."""

    household: str
    items: tuple[Due, ...]
    why: str
    whys: tuple[tuple[Why, str], ...]


@dataclass(frozen=True, slots=True)
class LetterChoice:
    """What to write today, what not and why, and the layers that are simply not due yet."""

    letters: tuple[ChosenLetter, ...]
    suppressed: tuple[Suppressed, ...]
    waiting: tuple[Due, ...]


Reason = tuple[Why, str]


@dataclass(frozen=True, slots=True)
class HouseholdChoice:
    """What the rule says of one household; `promised` when a promise is due."""

    letter: ChosenLetter | None
    silent: tuple[Suppressed, ...]
    waiting: tuple[Due, ...]
    promised: bool


def choose_letters(
    dues: Sequence[Due],
    facts: Mapping[str, HouseholdFacts],
    day: date,
    rules: Rules | None = None,
) -> LetterChoice:
    """The letters of a day: at most one for a household, every suppressed one with its reason.

    A layer asks for a letter from its letter day on; others of the household that are due by
    then or soon are mentioned with it. A household in `facts` without layers is written to only
    to keep a promise. One that is missing from `facts` is never written to.
    """
    manners = rules or Rules()
    households: dict[str, list[Due]] = {}
    for due in dues:
        households.setdefault(due.candidate.household, []).append(due)
    for household in facts:
        households.setdefault(household, [])
    letters: list[ChosenLetter] = []
    suppressed: list[Suppressed] = []
    waiting: list[Due] = []
    for household, items in households.items():
        known = facts.get(household) or HouseholdFacts(household, ())
        found = of_household(known, items, day, manners)
        letters += [found.letter] if found.letter is not None else []
        suppressed += found.silent
        waiting += found.waiting
    letters.sort(key=lambda letter: (letter.due_from, letter.household))
    suppressed.sort(key=lambda one: (min(due.due_from for due in one.items), one.household))
    return LetterChoice(tuple(letters), tuple(suppressed), tuple(waiting))


def of_household(
    facts: HouseholdFacts,
    items: Sequence[Due],
    day: date,
    rules: Rules,
    written: Collection[int] = (),
) -> HouseholdChoice:
    """What the rule says of one household.

    `written` are layers of a letter that is prepared already and that were not seen since: it is
    not thrown away because other vehicles taught a few days more.
    """
    promise = _promise_kept_by(facts, day, rules)
    promised = promise is not None
    blocked = {id(due): _against_item(due, facts, day, rules) for due in items}
    open_items = sorted(
        (due for due in items if not blocked[id(due)]), key=lambda due: (due.due_from, due.write_on)
    )
    soon = day + timedelta(days=rules.alongside_days)
    asking = [
        due
        for due in open_items
        if _asks(due, facts, day) or (due.candidate.layer in written and due.due_from <= soon)
    ]
    mentioned = _mentioned(open_items, asking, promised, soon)
    told = [due for due in items if due.write_on <= day or due.candidate.layer in written]
    silent = _silent([due for due in told if blocked[id(due)]], blocked)
    taken = {id(due) for due in mentioned}
    for one in silent:
        taken |= {id(due) for due in one.items}
    letter = None
    if mentioned or promised:
        reasons = against_household(facts, promised, day, rules)
        alone = all(_reminding(due) is Reminding.ALONGSIDE for due in asking)
        if alone and not promised:
            reasons.append(_alone(mentioned))
        if not reasons:
            letter = _letter(facts, mentioned, promise, day)
        elif mentioned:
            silent.append(_suppressed(facts.household, mentioned, reasons))
    waiting = tuple(due for due in items if id(due) not in taken)
    return HouseholdChoice(letter, tuple(silent), waiting, promised)


def _reminding(due: Due) -> Reminding:
    return CLASSES[due.candidate.protection_class].reminding


def _asks(due: Due, facts: HouseholdFacts, day: date) -> bool:
    """Whether a layer wants a letter: its letter day has come, or comes before the next season."""
    if due.write_on <= day:
        return True
    return day.month in facts.season and due.due_to < _next_season(facts.season, day)


def _next_season(season: Collection[int], day: date) -> date:
    """The first day of the next month of the season after a month outside it."""
    year, month = day.year, day.month
    outside = False
    for _ in range(24):
        year, month = (year, month + 1) if month < 12 else (year + 1, 1)
        if month in season and outside:
            return date(year, month, 1)
        outside = outside or month not in season
    return day  # every month is in season: nothing is drawn forward


def _mentioned(
    open_items: Sequence[Due], asking: Sequence[Due], promised: bool, soon: date
) -> list[Due]:
    """What the letter would be about, soonest first."""
    if not asking and not promised:
        return []
    wanted = {id(due) for due in asking}
    items = [due for due in open_items if id(due) in wanted or due.due_from <= soon]
    if not items and promised:
        items = list(open_items[:1])
    return items


def _promise_kept_by(facts: HouseholdFacts, day: date, rules: Rules) -> Addressee | None:
    """Whoever was promised a letter for a day that has come, and had neither it nor a visit."""
    for person in facts.people:
        until = person.later_until
        if until is None or until > day or person.deceased:
            continue
        if (day - until).days > rules.promise_days:
            continue
        written = any(letter.day >= until for letter in facts.letters)
        visited = facts.last_visit is not None and facts.last_visit >= until
        if not written and not visited:
            return person
    return None


def _against_item(due: Due, facts: HouseholdFacts, day: date, rules: Rules) -> list[Reason]:
    """What speaks against mentioning one layer, whatever else is written."""
    one = due.candidate
    vehicle = one.vehicle_title
    reasons: list[Reason] = []
    person = next((each for each in facts.people if each.customer == one.customer), None)
    if person is not None and person.deceased:
        reasons.append((Why.DECEASED, DIED))
    if one.sold is not None and one.sold <= day:
        reasons.append((Why.SOLD, f"the {vehicle} was sold on {day_year(one.sold)}"))
    if _reminding(due) is Reminding.NEVER:
        reasons.append((Why.NEVER_REMINDED, f"a {one.protection_class} is no reason to write"))
    if person is not None and person.archived:
        reasons.append((Why.ARCHIVED, ARCHIVED))
    elif person is None or not person.consent:
        reasons.append((Why.NO_CONSENT, "has not agreed to be reminded"))
    if one.stored_until is not None and one.stored_until > day:
        reasons.append((Why.STORED, f"the {vehicle} is stored until {day_year(one.stored_until)}"))
    if one.lease_ends is not None and one.lease_ends <= day + timedelta(days=rules.lease_days):
        ends = "ended" if one.lease_ends < day else "ends"
        words = f"the lease of the {vehicle} {ends} on {day_year(one.lease_ends)}"
        reasons.append((Why.LEASE_ENDS, words))
    return reasons


def against_household(
    facts: HouseholdFacts, promised: bool, day: date, rules: Rules
) -> list[Reason]:
    """What speaks against writing to the household at all."""
    reasons: list[Reason] = []
    living = [person for person in facts.people if not person.deceased]
    stops = [person.stopped_on for person in living if person.stopped_on is not None]
    if stops:
        reasons.append((Why.STOPPED, f"asked on {day_year(min(stops))} not to be written to"))
    if living and all(person.archived for person in living):
        reasons.append((Why.ARCHIVED, ARCHIVED))
    if facts.sold_all:
        reasons.append((Why.SOLD, "holds no vehicle any more"))
    if not any(_may_have(person) and person.reachable for person in living):
        said = next((f" (“{one.mail_refused}”)" for one in living if one.mail_refused), "")
        words = "no good address on a channel they agreed to"
        words += f"; the mail server refuses theirs{said}" if said else ""
        reasons.append((Why.NO_ADDRESS, words))
    later = [one.later_until for one in living if one.later_until and one.later_until > day]
    if later:
        reasons.append((Why.LATER, f"asked to be written to later, from {day_year(max(later))}"))
    paused = [one.not_before for one in living if one.not_before and one.not_before > day]
    if paused:
        reasons.append((Why.NOT_NOW, f"you said not now; asked again from {day_year(max(paused))}"))
    if facts.booked is not None and facts.booked >= day:
        reasons.append((Why.BOOKED, f"is booked for {day_year(facts.booked)}"))
    if facts.tried is not None:
        words = f"the mail of {day_year(facts.tried)} may or may not have gone"
        reasons.append((Why.MAY_HAVE_GONE, words))
    reasons += _enough(facts, day, rules)
    return reasons if promised else reasons + _against_manners(facts, day, rules)


def _may_have(person: Addressee) -> bool:
    """Whether a letter may be addressed to this person, if there is a way."""
    return person.consent and not person.deceased


def _enough(facts: HouseholdFacts, day: date, rules: Rules) -> list[Reason]:
    """The most letters of a year, which promises do not outrank either."""
    year = [letter for letter in facts.letters if letter.day > day - _YEAR]
    if len(year) < rules.letters_a_year:
        return []
    words = f"was written to {len(year)} times in a year; that is enough"
    return [(Why.FOUR_A_YEAR, words)]


def _against_manners(facts: HouseholdFacts, day: date, rules: Rules) -> list[Reason]:
    """The manners, which a promise outranks."""
    reasons: list[Reason] = []
    visit = facts.last_visit
    if visit is not None and (day - visit).days <= rules.after_visit_days:
        reasons.append((Why.RECENT_VISIT, f"was here on {day_year(visit)}"))
    letters = sorted(facts.letters, key=lambda letter: letter.day)
    if letters and (day - letters[-1].day).days <= rules.between_letters_days:
        reasons.append((Why.RECENT_LETTER, f"was written to on {day_year(letters[-1].day)}"))
    last = letters[-rules.unanswered :] if rules.unanswered else []
    if len(last) == rules.unanswered and last and not any(_answered(one, visit) for one in last):
        until = last[-1].day + timedelta(days=rules.rest_days)
        if day < until:
            times = "letter" if len(last) == 1 else count_of(len(last), "letter")
            words = f"did not answer the last {times}; rests until {day_year(until)}"
            reasons.append((Why.RESTING, words))
    if facts.season and day.month not in facts.season:
        title = f" {facts.season_title}" if facts.season_title else " in season"
        months = " and ".join(f"{date(2000, month, 1):%B}" for month in facts.season)
        reasons.append((Why.SEASON, f"wishes to be written to{title}, in {months}"))
    return reasons


def _answered(letter: Sent, visit: date | None) -> bool:
    """A visit after a letter answers it."""
    return letter.answered or (visit is not None and visit >= letter.day)


def _alone(items: Sequence[Due]) -> Reason:
    kind = items[0].candidate.protection_class
    return Why.ALONE, f"a {kind} alone is no reason to write; it goes with the next letter"


def _silent(items: Sequence[Due], blocked: Mapping[int, list[Reason]]) -> list[Suppressed]:
    """Layers with reasons of their own, those with the same reasons together."""
    together: dict[tuple[Reason, ...], list[Due]] = {}
    for due in items:
        together.setdefault(tuple(blocked[id(due)]), []).append(due)
    return [
        _suppressed(each[0].candidate.household, each, list(reasons))
        for reasons, each in together.items()
    ]


def _suppressed(household: str, items: Sequence[Due], reasons: list[Reason]) -> Suppressed:
    ordered = gravest_first(reasons)
    return Suppressed(household, tuple(items), ordered[0][1], ordered)


def gravest_first(reasons: Sequence[Reason]) -> tuple[Reason, ...]:
    """The reasons in the order of `Why`."""
    return tuple(sorted(reasons, key=lambda reason: _GRAVITY[reason[0]]))


def _letter(
    facts: HouseholdFacts, items: Sequence[Due], promise: Addressee | None, day: date
) -> ChosenLetter:
    may = [one for one in facts.people if _may_have(one) and one.reachable]
    first = [promise.customer] if promise is not None else []
    wished = [*first, *(due.candidate.customer for due in items)]
    able = [person.customer for person in may]
    customer = next((one for one in wished if one in able), able[0])
    promised_for = promise.later_until if promise is not None else None
    return ChosenLetter(
        facts.household,
        customer,
        tuple(items),
        min((due.due_from for due in items), default=day),
        min((due.due_to for due in items), default=day),
        reason_for(items, promised_for),
        promised=promise is not None,
    )

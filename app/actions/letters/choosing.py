"""The rule of letters, asked on what the book knows: when choosing, and again when one goes."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from app.actions.desk.desk import Desk, there
from app.actions.layers.protection_state import protection
from app.actions.letters.reminder_changes import reminder_change, set_state
from app.actions.people.consents import CHANNELS
from app.calculations.letters.letters import (
    Addressee,
    HouseholdFacts,
    LetterChoice,
    Rules,
    Sent,
    Suppressed,
    choose_letters,
)
from app.calculations.letters.prepared import (
    JudgedAgain,
    PreparedItem,
    PreparedLetter,
    judge_again,
)
from app.calculations.letters.renewals import Due
from app.calculations.numbers.wording import count_of
from app.records.asking import AT_ONCE
from app.records.models import Reminder
from app.records.queries import protection as queries
from app.records.queries.came_of import letters_sent
from app.records.queries.protection import PersonRow, Session

TOLD = 3  # letters taken off the list that are told one by one; the rest are counted
_LATER = "a layer was put on later than this day"
LETTERS_DAYS = 800  # how far back letters count in the manners
# The tables that say what bears on writing to a household.
_FACTS_FROM = frozenset({"jobs", "hours", "owner_links", "customers", "consents"}) | {
    "reminders",
    "reminder_items",
    "reminder_events",
}


@dataclass(frozen=True)
class TakenOff:
    """A prepared letter that must not go any more."""

    reminder_id: int
    name: str
    why: str


def choose(
    desk: Desk, day: date, customer_id: int | None = None
) -> tuple[LetterChoice, dict[int, PersonRow]]:
    """The day's choice from the book, and everyone it may concern; or that of one household."""
    dues = protection(desk, day).dues
    with desk.book.reading() as session:
        dues, later = _known_by(session, day, dues)
        if customer_id is not None:
            people, wanted = _people_of(session, {customer_id})
            dues = tuple(due for due in dues if due.candidate.household in wanted)
            facts = _facts(session, day, people, wanted)
    if customer_id is None:
        people = _everyone(desk)
        wanted = {due.candidate.household for due in dues}
        # A promise stands when the layer that it was about has gone.
        wanted |= {row.household for row in people.values() if row.later_until is not None}
        facts = _facts_of_all(desk, day, frozenset(wanted))
    choice = choose_letters(dues, facts, day, rules_of(desk))
    passed = [
        Suppressed(household, tuple(items), _LATER, ())
        for household, items in later.items()
        if customer_id is None or household in wanted
    ]
    return replace(choice, suppressed=(*choice.suppressed, *passed)), people


def _everyone(desk: Desk) -> dict[int, PersonRow]:
    def read() -> dict[int, PersonRow]:
        with desk.book.reading() as session:
            return {row.customer_id: row for row in queries.people(session)}

    return desk.lasting("everyone", None, {"customers", "consents"}, read)


def _facts_of_all(desk: Desk, day: date, wanted: frozenset[str]) -> dict[str, HouseholdFacts]:
    def read() -> dict[str, HouseholdFacts]:
        people = _everyone(desk)
        with desk.book.reading() as session:
            return _facts(session, day, people, wanted)

    return desk.lasting("facts of households", (day, wanted), _FACTS_FROM, read)


def _known_by(
    session: Session, day: date, dues: Sequence[Due]
) -> tuple[tuple[Due, ...], dict[str, list[Due]]]:
    """The layers to write about, and by household those due on vehicles layered anew since.

    What the book knows of later days, a clock put back or a day turned back to does not: such a
    letter would be about a layer that is not the last one.
    """
    since = queries.layered_after(session, day)
    known = tuple(due for due in dues if due.candidate.vehicle not in since)
    later: dict[str, list[Due]] = {}
    for due in dues:
        if due.candidate.vehicle in since and due.due_from <= day:
            later.setdefault(due.candidate.household, []).append(due)
    return known, later


def judge_prepared(desk: Desk, day: date, reminder_ids: Collection[int]) -> dict[int, JudgedAgain]:
    """Reminder id -> what the rule says now of a letter that is prepared.

    Asked within the change that lets them go, it decides on the book as it then is.
    """
    if not reminder_ids:
        return {}
    dues_now = protection(desk, day).dues
    with desk.book.reading() as session:
        rows = queries.reminders(session, states=("prepared",), ids=tuple(reminder_ids))
        if not rows:
            return {}
        people, wanted = _people_of(session, {row.customer_id for row in rows})
        held = queries.held_layers(session, day, {one for row in rows for one in row.layers})
        facts = _facts(session, day, people, wanted)
        waiting = queries.reminders(session, states=("prepared",), customer_ids=set(people))
        known, _later = _known_by(session, day, dues_now)
    first: dict[str, int] = {}  # of each household, the letter that was written first
    for row in sorted(waiting, key=lambda row: row.id):
        first.setdefault(people[row.customer_id].household, row.id)
    dues: dict[str, list[Due]] = {}
    for due in known:
        if due.candidate.household in wanted:
            dues.setdefault(due.candidate.household, []).append(due)
    found = {}
    for row in rows:
        person = people[row.customer_id]
        household = person.household
        if first[household] != row.id:
            found[row.id] = JudgedAgain("has another letter that waits to be sent")
            continue
        items = []
        for layer in row.layers:
            title, holder, archived = held.get(layer, ("vehicle", None, False))
            theirs = holder in people and people[holder].household == household
            items.append(PreparedItem(layer, title, theirs, archived))
        found[row.id] = judge_again(
            PreparedLetter(row.customer_id, row.day, tuple(items), row.channel in ways(person)),
            dues.get(household, ()),
            facts[household],
            day,
            rules_of(desk),
        )
    return found


def _people_of(
    session: Session, customer_ids: Collection[int]
) -> tuple[dict[int, PersonRow], set[str]]:
    """Everyone of these customers' households, and the households."""
    household_of = queries.households(session)
    wanted = {household_of[one] for one in customer_ids if one in household_of}
    members = {one for one, household in household_of.items() if household in wanted}
    return {row.customer_id: row for row in queries.people(session, members)}, wanted


def household_facts(desk: Desk, day: date, customer_id: int) -> HouseholdFacts:
    """What bears on writing to the household of a customer."""
    return there(facts_of(desk, day, {customer_id}).get(customer_id), "This customer")


def facts_of(desk: Desk, day: date, customer_ids: Collection[int]) -> dict[int, HouseholdFacts]:
    """What bears on writing to the household of each of these customers."""
    if not customer_ids:
        return {}
    with desk.book.reading() as session:
        people, wanted = _people_of(session, customer_ids)
        facts = _facts(session, day, people, wanted)
    return {one: facts[people[one].household] for one in customer_ids if one in people}


def take_off(desk: Desk, day: date, reminder_ids: Collection[int]) -> tuple[TakenOff, ...]:
    """Take those prepared letters off the list that must not go: an action of its own."""
    with reminder_change(desk, day, "Took off the list what must not go any more") as session:
        off = []
        for number, judged in judge_prepared(desk, day, reminder_ids).items():
            if judged.why_not:
                reminder = session.get_one(Reminder, number)
                set_state(session, desk, day, reminder, "withheld", judged.why_not)
                name = queries.people(session, {reminder.customer_id})[0].name
                off.append(TakenOff(number, name, judged.why_not))
    return tuple(off)


def off_words(off: Sequence[TakenOff]) -> str:
    """One sentence on what was taken off the list; nothing where nothing was."""
    if not off:
        return ""
    if len(off) == 1:
        return f"The reminder to {off[0].name} is taken off the list: {off[0].why}."
    told = "; ".join(f"{one.name}, {one.why}" for one in off[:TOLD])
    told += f"; and {len(off) - TOLD} more" if len(off) > TOLD else ""
    return f"{count_of(len(off), 'reminder')} are taken off the list: {told}."


def rules_of(desk: Desk) -> Rules:
    """The shop's manners from its settings."""
    return Rules(**desk.settings.reminder_rules) if desk.settings.reminder_rules else Rules()


def ways(row: PersonRow) -> tuple[str, ...]:
    """The ways this customer can be reached, the one they asked for first."""
    good = {
        "mail": bool(row.email) and not row.email_bad,
        "letter": bool(row.street and (row.city or row.postal_code)) and not row.address_bad,
        "phone": bool(row.phone),
        "text": bool(row.phone) and row.may_text,  # texts only with consent to this purpose
    }
    open_ways = [one for one in CHANNELS if good[one] and one not in row.withdrawn]
    return tuple(sorted(open_ways, key=lambda channel: channel != row.asks_by))


def _facts(
    session: Session, day: date, people: dict[int, PersonRow], wanted: Collection[str]
) -> dict[str, HouseholdFacts]:
    """What bears on writing to each of these households, all of whose people are given."""
    asked = set(people) if len(people) <= AT_ONCE else None
    visits = queries.last_visits(session, day, asked)
    booked = queries.next_bookings(session, day, asked)
    holding = queries.holding(session, day, asked)
    sent = letters_sent(session, day - timedelta(days=LETTERS_DAYS), asked)
    unsure = queries.reminders(session, states=("sending", "uncertain"), customer_ids=asked)
    tried_on = queries.last_tried(session, [row.id for row in unsure])
    letters: dict[str, list[Sent]] = {}
    for customer, sent_on, answer in sent:
        if customer in people:
            letters.setdefault(people[customer].household, []).append(Sent(sent_on, answer != ""))
    tried = {
        people[row.customer_id].household: tried_on.get(row.id, (row.day, ""))[0]
        for row in unsure
        if row.customer_id in people
    }
    households: dict[str, list[PersonRow]] = {}
    for person in people.values():
        households.setdefault(person.household, []).append(person)
    facts = {}
    for household in wanted:
        members = households.get(household, [])
        ids = [member.customer_id for member in members]
        facts[household] = HouseholdFacts(
            household,
            tuple(_person(member) for member in members),
            last_visit=max((visits[one] for one in ids if one in visits), default=None),
            booked=min((booked[one] for one in ids if one in booked), default=None),
            letters=tuple(sorted(letters.get(household, []), key=lambda one: one.day)),
            season=tuple(sorted({month for m in members for month in m.season})),
            season_title=next((m.season_title for m in members if m.season_title), ""),
            tried=tried.get(household),
            sold_all=any(one in holding for one in ids)
            and not any(holding.get(one) for one in ids),
        )
    return facts


def _person(row: PersonRow) -> Addressee:
    return Addressee(
        row.customer_id,
        deceased=row.deceased,
        stopped_on=row.stopped_on,
        consent=row.may_remind,
        reachable=bool(ways(row)),
        archived=row.archived,
        mail_refused=row.mail_refused,
        later_until=row.later_until,
        not_before=row.not_before,
    )

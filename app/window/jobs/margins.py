"""What the margin says of a job, on the list and beside each entry of its card."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from functools import partial

from app.actions.desk.amounts import money
from app.actions.desk.desk import Desk
from app.actions.jobs.charge_tax import about_tax
from app.actions.jobs.drift import KEYS, more_than_estimated, say_why_more
from app.actions.jobs.estimates import Estimate
from app.actions.jobs.job_card import JobCard
from app.actions.jobs.jobs import ShownJob
from app.actions.jobs.services import effect_text
from app.calculations.numbers.dates import weekday_day
from app.calculations.numbers.durations import shown_duration
from app.window.house.acting import on_book
from app.window.house.office import Office
from app.window.jobs.estimate_note import estimate_blocks
from app.window.paper.notes import (
    Alert,
    Block,
    Facts,
    Keys,
    Note,
    NoteHeading,
    Offer,
    Rule,
    Voice,
    known,
)

SPAN = ("Low", "Likely", "Not above")
_STATES = {
    "enquiry": "An enquiry: not booked yet.",
    "booked": "",
    "working": "Begun, not finished.",
    "done": "",
    "cancelled": "Called off. What was worked, used and paid on it stands.",
}


def _state_words(card: JobCard) -> str:
    """How a job stands that is neither booked nor done, and why."""
    because = card.job.ended_because
    if card.job.came_to_nothing:
        return f"An enquiry that came to nothing: {because or 'no reason was noted'}."
    words = _STATES[card.job.state]
    return f"{words} Because: {because}." if because else words


def line_note(line: ShownJob, keys: Keys) -> Note:
    """What the list itself says of a job, until the rest is read."""
    facts = known(
        ("When", line.when_text),
        ("Hours", line.hours_text),
        ("Total", line.worth_text),
        ("Owed", line.due_text),
    )
    title = f"{line.number} {line.customer or line.vehicle}".strip()
    return Note(title, (facts,), keys)


def list_note(card: JobCard, keys: Keys, phone: str = "") -> Note:
    """A job of the list in short; `phone` of whoever asked."""
    blocks: list[Block] = []
    if _STATES[card.job.state]:
        blocks.append(Voice(_state_words(card)))
    if card.promised_before and card.job.state in ("booked", "working"):
        blocks.append(Alert("Promised before its last day"))
    if card.job.notes:
        blocks.append(Voice(card.job.notes[:280]))
    if card.job.state == "enquiry" or card.job.came_to_nothing:
        asked = card.job.asked_on
        wanted = ("Wanted", card.job.wanted or card.when_text)
        said = ("Asked", weekday_day(asked) if asked else "")
        blocks.append(known(wanted, said, ("Telephone", phone)))
    else:
        results = {key: card.stations[key][0] for key in ("steps", "hours", "money")}
        hours, _comma, expected = results["hours"].partition(", ")
        blocks.append(
            known(
                ("When", card.when_text),
                ("Promised", card.promised_short if card.promised_text else ""),
                ("Steps", results["steps"]),
                ("Hours", hours),
                ("Expected", expected.removesuffix(" expected")),
                ("Money", results["money"]),
            )
        )
    if card.before:
        blocks += [Rule(), NoteHeading("Here before"), *_before(card)]
    title = f"{card.job.number_text} {card.job.customer or card.job.vehicle}".strip()
    return Note(title, tuple(blocks), keys)


def card_note(
    card: JobCard, entry: str, focused: Hashable | None, office: Office, keys: Keys
) -> Note:
    """What is known behind the open entry."""
    blocks: list[Block] = []
    title = {
        "steps": "The work",
        "supplies": "What it uses",
        "hours": "How long it takes",
        "money": "How it stands" if card.versions else "The estimate",
        "estimate": "What was said",
        "notes": "Here before",
    }[entry if entry in card.stations else "steps"]
    if office.question:
        blocks.append(Alert(office.question))
    if _STATES[card.job.state] and entry in ("steps", "notes"):
        blocks.append(Voice(_state_words(card)))
    if entry == "steps":
        title = _steps(office.desk, card, focused, blocks, title)
    elif entry == "supplies":
        title = _supplies(office.desk, card, focused, blocks, title)
    elif entry == "hours":
        _hours(card, blocks)
    elif entry == "estimate":
        blocks += estimate_blocks(office.desk, card)
    elif entry == "money":
        _money(office, card, blocks)
    else:
        none = (
            "This vehicle was not here before."
            if card.job.vehicle_id is not None
            else "No vehicle is chosen yet. F5 says which."
        )
        blocks += _before(card) or [Voice(none)]
        if card.log:
            blocks += [Rule(), NoteHeading("What was done in the book")]
            blocks += [Voice(f"{when}: {name}") for when, name in card.log[:6]]
    return Note(title, tuple(blocks), keys)


def _steps(
    desk: Desk, card: JobCard, focused: Hashable | None, blocks: list[Block], title: str
) -> str:
    step = next((one for one in card.steps if one.step_id == focused), None)
    sold = tuple(
        (one.name, f"{one.layers} layers" if one.layers > 1 else "") for one in card.services
    )
    if step is not None:
        title = step.name
        if step.because:
            blocks.append(Alert(f"Not done: {step.because}"))
        effect = effect_text(desk, step.effect, step.supply_id, step.surface_groups)
        if effect:
            blocks.append(
                Voice(
                    "When the day is closed on which this is done, the vehicle’s layers change: "
                    f"{effect}."
                )
            )
    blocks += _order(card, step.step_id if step is not None else None)
    if sold:
        blocks += [Rule(), Facts((("Services", ""), *sold))] if blocks else [Facts(sold)]
    elif not blocks:
        blocks.append(Voice("This job has no service yet. F4 adds one."))
    return title


def _order(card: JobCard, focused: int | None) -> list[Block]:
    """A wrong order of layers with the reason, of the step with the focus first; never a bar."""
    blocks: list[Block] = []
    here = next((one for one in card.advice if one.step_id == focused), None)
    if here is not None:
        if here.against:
            blocks.append(Alert("Look at the order"))
            blocks += [Voice(sentence) for sentence in here.against]
        blocks += [Rule(), Voice(here.waits)]
    others = [one for one in card.advice if one.against and one is not here]
    if others:
        blocks += [Rule()] if blocks else []
        for one in others:
            blocks += [Alert(f"{one.name}: look at the order"), Voice(one.against[0])]
    return blocks


def _supplies(
    desk: Desk, card: JobCard, focused: Hashable | None, blocks: list[Block], title: str
) -> str:
    supply = next((one for one in card.supplies if one.supply_id == focused), None)
    if supply is None:
        return title
    unit = f" {supply.unit}" if supply.unit else ""
    facts = known(
        ("Expected", f"{supply.expected_text}{unit}" if supply.expected_text else "not"),
        ("Used so far", f"{supply.used_text}{unit}" if supply.used_text else ""),
        ("Cost as closed", money(desk, supply.cost) if supply.cost else ""),
    )
    if supply.far:
        blocks.append(Alert("Three times off what was expected"))
    if supply.state == "recipe":
        blocks.append(Voice("Some of it was booked from the recipe and confirmed by nobody."))
    blocks.append(facts)
    blocks.append(
        Voice("Expected is recipe by size and condition, moved by what your jobs really used.")
    )
    return supply.name


def _hours(card: JobCard, blocks: list[Block]) -> None:
    guess = card.estimate
    blocks += [hours_facts(guess), Rule(), Voice(guess.voice)]
    if card.job.drift_reason:
        blocks.append(Voice(f"It took longer because of {card.job.drift_reason}."))


def _money(office: Office, card: JobCard, blocks: list[Block]) -> None:
    desk, cash = office.desk, card.money
    blocks += _why_more(office, card)
    owed = "Owed" if card.job.state == "done" else "To come"
    if not card.versions:  # else the estimate's own three numbers stand above the charges
        blocks += [
            price_facts(desk, card.estimate),
            Rule(),
            Voice(
                "Before tax. The span follows the hours at your hourly rate; the likely figure is "
                "what stands charged."
            ),
            Rule(),
        ]
    blocks += [
        Facts((("Total", money(desk, cash.sums.gross)), ("Paid", money(desk, cash.paid)),
               (owed, money(desk, cash.sums.due)))),
    ]  # fmt: skip
    if card.payer:
        blocks += [Rule(), Facts((("Paid by", card.payer),))]
    if tax := about_tax(desk, card.job.job_id):
        blocks += [Rule(), Voice(tax)]


def _why_more(office: Office, card: JobCard) -> list[Block]:
    """What is asked of a job that came to more than its estimate: a key for each reason."""
    reason, more = card.job.drift_reason, more_than_estimated(office.desk, card)
    if not reason and not more:
        return []
    blocks: list[Block] = [NoteHeading("Why it came to more")]
    if more:
        blocks.append(Voice(f"{more[:1].upper()}{more[1:]}."))
    if reason:
        blocks.append(Voice(f"Because of {reason}. The same key takes it back."))
    for key, words in KEYS.items():
        if not reason or words == reason:
            say = partial(on_book, office, say_why_more, card.job.job_id, words)
            blocks.append(Offer(f"Alt {key}", words, say))
    return [*blocks, Rule()]


def hours_facts(guess: Estimate, labels: Sequence[str] = SPAN) -> Facts:
    """Three numbers for hours."""
    numbers = (guess.low, guess.minutes, guess.high)
    return Facts(tuple(zip(labels, map(shown_duration, numbers), strict=True)))


def price_facts(desk: Desk, guess: Estimate, labels: Sequence[str] = SPAN) -> Facts:
    """Three numbers for money."""
    numbers = (guess.price_low, guess.price, guess.price_high)
    return Facts(tuple(zip(labels, (money(desk, one) for one in numbers), strict=True)))


def _before(card: JobCard) -> list[Block]:
    rows = tuple((day, services) for _, _, day, services in card.before[:5])
    return [Facts(rows)] if rows else []


def card_fact(card: JobCard) -> str:
    """How a job stands, for the head of its card."""
    if card.job.state == "done":
        return f"done, {card.when_text}"
    if card.job.state == "cancelled":
        return "came to nothing" if card.job.came_to_nothing else "called off"
    if card.job.state == "enquiry":
        return f"enquiry, {card.job.wanted or card.when_text}"
    return card.promised_text or card.when_text

"""What the margin says of a job of the plan, and of a move before it is kept."""

from __future__ import annotations

from collections.abc import Sequence

from app.actions.bay.keeping import Change
from app.actions.bay.plan_of_shop import PlannedJob, ShopPlan, Unplaced, clock_words
from app.actions.desk.desk import Desk
from app.calculations.bay.runs import Kind
from app.calculations.numbers.dates import weekday_day
from app.calculations.numbers.durations import shown_duration
from app.calculations.numbers.wording import capital, listed
from app.window.bay.plan_keys import MOVE_KEYS, REST_KEYS
from app.window.bay.ready_dots import ready_drawing
from app.window.paper.notes import Alert, Block, Facts, Note, NoteHeading, Rule, Voice

_WHO = {"customer": "the customer", "shop": "the shop"}
_OTHERS = 3  # jobs that move with it, that are named
_BEFORE = 3  # moves of before that are told


def row_note(
    desk: Desk,
    plan: ShopPlan | None,
    row: PlannedJob | Unplaced | None,
    changes: Sequence[Change],
    before: Sequence[str],
    left: str = "",
) -> Note:
    """A job as it stands; `before` are the moves that were kept, `left` why nobody may bring it."""
    if plan is None or row is None:
        return Note("", (), REST_KEYS[-1:])
    if isinstance(row, Unplaced):
        return Note(_title(row.number, row.customer, ""), _unplaced(row), REST_KEYS)
    blocks: list[Block] = []
    if left:
        blocks += [Alert("Nobody may bring it", "look"), Voice(left)]
    if row.clashes:
        blocks.append(Alert(f"Clash in the bay with {listed(row.clashes)}", "wrong"))
    elif row.said:
        blocks.append(Alert(capital(row.said), "wrong" if row.verdict == "no" else "look"))
    blocks.append(_facts(desk, row, None))
    blocks += _ready(desk, plan, row)
    blocks += _what_keeps(changes)
    blocks += _weather(desk, plan, row)
    if before:
        blocks += [Rule(), *(Voice(f"{capital(words)}.") for words in before[-_BEFORE:])]
    return Note(_title(row.number, row.customer, row.vehicle), tuple(blocks), REST_KEYS)


def move_note(desk: Desk, plan: ShopPlan, changes: Sequence[Change], asked_by: str) -> Note:
    """What a move does: old values struck out, new ones beside them, who else moves."""
    effect = plan.effect
    assert effect is not None
    now = effect.after
    blocks: list[Block] = [Voice(effect.said)]
    if now is None:
        return Note("No place for it", tuple(blocks), MOVE_KEYS)
    if now.clashes:
        blocks.append(Alert(f"Clash in the bay with {listed(now.clashes)}", "wrong"))
    blocks += [Rule(), _facts(desk, now, effect.before)]
    if asked_by:
        blocks.append(Facts((("Asked for by", _WHO[asked_by]),)))
    if effect.others:
        pairs = tuple(_other(desk, *both) for both in effect.others[:_OTHERS])
        blocks.append(Facts(pairs))
    blocks += _ready(desk, plan, now)
    blocks += _what_keeps(changes)
    return Note(_title(now.number, now.customer, now.vehicle), tuple(blocks), MOVE_KEYS)


def _other(desk: Desk, before: PlannedJob, other: PlannedJob) -> tuple[str, ...]:
    """What changes of another job: its begin, else when it is ready, else only its bay."""
    if before.begin != other.begin:
        return other.number, _brief(desk, other.begin), "", _brief(desk, before.begin)
    if before.ready != other.ready:
        return f"{other.number} ready", _brief(desk, other.ready), "", _brief(desk, before.ready)
    now, was = ("outside" if one.bay is None else f"bay {one.bay + 1}" for one in (other, before))
    return other.number, now, "", was


def _weather(desk: Desk, plan: ShopPlan, row: PlannedJob) -> list[Block]:
    """What was noted of the days on which it stands, and nights that are too cold for a cure."""
    days = [day for day in plan.days if day.start < row.ready and day.end > row.begin]
    noted = tuple((weekday_day(day.day), day.weather) for day in days if day.weather)
    cold = [Alert(asked) for asked in plan.asked if row.number in asked]
    return [Rule(), *cold, Facts(noted)] if noted or cold else []


def _title(number: str, customer: str, vehicle: str) -> str:
    return ", ".join(one for one in (f"{number} {customer}".strip(), vehicle) if one)


def _unplaced(row: Unplaced) -> tuple[Block, ...]:
    said = "It waits for a day." if row.waits else "It finds no place within what is planned."
    return (
        Voice(f"{said} ← and → give it one."),
        Facts((("Hands on", shown_duration(row.minutes)),)),
    )


def _changed(desk: Desk, was: int, now: int) -> tuple[str, str, str]:
    """(new, tone, old) of a moment; the old one only where it is another."""
    return clock_words(desk, now), "", _brief(desk, was) if was != now else ""


def _brief(desk: Desk, minute: int) -> str:
    """`Thu 8:30`, where the drawing beside it shows which Thursday."""
    weekday, _comma, clock = clock_words(desk, minute, long=True).partition(", ")
    return f"{weekday[:3]} {clock}"


def _facts(desk: Desk, row: PlannedJob, was: PlannedJob | None) -> Facts:
    pairs: list[tuple[str, ...]] = []
    before = was or row
    pairs.append(("Begins", *_changed(desk, before.begin, row.begin)))
    pairs.append(("Hands on", shown_duration(row.minutes)))
    for kind in (Kind.CURES, Kind.DRIES):
        minutes, had = (
            sum(bar.end - bar.start for bar in one.bars if bar.kind is kind)
            for one in (row, before)
        )
        if minutes or had:
            old = shown_duration(had) if had != minutes else ""
            pairs.append((capital(kind.value), shown_duration(minutes), "", old))
    pairs.append(("Ready, likely", *_changed(desk, before.ready, row.ready)))
    if row.place != before.place:
        pairs.append(("Done", row.place, "", before.place))
    if row.promised is None:
        return Facts(tuple(pairs))
    pairs.append(("Promised", *_changed(desk, before.promised or row.promised, row.promised)))
    kept, had_kept = _chance(row), _chance(before)
    tone = {"look": "look", "no": "alarm"}.get(row.verdict, "")
    pairs.append(("Kept, with a chance of", kept, tone, had_kept if had_kept != kept else ""))
    return Facts(tuple(pairs))


def _chance(row: PlannedJob) -> str:
    if row.clashes:
        return "clash"
    return f"{round(100 * row.chance)} %" if row.chance is not None else "no promise"


def _ready(desk: Desk, plan: ShopPlan, row: PlannedJob) -> list[Block]:
    drawing = ready_drawing(desk, plan, row)
    return [Rule(), drawing] if drawing is not None else []


def _what_keeps(changes: Sequence[Change]) -> list[Block]:
    if not changes:
        return []
    pairs = tuple((capital(one.words), f"{round(100 * one.chance)} %") for one in changes)
    return [Rule(), NoteHeading("What would keep it"), Facts(pairs)]

"""Changes of reminders alone, each with a line of what happened."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import date

from app.actions.desk.desk import Desk, there
from app.errors import Mendable
from app.records.models import Reminder, ReminderEvent
from app.records.queries.protection import ReminderRow, Session

KINDS = frozenset({"reminders"})
LEFT = ("withheld", "dropped")  # states of what did not go and is off the list


@contextmanager
def reminder_change(
    desk: Desk, day: date, name: str, *, undoable: bool = True
) -> Iterator[Session]:
    """A change of nothing but reminders: what is known of the layers stands through it."""
    with (
        desk.still_standing(("protection",)),
        desk.book.change(name, day=day, kinds=KINDS, at=desk.clock(), undoable=undoable) as session,
    ):
        yield session


def set_state(
    session: Session, desk: Desk, day: date, reminder: Reminder, state: str, note: str = ""
) -> None:
    """Give a reminder a state, and note that it has it."""
    reminder.state = state
    session.add(reminder_event(desk, day, reminder.id, state, note))


def reminder_event(
    desk: Desk, day: date, reminder_id: int, kind: str, note: str = ""
) -> ReminderEvent:
    """A line of what happened to a reminder."""
    return ReminderEvent(
        reminder_id=reminder_id, day=day, at=desk.clock(), kind=kind, note=note[:300]
    )


def going_day(desk: Desk, day: date) -> date:
    """The day on which a message goes: today, however old the page that lies open."""
    return max(day, desk.today)


def why_none_goes(rows: Sequence[ReminderRow]) -> str:
    """One sentence where none of these reminders waits to be sent any more."""
    if any(row.state in LEFT for row in rows):
        return "Nothing went: what was written is off the list. Write it anew where one is due."
    return f"{'This reminder was' if len(rows) == 1 else 'These reminders were'} sent already."


def unsent_row(session: Session, reminder_id: int) -> Reminder:
    """A prepared reminder, to be changed; `Mendable` where it is that no more."""
    reminder = there(session.get(Reminder, reminder_id), "This reminder")
    if reminder.state in LEFT:
        raise Mendable("This reminder was taken off the list; write it anew where one is due.")
    if reminder.state != "prepared":
        raise Mendable("This reminder was already sent; what went out is not changed.")
    return reminder

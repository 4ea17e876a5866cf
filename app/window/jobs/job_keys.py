"""The keys of the list of jobs, of its parts, of a job's card, and of booking one."""

from __future__ import annotations

from app.window.paper.notes import Keys

LIST_KEYS: Keys = (
    ("A–Z", "narrow the list"),
    ("↵", "open the job"),
    ("Ins", "book a job"),
    ("F7", "note an enquiry"),
    ("F8", "its estimate"),
    ("Alt 1–7", "another part"),
)
ENQUIRY_LIST_KEYS: Keys = (
    *((key, words) for key, words in LIST_KEYS if key not in ("Ins", "F7")),
    ("Ins", "note an enquiry"),
)
PART_KEYS: dict[str, Keys] = {
    "work": (("F5", "move to another day"), ("F6", "call it off")),
    "booked": (("F5", "move to another day"), ("F6", "call it off")),
    "enquiries": (("Ctrl ↵", "book it"), ("F6", "it came to nothing")),
    "owed": (
        ("Ctrl ↵", "take payment"),
        ("F4", "statement, all they owe"),
        ("F3", "a friendly reminder"),
        ("F5", "they named a day"),
        ("F6", "disputed, or settled"),
        ("F2", "print, or issue it"),
    ),
    "done": (("F2", "one invoice for those chosen"),),
}
CARD_KEYS: dict[str, Keys] = {
    "steps": (
        ("Space", "done, or later"),
        ("0–Z", "not done, because"),
        ("Ins", "another step"),
        ("Esc", "back to the list"),
    ),
    "supplies": (
        ("↑ ↓", "next supply"),
        ("Ctrl ↵", "to the day sheet"),
        ("F4", "add a service"),
        ("Esc", "back to the list"),
    ),
    "hours": (
        ("↵", "open that day"),
        ("Ctrl ↵", "to the day sheet"),
        ("Alt ↑↓", "next entry"),
        ("Esc", "back to the list"),
    ),
    "money": (
        ("0–9", "write over it"),
        ("Ins", "another charge"),
        ("Ctrl Del", "take a charge out"),
        ("F2", "issue, print; or a receipt"),
        ("F3", "mail it"),
        ("Space", "charge what was agreed"),
        ("F11", "credit it, or a part"),
        ("F10", "who pays"),
        ("Alt C–T", "why it came to more"),
        ("Esc", "back to the list"),
    ),
    "estimate": (
        ("0–9", "write over it"),
        ("Ctrl ↵", "make, give, or say yes"),
        ("F2", "print it"),
        ("F3", "mail it"),
        ("Space", "take what is filled in"),
        ("Ins", "another line"),
        ("Ctrl Del", "take a line out"),
        ("Esc", "back to the list"),
    ),
    "notes": (
        ("Tab", "next field"),
        ("F5", "which vehicle"),
        ("F6", "call it off, or on again"),
        ("F9", "open the customer"),
        ("Esc", "back to the list"),
    ),
}
BOOKING_KEYS: Keys = (
    ("↵", "this one, and on"),
    ("Ctrl ↵", "book it"),
    ("Ins", "add who is missing"),
    ("Esc", "leave without booking"),
)
SOLD_KEYS: Keys = (
    ("Space", "add or remove it"),
    ("Alt ↓", "on, to the day"),
    *BOOKING_KEYS[1:2],
    BOOKING_KEYS[3],
)
WHEN_KEYS: Keys = (
    ("↑ ↓", "another day that fits"),
    ("Tab", "next field"),
    ("PgDn", "later weeks"),
    ("PgUp", "earlier weeks"),
    ("Del", "without a day"),
    ("Esc", "put the found day back"),
    *BOOKING_KEYS[1:2],
)

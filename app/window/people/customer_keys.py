"""The keys of the Customers place, for its margin and for the page of all keys."""

from __future__ import annotations

LIST_KEYS = (
    ("A–Z", "narrow the list"),
    ("↵", "open the customer"),
    ("Ins", "add a customer"),
    ("F5", "put two together"),
    ("F12", "remove or archive"),
    ("Esc", "show all again"),
)
CARD_KEYS = (
    ("Esc", "back to the list"),
    ("Alt ↑↓", "next entry"),
    ("Ins", "add a vehicle"),
    ("F3", "who pays for them"),
    ("F7", "write out or erase them"),
    ("F9", "stop or allow reminders"),
)
LEFT_KEYS = (("F6", "call it off"), ("F8", "keep it for the new owner"))

"""The keys of deliveries that came and orders to send."""

from __future__ import annotations

RECEIVE_KEYS = (
    ("0–9", "packs that came"),
    ("Ctrl ↵", "it has come"),
    ("L", "it comes on another day"),
    ("X", "it will not come"),
)
SEND_KEYS = (
    ("F7", "its papers, in their folder"),
    ("M", "a mail draft"),
    ("F4", "I sent it today"),
    ("X", "take it back"),
)

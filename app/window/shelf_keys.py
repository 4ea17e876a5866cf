"""The keys of the Shelf place, for its margin and for the page of all keys."""

from __future__ import annotations

PAGE_KEYS = (
    ("0–9", "packs to order"),
    ("C", "count this one"),
    ("U", "use it up, don’t reorder"),
    ("Space", "show or fold the rest"),
)
POOL_KEYS = (
    ("↵", "loads, steps down, out"),
    ("F4", "count the shelf"),
    ("Space", "show or fold the rest"),
    ("/", "narrow the list"),
)
CARD_KEYS = (
    ("Alt 3", "packs and prices"),
    ("S", "its supplier"),
    ("F6", "a container was opened"),
    ("Esc", "back"),
)
RECEIVE_KEYS = (
    ("0–9", "packs that came"),
    ("Ctrl ↵", "it has come"),
    ("F4", "I sent it today"),
    ("X", "it will not come"),
)
COUNT_KEYS = (
    ("0–9", "what stands there"),
    ("↵", "next supply"),
    ("Esc", "put the number back"),
    ("F4", "end counting"),
)

ALL_KEYS = (
    (
        "The shelf",
        (
            *PAGE_KEYS,
            ("R", "a delivery came"),
            ("O", "open the supply"),
            ("/", "narrow the list"),
            ("S", "its supplier"),
            ("D", "what stands idle or is past its life"),
        ),
    ),
    (
        "Counting",
        (("F4", "begin or end"), *COUNT_KEYS[:3], ("F7", "print the count sheet")),
    ),
    ("A delivery", RECEIVE_KEYS),
    (
        "A supply",
        (
            ("Esc", "back to the shelf"),
            ("Ins", "add a supply"),
            ("S", "its supplier"),
            ("F6", "a container was opened"),
            ("F7", "print the label of the bottle filled last"),
        ),
    ),
)

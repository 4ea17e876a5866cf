"""The keys of the Shelf place, for its margin and for the page of all keys."""

from __future__ import annotations

from app.window.orders.deliveries import RECEIVE_KEYS, SEND_KEYS

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
    ("Alt 4", "packs and prices"),
    ("S", "its supplier"),
    ("F6", "a container was opened"),
    ("Esc", "back"),
)
COUNT_KEYS = (
    ("0–9", "what stands there"),
    ("=", "just as the book says"),
    ("↵", "next supply"),
    ("F4", "end counting"),
)
IDLE_KEYS = (
    ("W", "write off what is past its life"),
    ("U", "use it up, don’t reorder"),
    ("O", "open the supply"),
    ("D", "all again"),
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
            ("W", "write off what is past its life"),
        ),
    ),
    (
        "Counting",
        (
            ("F4", "begin or end"),
            *COUNT_KEYS[:3],
            ("/", "only a part of the shelf"),
            ("F7", "print the count sheet"),
        ),
    ),
    ("A delivery", (*RECEIVE_KEYS, *SEND_KEYS[:3])),
    (
        "A supply",
        (
            ("Esc", "back to the shelf"),
            ("Ins", "add a supply"),
            ("S", "its supplier"),
            ("F6", "a container was opened"),
            ("F7", "print the label of a bottle"),
            ("X", "throw away what lies opened"),
            ("W", "write off what is past its life"),
            ("F2", "open its data sheet"),
            ("F3", "choose its data sheet"),
        ),
    ),
)

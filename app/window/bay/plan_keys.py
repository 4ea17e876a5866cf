"""The keys of the plan: as it stands, and while a job is moved."""

from __future__ import annotations

from app.window.paper.notes import Keys

REST_KEYS: Keys = (
    ("← →", "move it by half an hour"),
    ("⇧ ← →", "by a day"),
    ("W", "try what would keep it"),
    ("↵", "open the job"),
    ("PgDn", "later weeks"),
    ("L", "it came late"),
    ("N", "it did not come"),
    ("H", "the weather of its day"),
    ("F2", "the week, for the wall"),
    ("Ins", "book a job"),
)
MOVE_KEYS: Keys = (
    ("← →", "by half an hour"),
    ("⇧ ← →", "by a day"),
    ("W", "try what would keep it"),
    ("A", "who asked for it"),
    ("Ctrl ↵", "keep the move"),
    ("Esc", "put it back"),
)

"""Days of the week as people write them: `Monday, Thursday`, `mon thu`, `weekdays`."""

from __future__ import annotations

from collections.abc import Collection

from app.errors import Mendable

NAMES = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_WORDS = {"weekdays": (0, 1, 2, 3, 4), "daily": tuple(range(7)), "any": (), "any day": ()}


def read_weekdays(typed: str) -> tuple[int, ...]:
    """Weekday numbers, Monday 0, in order; empty for any day. `Mendable` names what is none."""
    plain = typed.strip().casefold()
    if plain in _WORDS:
        return _WORDS[plain]
    found = set()
    for word in plain.replace(",", " ").replace(";", " ").replace(" and ", " ").split():
        if word.isdecimal() and int(word) < 7:
            found.add(int(word))
            continue
        stem = word.rstrip(".").removesuffix("s") if len(word) > 4 else word.rstrip(".")
        fits = [at for at, name in enumerate(NAMES) if name.casefold().startswith(stem)]
        if len(fits) != 1:
            raise Mendable(f"“{word[:20]}” is no day of the week; write Monday, Thursday.")
        found.add(fits[0])
    return tuple(sorted(found))


def weekdays_text(days: Collection[int]) -> str:
    """`Monday, Thursday`; nothing for any day."""
    return ", ".join(NAMES[day] for day in sorted(days))

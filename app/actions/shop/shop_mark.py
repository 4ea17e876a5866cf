"""The shop's own mark, which stands on estimates, invoices, credit notes and statements.

It is kept in the book as one small PNG, so that it goes with every backup and export.
"""

from __future__ import annotations

from base64 import b64encode

from app.actions.desk.desk import Changed, Desk
from app.actions.shop.shop_settings import change_settings
from app.errors import Mendable

MOST_BYTES = 24_000  # in base 64 it stands in one cell of a full export, of at most 32,767 letters
_PNG = b"\x89PNG\r\n\x1a\n"


def set_mark(desk: Desk, png: bytes) -> Changed:
    """Keep a mark, given as a PNG made anew from its picture alone."""
    if not png.startswith(_PNG):
        raise Mendable("The shop’s mark is no picture; choose a PNG or JPEG file.")
    if len(png) > MOST_BYTES:
        raise Mendable(
            f"The mark takes {len(png):,} bytes, of {MOST_BYTES:,} at most; choose a simpler one."
        )
    return change_settings(desk, shop_mark=b64encode(png).decode("ascii"))


def take_mark_away(desk: Desk) -> Changed:
    """Papers have no mark any more."""
    return change_settings(desk, shop_mark="")

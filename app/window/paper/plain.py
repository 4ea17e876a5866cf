"""Text that Qt shows as it was typed, where it would else guess whether it is rich text.

A tooltip is read as rich text wherever it looks like it: a customer whose name holds an
`<img src=…>` would have a file loaded. Whatever takes text of either kind is given its text here.
"""

from __future__ import annotations

from PySide6.QtCore import QPoint, QRect
from PySide6.QtGui import Qt
from PySide6.QtWidgets import QToolTip, QWidget


def plain(text: str) -> str:
    """The text, marked up so that it shows as it is where it would be taken for rich text."""
    return Qt.convertFromPlainText(text) if Qt.mightBeRichText(text) else text


def set_tip(widget: QWidget, text: str) -> None:
    """What is said where the mouse rests on a widget."""
    widget.setToolTip(plain(text))


def show_tip(at: QPoint, text: str, widget: QWidget, box: QRect) -> None:
    """Say something at a point while the mouse stays in a part of a widget; "" hides it."""
    if text:
        QToolTip.showText(at, plain(text), widget, box)
    else:
        QToolTip.hideText()

"""A card whose text scrolls in a low window, while what ends it stays in sight."""

from __future__ import annotations

from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QScrollArea, QVBoxLayout, QWidget

__all__ = ["scrolling_over"]


def scrolling_over(card: QWidget, inside: QWidget, foot: QVBoxLayout) -> QScrollArea:
    """Lay a card out: `inside` scrolls where the card is too low for it, and `foot` stays below."""
    foot.setContentsMargins(18, 8, 18, 14)
    foot.setSpacing(8)
    scroll = QScrollArea(card)
    scroll.setWidgetResizable(True)
    scroll.setWidget(inside)
    scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    scroll.setStyleSheet(
        "QScrollArea, QScrollArea > QWidget > QWidget { background: transparent; border: none; }"
    )
    whole = QVBoxLayout(card)
    whole.setContentsMargins(0, 0, 0, 0)
    whole.setSpacing(0)
    whole.addWidget(scroll, 1)
    whole.addLayout(foot)
    return scroll

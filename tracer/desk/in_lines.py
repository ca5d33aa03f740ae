"""A text for a button in as many lines as its room asks for; a button wraps nothing by itself."""

from __future__ import annotations

from PyQt6.QtGui import QFontMetrics

__all__ = ["in_lines"]


def in_lines(text: str, metrics: QFontMetrics, room: int) -> str:
    """Return `text` in lines of at most `room` px each, parted at an arrow rather than elsewhere.

    A button draws its text as it is; a word wider than the room stays whole.
    """
    if metrics.horizontalAdvance(text) <= room:
        return text
    lines = [""]
    for piece in text.replace(" →", "\n→", 1).splitlines():
        lines.append("")
        for word in piece.split(" "):
            longer = f"{lines[-1]} {word}".lstrip()
            if lines[-1] and metrics.horizontalAdvance(longer) > room:
                lines.append(word)
            else:
                lines[-1] = longer
    return "\n".join(lines[1:])

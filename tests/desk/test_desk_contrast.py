"""Lettering and edges stand out by day and by night.

The figures are those of the Web Content Accessibility Guidelines 2.2 (W3C Recommendation, 2023): relative
luminance and contrast ratio as defined there, 4.5:1 for text (success criterion 1.4.3), 3:1 for large text
and for the edges by which a field or button is known (1.4.3, 1.4.11).
"""

from __future__ import annotations

import pytest
from PyQt6.QtGui import QColor

from tracer.desk.colours import DAY, NIGHT, Look, as_palette

TEXT, LARGE, EDGE = 4.5, 3.0, 3.0

LETTERING = [
    *(
        (lettering, ground)
        for lettering in ("text", "faint")
        for ground in ("card", "paper", "bench", "glass")
    ),
    *((lettering, "glass") for lettering in ("glass_text", "glass_faint", "passed", "failed", "waiting")),
    *((lettering, "paper") for lettering in ("glass_text", "glass_faint", "ink", "pencil", "pen")),
    *((lettering, "card") for lettering in ("pen", "failed", "waiting")),
]
EDGES = [("edge", "card"), ("edge", "paper"), ("edge", "glass"), ("needle", "glass"), ("plus", "glass")]


def luminance(colour: QColor) -> float:
    """Return the relative luminance as WCAG 2.2 defines it."""
    parts = [
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in colour.getRgbF()
    ]
    return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2]


def contrast(one: QColor, other: QColor) -> float:
    """Return the contrast ratio as WCAG 2.2 defines it."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def test_the_ratio_is_that_of_the_guidelines() -> None:
    """Black on white is 21:1, and a colour on itself 1:1, as WCAG 2.2 says."""
    black, white = QColor("#000000"), QColor("#ffffff")
    assert contrast(black, white) == pytest.approx(21)
    assert contrast(white, white) == pytest.approx(1)
    assert contrast(QColor("#777777"), white) == pytest.approx(4.48, abs=0.01)


@pytest.mark.parametrize("look", [DAY, NIGHT], ids=["day", "night"])
@pytest.mark.parametrize(("lettering", "ground"), LETTERING)
def test_lettering_can_be_read(look: Look, lettering: str, ground: str) -> None:
    assert contrast(getattr(look, lettering), getattr(look, ground)) >= TEXT


@pytest.mark.parametrize("look", [DAY, NIGHT], ids=["day", "night"])
@pytest.mark.parametrize(("edge", "ground"), EDGES)
def test_edges_can_be_seen(look: Look, edge: str, ground: str) -> None:
    assert contrast(getattr(look, edge), getattr(look, ground)) >= EDGE


@pytest.mark.parametrize("look", [DAY, NIGHT], ids=["day", "night"])
def test_what_is_chosen_can_be_read(look: Look) -> None:
    palette = as_palette(look)
    assert contrast(palette.highlightedText().color(), palette.highlight().color()) >= TEXT

"""The window's own colours by day and by night, warm as old paper. Tints have theirs in the palette file."""

from __future__ import annotations

from dataclasses import dataclass

from PyQt6.QtCore import Qt
from PyQt6.QtGui import QColor, QGuiApplication, QPalette

__all__ = ["DAY", "NIGHT", "Look", "as_palette", "system_look"]


@dataclass(frozen=True, slots=True)
class Look:
    """One set of colours.

    Attributes
    ----------
    night : bool
        Whether light ink lies on dark paper.
    bench, paper, ink, edge : QColor
        Round the sheet, the sheet, what is printed on it, its edge.
    glass, glass_text, glass_faint, glass_line : QColor
        The reading strip: ground, lettering, lesser lettering, rules.
    card, text, faint, line : QColor
        Drawers and cards: ground, lettering, lesser lettering, rules.
    marker, marker_core : QColor
        The broad marker over a flooded conductor and the line in its middle.
    pencil : QColor
        What the program proposes; a person's own hand is in `pen`.
    pen : QColor
        What a person confirmed.
    plus, minus : QColor
        The two leads.
    needle : QColor
        The reading on the dial.
    band : QColor
        The expected stretch of the dial.
    passed, failed, waiting : QColor
        Verdicts.
    """

    night: bool
    bench: QColor
    paper: QColor
    ink: QColor
    edge: QColor
    glass: QColor
    glass_text: QColor
    glass_faint: QColor
    glass_line: QColor
    card: QColor
    text: QColor
    faint: QColor
    line: QColor
    marker: QColor
    marker_core: QColor
    pencil: QColor
    pen: QColor
    plus: QColor
    minus: QColor
    needle: QColor
    band: QColor
    passed: QColor
    failed: QColor
    waiting: QColor


DAY = Look(
    night=False,
    bench=QColor("#d8cbb2"),
    paper=QColor("#fbf5e6"),
    ink=QColor("#211c18"),
    edge=QColor("#b9a988"),
    glass=QColor("#f3e8cd"),
    glass_text=QColor("#2b2119"),
    glass_faint=QColor("#7d6c55"),
    glass_line=QColor("#cdb98f"),
    card=QColor("#f8f1e1"),
    text=QColor("#2b2119"),
    faint=QColor("#76685a"),
    line=QColor("#ddcfb3"),
    marker=QColor(255, 213, 61, 150),
    marker_core=QColor("#b3541e"),
    pencil=QColor("#5b6d86"),
    pen=QColor("#27496d"),
    plus=QColor("#b8322a"),
    minus=QColor("#1d1a18"),
    needle=QColor("#b8322a"),
    band=QColor("#e3b54a"),
    passed=QColor("#2f6b3a"),
    failed=QColor("#b02a1f"),
    waiting=QColor("#8a5a00"),
)

NIGHT = Look(
    night=True,
    bench=QColor("#16120f"),
    paper=QColor("#2a241f"),
    ink=QColor("#eadfc8"),
    edge=QColor("#4a3f34"),
    glass=QColor("#1d1713"),
    glass_text=QColor("#f5dfb0"),
    glass_faint=QColor("#b39a72"),
    glass_line=QColor("#57452f"),
    card=QColor("#241e19"),
    text=QColor("#efe4cf"),
    faint=QColor("#ab9b85"),
    line=QColor("#40362c"),
    marker=QColor(255, 190, 60, 120),
    marker_core=QColor("#ffd27a"),
    pencil=QColor("#9db2d1"),
    pen=QColor("#8fc1f0"),
    plus=QColor("#f0685b"),
    minus=QColor("#f4ead6"),
    needle=QColor("#ff7a66"),
    band=QColor("#c48a2a"),
    passed=QColor("#8fd49a"),
    failed=QColor("#ff8b7c"),
    waiting=QColor("#f0c060"),
)


def system_look() -> Look:
    """Return the colours that go with the system's palette."""
    hints = QGuiApplication.styleHints()
    scheme = hints.colorScheme() if hints is not None else Qt.ColorScheme.Unknown
    if scheme == Qt.ColorScheme.Unknown:
        window = QGuiApplication.palette().color(QPalette.ColorRole.Window)
        return NIGHT if window.lightness() < 128 else DAY
    return NIGHT if scheme == Qt.ColorScheme.Dark else DAY


def as_palette(look: Look) -> QPalette:
    """Return a widget palette in the colours of `look`."""
    palette = QPalette()
    role = QPalette.ColorRole
    for which, colour in (
        (role.Window, look.card),
        (role.WindowText, look.text),
        (role.Base, look.paper),
        (role.AlternateBase, look.card),
        (role.Text, look.text),
        (role.Button, look.card),
        (role.ButtonText, look.text),
        (role.PlaceholderText, look.faint),
        (role.Highlight, look.band),
        (role.HighlightedText, look.ink if not look.night else look.bench),
        (role.ToolTipBase, look.glass),
        (role.ToolTipText, look.glass_text),
        (role.Link, look.pen),
        (role.Mid, look.line),
        (role.Dark, look.edge),
        (role.Light, look.paper),
        (role.Midlight, look.line),
        (role.Shadow, look.edge),
    ):
        palette.setColor(which, colour)
    for which in (role.WindowText, role.Text, role.ButtonText):
        palette.setColor(QPalette.ColorGroup.Disabled, which, look.faint)
    return palette

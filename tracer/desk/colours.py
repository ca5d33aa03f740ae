"""The window's own colours by day and by night, warm as old paper. Tints have theirs in the palette file."""

from __future__ import annotations

from dataclasses import dataclass

from PyQt6.QtCore import Qt
from PyQt6.QtGui import QColor, QGuiApplication, QPalette

from tracer.resources import asset

__all__ = ["DAY", "NIGHT", "Look", "as_palette", "controls", "menu_palette", "system_look"]


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
    edge=QColor("#8d7a58"),
    glass=QColor("#f3e8cd"),
    glass_text=QColor("#2b2119"),
    glass_faint=QColor("#65553f"),
    glass_line=QColor("#cdb98f"),
    card=QColor("#f8f1e1"),
    text=QColor("#2b2119"),
    faint=QColor("#5b4f42"),
    line=QColor("#ddcfb3"),
    marker=QColor(250, 232, 40, 165),
    marker_core=QColor("#5d4413"),
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
    edge=QColor("#85745f"),
    glass=QColor("#1d1713"),
    glass_text=QColor("#f5dfb0"),
    glass_faint=QColor("#b39a72"),
    glass_line=QColor("#57452f"),
    card=QColor("#241e19"),
    text=QColor("#efe4cf"),
    faint=QColor("#ab9b85"),
    line=QColor("#40362c"),
    marker=QColor(255, 226, 80, 105),
    marker_core=QColor("#fff3b0"),
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


def menu_palette(look: Look) -> QPalette:
    """Return a palette for menus: Qt's own style draws their ground lighter than the palette says."""
    palette = as_palette(look)
    palette.setColor(QPalette.ColorRole.Base, look.card.darker(108))
    return palette


def controls(look: Look, scope: str) -> str:
    """Return the style of fields, buttons and ticks inside the widget named `scope`."""
    field = f"background: {look.paper.name()}; color: {look.text.name()}"
    time = "night" if look.night else "day"
    arrow, tick = (asset(f"icons/{name}_{time}.svg").as_posix() for name in ("choose", "tick"))
    edge, lit = look.edge.name(), look.band.name()
    on = look.bench.name() if look.night else look.ink.name()
    return f"""
        {scope} QLineEdit, {scope} QComboBox {{ {field}; border: 1px solid {edge};
            placeholder-text-color: {look.faint.name()}; border-radius: 3px; padding: 3px 6px;
            min-width: 30px; min-height: 1.4em; }}
        {scope} QLineEdit:focus, {scope} QComboBox:focus {{ border: 2px solid {lit}; padding: 2px 5px; }}
        {scope} QComboBox::drop-down {{ border: none; width: 22px; }}
        {scope} QComboBox::down-arrow {{ image: url("{arrow}"); width: 12px; height: 12px; }}
        {scope} QComboBox QAbstractItemView {{ {field}; selection-background-color: {lit};
            selection-color: {on}; }}
        {scope} QPushButton {{ background: {look.glass.name()}; color: {look.text.name()};
            border: 1px solid {edge}; border-radius: 3px; padding: 4px 10px; min-width: 16px;
            min-height: 1.3em; }}
        {scope} QPushButton:hover, {scope} QPushButton:focus {{ border-color: {lit}; }}
        {scope} QPushButton:checked {{ background: {lit}; color: {on}; }}
        {scope} QPushButton:disabled {{ color: {look.faint.name()}; border-color: {look.line.name()}; }}
        {scope} QPushButton:flat {{ background: transparent; border: none; color: {look.pen.name()};
            padding: 2px 0; }}
        {scope} QCheckBox {{ spacing: 7px; padding: 2px; }}
        {scope} QCheckBox:focus {{ background: {look.line.name()}; border-radius: 3px; }}
        {scope} QCheckBox::indicator {{ width: 14px; height: 14px; border: 1px solid {edge};
            border-radius: 3px; background: {look.paper.name()}; }}
        {scope} QCheckBox::indicator:checked {{ background: {lit}; image: url("{tick}"); }}
        {scope} QCheckBox::indicator:disabled {{ background: {look.line.name()}; }}
        {scope} QHeaderView {{ background: {look.glass.name()}; border: none; }}
        {scope} QHeaderView::section {{ background: {look.glass.name()}; color: {look.text.name()};
            border: none; border-bottom: 1px solid {edge}; padding: 3px 4px; }}
        {scope} QTableWidget {{ background: {look.paper.name()}; color: {look.text.name()};
            border: 1px solid {edge}; }}
        {scope} QTableWidget::item:selected {{ background: {lit}; color: {on}; }}
        {scope} QScrollBar:vertical {{ background: transparent; width: 10px; margin: 0; }}
        {scope} QScrollBar::handle:vertical {{ background: {edge}; border-radius: 4px; min-height: 28px; }}
        {scope} QScrollBar::add-line, {scope} QScrollBar::sub-line {{ height: 0; }}
        {scope} QScrollBar::add-page, {scope} QScrollBar::sub-page {{ background: transparent; }}
        {scope} QSlider::groove:horizontal {{ height: 3px; background: {look.line.name()}; }}
        {scope} QSlider::handle:horizontal {{ width: 10px; margin: -7px 0; border-radius: 3px;
            background: {edge}; }}
        {scope} QSlider::handle:horizontal:enabled {{ background: {lit}; }}"""

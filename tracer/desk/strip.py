"""The reading strip along the bottom: two leads, the dial, what the meter shows, the word for it."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from PyQt6.QtCore import QEvent, QObject, QStringListModel, Qt, pyqtSignal
from PyQt6.QtGui import QFont, QKeyEvent, QKeySequence, QPainter, QPaintEvent, QPen, QResizeEvent
from PyQt6.QtWidgets import (
    QCompleter,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QSizePolicy,
    QWidget,
)

from tracer.circuit.results import Expectation, NextReading, Open, Verdict
from tracer.circuit.values import parse_reading
from tracer.desk import words
from tracer.desk.colours import Look
from tracer.desk.dial import Dial
from tracer.desk.field import Field
from tracer.desk.in_lines import in_lines
from tracer.errors import TracerError

__all__ = ["ReadingStrip"]

ROOMY, TALL = 800, 900
"""Heights of a window, px: from the first on the type has its usual size, from the second on it grows."""

LEFT, RIGHT = 11, 8
"""How the columns share the width."""

SIDE, BETWEEN = 24, 26
"""Room at either side and between the columns, px."""

LONG_S = 3.0
"""From how many seconds on the time to settle is said in large type."""

SMALLEST, LARGEST = 0.55, 1.4
"""How small the type gets in a low window, and how large in a tall one."""


class ReadingStrip(QWidget):
    """Very large type for eyes two metres away. It shows what it is told and sends what was typed.

    Signals: `lead_typed` (0 or 1, point), `lead_wanted` (0 or 1: the next press on the sheet goes there),
    `entered` (the reading's text), `stepped` (1 or -1: another cause), `swapped`, `next_taken`.
    """

    lead_typed = pyqtSignal(int, str)
    lead_wanted = pyqtSignal(int)
    entered = pyqtSignal(str)
    swapped = pyqtSignal()
    next_taken = pyqtSignal()
    stepped = pyqtSignal(int)
    keys_wanted = pyqtSignal()

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("strip")
        self.magnify = 1.0
        self._room = 1.0
        self._offered = ""
        self._names = QStringListModel(self)
        self.leads = (self._lead(0, words.LEAD_PLUS), self._lead(1, words.LEAD_MINUS))
        self.swap = QPushButton("⇅", self)
        self.swap.setAccessibleName(words.SWAP)
        self.swap.setToolTip(words.SWAP)
        self.swap.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.swap.clicked.connect(self.swapped)
        self.dial = Dial(look, self)
        self.low, self.middle, self.high = (QLabel(self) for _ in range(3))
        self.setting = QLabel(self)
        self.setting.setWordWrap(True)
        self.path = QLabel(words.NO_PAIR, self)
        self.path.setWordWrap(True)
        self.entry = Field(self)
        self.entry.setPlaceholderText(words.ENTRY_HINT)
        self.entry.setAccessibleName(words.ENTRY)
        self.entry.setAccessibleDescription(words.ENTRY_DESCRIPTION)
        self.entry.setToolTip(words.ENTRY_DESCRIPTION)
        self.entry.returnPressed.connect(self._enter)
        self.entry.textEdited.connect(self._try)
        self.entry.installEventFilter(self)
        self.verdict, self.settle = QLabel(self), QLabel(self)
        self.settle.setObjectName("settle")
        self.next = QPushButton(self)
        self.next.setFlat(True)
        self.next.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.next.clicked.connect(self.next_taken)
        self.next.setObjectName("next")
        self.next.setMinimumWidth(1)  # `_offer` breaks its text to the room there is
        self._lay_out()
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        self.restyle(look)
        self.show_expectation(None)
        self.show_next(None)

    def _lead(self, lead: int, name: str) -> QLineEdit:
        edit = Field(self)
        edit.setObjectName(("plus", "minus")[lead])
        edit.setPlaceholderText(words.LEAD_PLACES[lead])
        edit.setToolTip(words.LEAD_HINT)
        edit.setAccessibleName(name)
        completer = QCompleter(self._names, edit)
        completer.setFilterMode(Qt.MatchFlag.MatchContains)
        completer.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
        edit.setCompleter(completer)
        completer.activated.connect(lambda text, lead=lead: self.lead_typed.emit(lead, text))
        edit.installEventFilter(self)
        edit.returnPressed.connect(lambda: self.lead_typed.emit(lead, edit.text().strip()))
        edit.textEdited.connect(lambda _, lead=lead: self.lead_wanted.emit(lead))
        return edit

    def _lay_out(self) -> None:
        figures = QHBoxLayout()
        figures.setSpacing(18)
        figures.addWidget(self.low, 1, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignBottom)
        figures.addWidget(self.middle, 0, Qt.AlignmentFlag.AlignBottom)
        figures.addWidget(self.high, 1, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignBottom)
        grid = QGridLayout(self)
        grid.setContentsMargins(SIDE, 12, SIDE, 8)
        grid.setHorizontalSpacing(BETWEEN)
        grid.setVerticalSpacing(2)
        places = QHBoxLayout()
        places.setSpacing(8)
        places.addWidget(self.leads[0], 1)
        places.addWidget(self.swap)
        places.addWidget(self.leads[1], 1)
        grid.addLayout(places, 0, 0)
        grid.addWidget(self.setting, 0, 1)
        grid.addLayout(figures, 1, 0)
        grid.addWidget(self.dial, 2, 0)
        grid.addWidget(self.entry, 1, 1)
        grid.addWidget(self.verdict, 2, 1, Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignVCenter)
        grid.addWidget(self.settle, 2, 1, Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignVCenter)
        grid.addWidget(self.path, 3, 0)
        grid.addWidget(self.next, 3, 1, Qt.AlignmentFlag.AlignRight)
        grid.setColumnStretch(0, LEFT)
        grid.setColumnStretch(1, RIGHT)

    # -- what it shows -------------------------------------------------------------------------------

    def restyle(self, look: Look) -> None:
        """Draw in other colours, with type in proportion to the system's own."""
        self.look = look
        self.dial.restyle(look)
        base = self.font().pointSizeF() * self.magnify * self._room
        for widget, size in (
            (self.leads[0], 2.5),
            (self.leads[1], 2.5),
            (self.setting, 1.6),
            (self.low, 2.4),
            (self.middle, 4.2),
            (self.high, 2.4),
            (self.entry, 3.2),
            (self.verdict, 4.0),
            (self.settle, 2.0),
            (self.path, 1.45),
            (self.next, 1.5),
            (self.swap, 1.5),
        ):
            font = QFont(self.font())
            font.setPointSizeF(max(base * size, self.font().pointSizeF()))
            font.setBold(widget in (self.middle, self.verdict, self.entry, *self.leads))
            widget.setFont(font)
        self.setStyleSheet(_style(look))
        self._offer(self._offered)
        self.update()

    def enlarge(self, times: float) -> None:
        """Make all the type larger or smaller; it stays between 0.7 and 2.2 times the usual."""
        self.magnify = min(2.2, max(0.7, self.magnify * times))
        self._set_type()

    def fit_into(self, height: int) -> None:
        """Take smaller type in a window so low that the sheet would have no room, larger in a tall one."""
        room = min(LARGEST, max(SMALLEST, min(1.0, height / ROOMY), height / TALL))
        if abs(room - self._room) > 0.02:
            self._room = room
            self._set_type()

    def _set_type(self) -> None:
        font = QFont(self.font())
        font.setPointSizeF(font.pointSizeF() * (0.5 + 0.5 * self.magnify * self._room))
        self.dial.setFont(font)
        self.dial.updateGeometry()
        self.restyle(self.look)

    def show_points(self, names: Sequence[str]) -> None:
        """Offer `names` while a lead's point is typed."""
        self._names.setStringList(list(names))

    def show_setting(self, pieces: Sequence[tuple[str, bool]]) -> None:
        """Show how the switches stand, and what is out or lifted; what is to be turned now stands out."""
        said = (f"<b><u>{escape(text)}</u></b>" if is_new else escape(text) for text, is_new in pieces)
        self.setting.setText(" · ".join(said))

    def show_leads(self, leads: tuple[str, str], awaiting: int) -> None:
        """Show where the leads are, as it is said; the one at `awaiting` takes the next press."""
        for number, edit in enumerate(self.leads):
            if edit.text() != leads[number] and not (edit.hasFocus() and edit.isModified()):
                edit.setText(leads[number])
            edit.setProperty("awaiting", number == awaiting)
            style = edit.style()
            if style is not None:
                style.unpolish(edit)
                style.polish(edit)

    def show_expectation(
        self, expectation: Expectation | None, text: str = words.NO_PAIR, blocked: str = ""
    ) -> None:
        """Show what the meter should show; None shows `text` in its place.

        `blocked` tells why the pair is open, where it is.
        """
        self.verdict.setText("")
        self.settle.setText("")
        self.entry.setPlaceholderText(words.ENTRY_HINT)
        if expectation is None:
            self.dial.expect(None, None, None, False)
            for label in (self.low, self.middle, self.high):
                label.setText("")
            self.path.setText(text)
            return
        is_open = expectation.open is Open.ALWAYS
        self.dial.expect(expectation.low, expectation.expected, expectation.high, is_open)
        low, middle, high = words.figures(expectation.low, expectation.expected, expectation.high, is_open)
        for label, figure in ((self.low, low), (self.middle, middle), (self.high, high)):
            label.setText(figure)
        self.path.setText(_path(expectation, blocked))
        if expectation.settles_s >= LONG_S:
            # Where the word for the reading will stand: large enough to be read from the set.
            self.settle.setText(words.SETTLE_FIRST.format(seconds=words.seconds(expectation.settles_s)))

    def show_verdict(self, verdict: Verdict, ohms: float, shown: str) -> None:
        """Show the word for a reading and let the pointer land on it; `shown` stays where it was typed."""
        self.dial.show_reading(ohms)
        self.settle.setText("")
        self.verdict.setText(words.VERDICTS[verdict])
        colour = {
            Verdict.PASS: self.look.passed,
            Verdict.HIGH: self.look.failed,
            Verdict.LOW: self.look.failed,
        }
        self.verdict.setStyleSheet(f"color: {colour.get(verdict, self.look.waiting).name()}")
        self.entry.setText("")
        self.entry.setPlaceholderText(shown)

    def show_next(
        self, reading: NextReading | None, said: tuple[str, str] = ("", ""), change: str = "", text: str = ""
    ) -> None:
        """Offer the next reading, between the points `said`; `change` tells what to turn for it.

        `text` stands when there is none.
        """
        self.next.setVisible(reading is not None or bool(text))
        self.next.setEnabled(reading is not None)
        if reading is None:
            self._offer(text)
            return
        _, middle, _ = words.figures(reading.low, reading.expected, reading.high, reading.low is None)
        offer = words.NEXT_READING.format(start=said[0], end=said[1], figure=middle)
        self._offer(" ".join(piece for piece in (words.NEXT, offer, change) if piece))
        self.next.setToolTip(words.NEXT_HOW + words.NEXT_CARRIES.format(count=len(reading.carries)))

    def _offer(self, text: str) -> None:
        """Write what comes next in as many lines as its column asks for: no window has to be wider for it."""
        self._offered = text
        share = RIGHT / (LEFT + RIGHT)
        room = round(share * (self.width() - 2 * SIDE - BETWEEN)) - 16
        self.next.setText(in_lines(text, self.next.fontMetrics(), room))

    def say(self, text: str) -> None:
        """Say a sentence about what was typed, and let the next keys write over it."""
        self.path.setText(text)
        self.entry.selectAll()

    def _enter(self) -> None:
        self.entered.emit(self.entry.text().strip())

    def _try(self, text: str) -> None:
        """Let the pointer follow what is being typed, as far as it is a reading."""
        self.verdict.setText("")
        try:
            ohms, _ = parse_reading(text)
        except TracerError:
            self.dial.show_reading(None)
        else:
            self.dial.show_reading(ohms)

    def eventFilter(self, a0: QObject | None, a1: QEvent | None) -> bool:
        """Choose among causes with the arrows, and let undo through where nothing was typed.

        A field of one line keeps undo to itself, even when it is empty; here it takes back the last edit.
        """
        if isinstance(a1, QKeyEvent) and a1.type() == QEvent.Type.ShortcutOverride:
            undo = a1.matches(QKeySequence.StandardKey.Undo) or a1.matches(QKeySequence.StandardKey.Redo)
            typed = isinstance(a0, QLineEdit) and a0.isModified() and bool(a0.text())
            if undo and not typed:
                a1.ignore()
                return True
        if a0 is not self.entry:
            return super().eventFilter(a0, a1)
        if isinstance(a1, QKeyEvent) and a1.type() == QEvent.Type.KeyPress and a1.text() == "?":
            self.keys_wanted.emit()
            return True
        if isinstance(a1, QKeyEvent) and a1.type() == QEvent.Type.KeyPress:
            step = {Qt.Key.Key_Down: 1, Qt.Key.Key_Up: -1}.get(Qt.Key(a1.key())) if _is_arrow(a1) else None
            if step is not None:
                self.stepped.emit(step)
                return True
        return super().eventFilter(a0, a1)

    def resizeEvent(self, a0: QResizeEvent | None) -> None:
        """Write what comes next anew where there is more or less room for it."""
        self._offer(self._offered)
        super().resizeEvent(a0)

    def paintEvent(self, a0: QPaintEvent | None) -> None:
        """Draw the ground and the rule along the top."""
        painter = QPainter(self)
        painter.fillRect(self.rect(), self.look.glass)
        painter.setPen(QPen(self.look.glass_line, 2))
        painter.drawLine(0, 1, self.width(), 1)
        painter.end()


def _is_arrow(event: QKeyEvent) -> bool:
    return event.key() in (Qt.Key.Key_Down.value, Qt.Key.Key_Up.value)


def _path(expectation: Expectation, blocked: str) -> str:
    pieces = [words.path_in_words(tuple((s.part, s.share) for s in expectation.through))]
    if expectation.open is Open.ALWAYS:
        pieces = [words.EXPECT_OPEN_LONG, blocked]
    settles = words.SETTLES.format(seconds=words.seconds(expectation.settles_s))
    pieces.append(settles if expectation.settles_s >= 0.5 else words.SETTLES_AT_ONCE)
    pieces.extend(expectation.notes[:2])
    return " · ".join(piece for piece in pieces if piece)


def _style(look: Look) -> str:
    field = f"background: {look.paper.name()}; color: {look.glass_text.name()};"
    return f"""
        #strip QLabel {{ color: {look.glass_text.name()}; }}
        #strip #settle {{ color: {look.waiting.name()}; }}
        #strip QLineEdit {{ {field} border: 1px solid {look.edge.name()}; border-radius: 4px;
            padding: 3px 10px; placeholder-text-color: {look.glass_faint.name()}; }}
        #strip QLineEdit:focus {{ border: 2px solid {look.band.darker(115).name()}; padding: 2px 9px; }}
        #strip QLineEdit:disabled {{ background: transparent; color: {look.glass_faint.name()}; }}
        #strip #plus {{ border-left: 9px solid {look.plus.name()}; }}
        #strip #minus {{ border-left: 9px solid {look.minus.name()}; }}
        #strip #plus[awaiting="true"], #strip #minus[awaiting="true"] {{
            border-bottom: 3px solid {look.band.name()}; }}
        #strip QPushButton {{ color: {look.glass_faint.name()}; border: none; padding: 2px 6px; }}
        #strip QPushButton:hover {{ color: {look.glass_text.name()}; }}
        #strip #next {{ color: {look.glass_text.name()}; text-align: right; text-decoration: underline; }}
        #strip #next:disabled {{ color: {look.glass_faint.name()}; text-decoration: none; }}
    """

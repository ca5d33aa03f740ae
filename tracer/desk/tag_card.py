"""The card on which a part is confirmed or changed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from PyQt6.QtCore import QEvent, QObject, QSize, Qt, pyqtSignal
from PyQt6.QtGui import QFont, QKeyEvent
from PyQt6.QtWidgets import (
    QComboBox,
    QFormLayout,
    QFrame,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from tracer.circuit.kinds import Kind, kinds
from tracer.desk import words
from tracer.desk.asking import SURE, has_ohms, has_value, lacks_value, may_grow, read_in_words, title_of
from tracer.desk.colours import Look, controls
from tracer.desk.draft import Draft, kind_of_reference, named, usual_names, whole_name
from tracer.desk.end_field import EndField
from tracer.desk.end_rows import EndRows
from tracer.desk.field import Field
from tracer.desk.pencil_field import PencilField
from tracer.desk.pinning import ends_hint
from tracer.desk.scrolling import scrolling_over
from tracer.job.records import TagTerminal, ValueSource

__all__ = ["TagCard"]

ADD = "+"
"""The key that adds an end while one is named."""


class TagCard(QFrame):
    """Asks kind, reference, value, tolerance and the names of the ends; Enter confirms, Esc leaves.

    Signals: `confirmed` and `kind_chosen` carry what is asked about; `removed` and `left` close it;
    `resized` tells that it needs another size, `retouched` that the sheet shows its ends otherwise.
    """

    confirmed = pyqtSignal(object)
    kind_chosen = pyqtSignal(str)
    removed = pyqtSignal()
    left = pyqtSignal()
    resized = pyqtSignal()
    retouched = pyqtSignal()

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("card")
        self.setFrameShape(QFrame.Shape.NoFrame)
        self._draft: Draft | None = None
        self._kind_given = False
        self._conductor_of: Callable[[TagTerminal], int | None] = lambda _: None
        self.title, self.read, self.hint, self.keys = (QLabel(self) for _ in range(4))
        self.kind = QComboBox(self)
        self.kind.addItems(list(kinds()))
        self.kind.setEditable(True)
        self.kind.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
        self.kind.textActivated.connect(self._choose_kind)
        self.reference = PencilField(self)
        self.value = PencilField(self)
        self.tolerance = Field(self)
        self.fitted = Field(self)
        self.fitted.setPlaceholderText(words.PART_FITTED_HINT)
        self.source = QComboBox(self)
        self.source.setAccessibleName(words.PART_SOURCE)
        for each in ValueSource:
            self.source.addItem(words.VALUE_SOURCES[each], each)
        self._fitting = QWidget(self)
        self.options = Field(self)
        self.options.setPlaceholderText(words.PART_OPTIONS_HINT)
        self._rows = EndRows(self, self)
        self._rows.typed.connect(self.retouched)
        self._rows.named.connect(self._write_out)
        self._naming: int | None = None
        self._inside, self._foot = QWidget(self), QVBoxLayout()
        self._form = QFormLayout()
        self._form.setLabelAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        self.note = QLabel(self)
        self.note.setWordWrap(True)
        self.note.setObjectName("wrong")
        self.confirm = QPushButton(words.PART_CONFIRM, self)
        self.remove = QPushButton(words.PART_DELETE, self)
        self.add_end = QPushButton(words.PART_ADD_TERMINAL, self)
        self.leave = QPushButton(words.PART_LEAVE, self)
        self._lay_out()
        self.restyle(look)
        self.hide()

    def _lay_out(self) -> None:
        for text, widget in (
            (words.PART_KIND, self.kind),
            (words.PART_REFERENCE, self.reference),
            (words.PART_VALUE, self.value),
            (words.PART_TOLERANCE, self.tolerance),
            (words.PART_FITTED, self.fitted),
            (words.PART_OPTIONS, self.options),
        ):
            said = QLabel(text, self)
            said.setMinimumHeight(widget.sizeHint().height() + 6)
            self._form.addRow(said, self._fitting if widget is self.fitted else widget)
            widget.setAccessibleName(text)
            widget.installEventFilter(self)
        self.reference.editingFinished.connect(self._follow_reference)
        line = self.kind.lineEdit()
        if line is not None:
            line.setAcceptDrops(False)
            line.editingFinished.connect(self._follow_kind)
        fitting = QHBoxLayout(self._fitting)
        fitting.setContentsMargins(0, 0, 0, 2)
        fitting.addWidget(self.fitted, 1)
        fitting.addWidget(self.source)
        buttons = QHBoxLayout()
        for button, signal in (
            (self.confirm, self._confirm),
            (self.leave, self.left.emit),
            (self.remove, self.removed.emit),
        ):
            buttons.addWidget(button)
            button.clicked.connect(lambda _checked, signal=signal: signal())
        self.add_end.clicked.connect(self._add_end)
        self.add_end.setFlat(True)
        self.keys.setObjectName("faint")
        self.keys.setWordWrap(True)
        self.read.setObjectName("faint")
        self.read.setWordWrap(True)
        ends = QLabel(words.PART_TERMINALS, self)
        ends.setToolTip(words.PART_TERMINALS_HINT)
        self.hint.setObjectName("faint")
        self.hint.setWordWrap(True)
        self.value.editingFinished.connect(self._show_hint)
        box = QVBoxLayout(self._inside)
        box.setContentsMargins(18, 14, 18, 0)
        box.setSpacing(8)
        box.addWidget(self.title)
        box.addWidget(self.read)
        box.addLayout(self._form)
        box.addWidget(ends)
        box.addWidget(self.hint)
        box.addWidget(self._rows)
        box.addWidget(self.add_end, 0, Qt.AlignmentFlag.AlignLeft)
        box.addWidget(self.note)
        self._foot.addLayout(buttons)
        self._foot.addWidget(self.keys)
        self._scroll = scrolling_over(self, self._inside, self._foot)

    def restyle(self, look: Look) -> None:
        """Draw in other colours."""
        font = QFont(self.font())
        font.setPointSizeF(font.pointSizeF() * 1.3)
        self.title.setFont(font)
        self.setStyleSheet(
            controls(look, "#card")
            + f"""#card {{ background: {look.card.name()}; border: 2px solid {look.edge.name()};
                border-top: 6px solid {look.pencil.name()}; border-radius: 6px; }}
            #card QLabel {{ color: {look.text.name()}; }}
            #card #faint {{ color: {look.faint.name()}; }}
            #card #wrong {{ color: {look.failed.name()}; }}
            #card QLineEdit[doubted="true"] {{ border-bottom: 3px dashed {look.waiting.name()}; }}"""
        )

    # -- what it asks --------------------------------------------------------------------------------

    @property
    def asked(self) -> Draft | None:
        """What was asked about, before anything was typed."""
        return self._draft

    @property
    def draft(self) -> Draft | None:
        """What is asked about, as typed so far."""
        if self._draft is None:
            return None
        ends = self.ends
        return replace(
            self._draft,
            kind=self.kind.currentText().strip(),
            reference=self.reference.text().strip(),
            value=self.value.text().strip(),
            tolerance=self.tolerance.text().strip(),
            options=self.options.text().strip(),
            fitted=self.fitted.text().strip(),
            fitted_source=ValueSource(self.source.currentData()),
            terminals=tuple(end for end in ends if end.name),
        )

    @property
    def ends(self) -> tuple[TagTerminal, ...]:
        """Every end with its name as typed so far; one without a name is left out of the draft."""
        if self._draft is None:
            return ()
        rows = zip(self._draft.terminals, self._rows.names(), strict=True)
        return tuple(replace(end, name=name) for end, name in rows)

    @property
    def naming(self) -> int | None:
        """Which end is being named, counted from 0."""
        return self._naming

    def ask(
        self, draft: Draft, conductor_of: Callable[[TagTerminal], int | None], *, fresh: bool = True
    ) -> None:
        """Fill the card; `conductor_of` tells which conductor an end sits on, `fresh` takes the keys."""
        if self._draft is None or self._draft.box != draft.box:
            self._kind_given = False
        self._draft, self._conductor_of = draft, conductor_of
        self.title.setText(title_of(draft))
        self.remove.setVisible(draft.tag is not None)
        self.kind.setCurrentText(draft.kind)
        self.reference.setText(draft.reference)
        self.value.setText(draft.value)
        self.tolerance.setText(draft.tolerance)
        self.options.setText(draft.options)
        self.fitted.setText(draft.fitted)
        self.source.setCurrentIndex(self.source.findData(draft.fitted_source))
        kind = kinds().get(draft.kind)
        default = kind.default_tolerance if kind is not None else None
        self.tolerance.setPlaceholderText(f"{round(default * 100)}%" if default is not None else "")
        self._show_ends(draft.terminals)
        self._show_rows(kind)
        self._show_hint()
        self.say("")
        self.say_keys(words.PART_KEYS)
        self._show_what_was_read(draft)
        self.show()
        self.raise_()
        if fresh:
            self.take_keys()

    def _show_rows(self, kind: Kind | None) -> None:
        """Show what can be said of this kind: a chassis sign has no value, and its end no name of its own."""
        self._form.setRowVisible(self.value, has_value(kind))
        self._form.setRowVisible(self.tolerance, has_ohms(kind))
        self._form.setRowVisible(self._fitting, has_ohms(kind))
        self.hint.setVisible(kind is None or may_grow(kind))
        self.add_end.setVisible(may_grow(kind))

    def take_keys(self) -> None:
        """Let the next keys go to the first end that has no name yet, or to the reference.

        Of a box that was just drawn it is the reference: its letters say what the part is.
        """
        unnamed = next((end for end in self._rows.fields if not end.is_whole), None)
        drawn = self._is_bare() and not self.note.text()
        if unnamed is not None and self.reference.text().strip() and not drawn:
            unnamed.take()
        else:
            self.reference.setFocus()
            self.reference.selectAll()

    def _is_bare(self) -> bool:
        """Whether nothing but a box that was drawn says what the part is."""
        return self._draft is not None and self._draft.tag is None and self._draft.proposal is None

    def take_value(self) -> None:
        """Let the next keys go to the value."""
        self.value.setFocus()
        self.value.selectAll()

    @property
    def lacks_value(self) -> bool:
        """Whether a value is still to be written for a kind that the arithmetic needs one of."""
        return lacks_value(self.kind.currentText().strip(), self.value.text())

    def say_keys(self, text: str) -> None:
        """Say which keys do what."""
        self.keys.setText(text)

    def _show_hint(self) -> None:
        """Say how ends are named, and which pins are known of a valve's type."""
        text = ends_hint(self._draft.kind if self._draft is not None else "", self.value.text())
        if text != self.hint.text():
            self.hint.setText(text)
            self.resized.emit()

    def _show_what_was_read(self, draft: Draft) -> None:
        """Write what the reader read as in pencil, until a person writes over it or confirms it."""
        for field, text, sure in (
            (self.reference, draft.read_reference, draft.reference_sureness),
            (self.value, draft.read_value, draft.value_sureness),
        ):
            field.write_in_pencil(bool(text), is_doubted=0 < sure < SURE)
        self.read.setText(read_in_words(draft))
        self.read.setVisible(bool(self.read.text()))

    def move_end(self, x: float, y: float) -> bool:
        """Move the end being named to page place (x, y); return False when none is being named."""
        draft = self.draft
        number = self._naming
        if number is None or self._draft is None or draft is None:
            return False
        ends = list(self.ends)
        ends[number] = replace(ends[number], x=x, y=y)
        self._draft = replace(self._draft, terminals=tuple(ends))
        self._show_ends(self._draft.terminals)
        self._rows.fields[number].setFocus()
        return True

    def size_needed(self) -> QSize:
        """Return how large the card must be to be read whole."""
        wide = self.fontMetrics().averageCharWidth() * 54
        inside, edge = self._inside.layout(), self.contentsMargins()
        if inside is None:
            return self.sizeHint()
        inside.activate()
        across = wide - edge.left() - edge.right()
        asked = max(inside.totalHeightForWidth(across), inside.totalMinimumSize().height())
        return QSize(wide, asked + self._foot.heightForWidth(across) + edge.top() + edge.bottom())

    def say(self, text: str) -> None:
        """Say what is wrong."""
        self.note.setText(text)
        self.note.setVisible(bool(text))

    def _show_ends(self, terminals: tuple[TagTerminal, ...]) -> None:
        self._naming = None
        kind = kinds().get(self._draft.kind) if self._draft is not None else None
        usual = usual_names(kind) if kind is not None else ()
        self._rows.show_ends(terminals, self._conductor_of, usual[0] if usual else "")
        self._rows.put_in_order(self.options, self.confirm)

    def _follow_reference(self) -> None:
        """Take the kind that a reference's letters usually stand for, while nothing else says what it is."""
        kind, asked = kind_of_reference(self.reference.text()), self._draft
        told = self._is_bare() and not self._kind_given
        if told and kind and asked is not None and self.kind.currentText() == asked.kind != kind:
            self.kind_chosen.emit(kind)

    def _choose_kind(self, kind: str) -> None:
        """Take a kind that a person gave; from then on the reference no longer tells it."""
        self._kind_given = True
        self.kind_chosen.emit(kind)

    def _follow_kind(self) -> None:
        """Take a kind that was typed, as one that was picked from the list."""
        kind = self.kind.currentText().strip()
        if self._draft is not None and kind in kinds() and kind != self._draft.kind:
            self._choose_kind(kind)

    def _write_out(self, edit: EndField) -> None:
        """Write a name out of which only the beginning was typed."""
        kind = kinds().get(self.kind.currentText().strip())
        if kind is not None and edit in self._rows.fields:
            others = [other.text().strip() for other in self._rows.fields if other is not edit]
            edit.setText(whole_name(edit.text(), kind, others))

    def _add_end(self) -> None:
        if (draft := self.draft) is None:
            return
        kind, (x0, y0, x1, y1) = kinds().get(draft.kind), draft.box
        more = (*self.ends, TagTerminal("", (x0 + x1) / 2, (y0 + y1) / 2))
        self._draft = replace(draft, terminals=named(more, kind) if kind is not None else more)
        self._show_ends(self._draft.terminals)
        self._rows.fields[-1].setFocus()
        self.resized.emit()

    def _confirm(self) -> None:
        for edit in self._rows.fields:
            self._write_out(edit)
        self.confirmed.emit(self.draft)

    def eventFilter(self, a0: QObject | None, a1: QEvent | None) -> bool:
        """Confirm on Enter in any field; remember which end is being named while the sheet is pressed."""
        if a1 is not None and a1.type() == QEvent.Type.FocusIn:
            if isinstance(a0, QWidget):
                self._scroll.ensureWidgetVisible(a0)
            self._naming = next((n for n, edit in enumerate(self._rows.fields) if edit is a0), None)
            self.retouched.emit()
        if isinstance(a1, QKeyEvent) and a1.type() == QEvent.Type.KeyPress:
            if a1.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
                self._confirm()
                return True
            if a1.text() == ADD and isinstance(a0, EndField) and not self.add_end.isHidden():
                self._add_end()
                return True
        return super().eventFilter(a0, a1)

    def keyPressEvent(self, a0: QKeyEvent | None) -> None:
        """Leave on Esc, confirm on Enter."""
        key = a0.key() if a0 is not None else None
        if key == Qt.Key.Key_Escape:
            self.left.emit()
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._confirm()
        else:
            super().keyPressEvent(a0)

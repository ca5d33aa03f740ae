"""Where the set stands: switch banks, what is out of its socket, lifted ends, wipers."""

from __future__ import annotations

from dataclasses import replace

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtWidgets import (
    QButtonGroup,
    QCheckBox,
    QComboBox,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QSlider,
    QVBoxLayout,
    QWidget,
)

from tracer.circuit.elements import Bank, BankStyle, Element
from tracer.circuit.points import find_terminal
from tracer.circuit.settings import positions_of
from tracer.desk import words
from tracer.desk.desk import Desk
from tracer.desk.field import Field
from tracer.desk.measuring import Measuring, without_wiper
from tracer.errors import TracerError
from tracer.job.banks import banks, put_bank

__all__ = ["SettingSection"]

IN_SOCKETS = frozenset({"valve", "battery", "fuse", "lamp"})
ROW_AT_MOST = 4


class SettingSection(QWidget):
    """Each change is an edit that undo takes back, and moves the expectation at once.

    Signals: `contacts_wanted` asks for the table of contacts, `made` carries the name of a new bank.
    """

    contacts_wanted = pyqtSignal()
    made = pyqtSignal(str)

    def __init__(self, desk: Desk, measuring: Measuring, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk, self._measuring = desk, measuring
        self._box = QVBoxLayout(self)
        self._box.setContentsMargins(0, 0, 0, 0)
        self._rows: QWidget | None = None
        self._shown: object = None
        self.maker: QLineEdit | None = None
        self._style: QComboBox | None = None
        desk.laid_out.connect(self.refresh)
        desk.opened.connect(self.refresh)
        desk.changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show the setting."""
        elements = self._desk.laid.bench.circuit.elements if self._desk.laid is not None else ()
        stored = banks(self._desk.job) if self._desk.job is not None else ()
        shown = (stored, elements, self._desk.state.setting)
        if shown == self._shown:
            return
        self._shown = shown
        focused = self._focused_name()
        if self._rows is not None:
            self._box.removeWidget(self._rows)
            self._rows.hide()
            self._rows.deleteLater()
        self._rows = QWidget(self)
        self._box.addWidget(self._rows)
        grid = QGridLayout(self._rows)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setColumnStretch(1, 1)
        for bank in stored:
            self._add_bank(grid, bank)
        sockets = sorted(
            {e.reference: e for e in elements if e.kind in IN_SOCKETS}.values(), key=lambda e: e.reference
        )
        if sockets:
            self._add_sockets(grid, sockets)
        for element in elements:
            if element.kind == "pot":
                self._add_wiper(grid, element)
        if not (stored or elements):
            none = QLabel(words.SETTING_NONE, self._rows)
            none.setObjectName("faint")
            none.setWordWrap(True)
            grid.addWidget(none, grid.rowCount(), 0, 1, 2)
        if elements:
            self._add_lifted(grid)
        self._add_maker(grid)
        self._rows.show()
        for widget in self._rows.findChildren(QWidget):
            if focused and widget.accessibleName() == focused:
                widget.setFocus()

    def _focused_name(self) -> str:
        """The name of the control that has the keys, so that it has them again in the new rows."""
        focused = self._rows.focusWidget() if self._rows is not None else None
        return focused.accessibleName() if focused is not None and focused.hasFocus() else ""

    def _add_bank(self, grid: QGridLayout, bank: Bank) -> None:
        row = grid.rowCount()
        name = QPushButton(bank.name, self._rows)
        name.setFlat(True)
        name.setToolTip(words.BANK_CHANGE)
        name.setAccessibleName(words.BANK_CHANGE_NAMED.format(bank=bank.name))
        name.clicked.connect(lambda: self.change(bank))
        grid.addWidget(name, row, 0, Qt.AlignmentFlag.AlignLeft)
        now = self._desk.state.setting.banks.get(bank.name, bank.positions[0])
        shown = positions_of(bank)
        if len(shown) <= ROW_AT_MOST and bank.style is not BankStyle.INDEPENDENT:
            line = QHBoxLayout()
            line.setSpacing(3)
            group = QButtonGroup(self._rows)
            for position in shown:
                button = QPushButton(position or words.SAID_NONE, self._rows)
                button.setCheckable(True)
                button.setAutoExclusive(bank.style is BankStyle.ROTARY)
                button.setChecked(position == now)
                button.setAccessibleName(f"{bank.name} {position or words.SAID_NONE}")
                button.clicked.connect(
                    lambda checked, b=bank, p=position: self._turn(
                        b, p if checked or b.style is BankStyle.ROTARY else ""
                    )
                )
                group.addButton(button)
                line.addWidget(button, 1)
            group.setExclusive(bank.style is BankStyle.ROTARY)
            grid.addLayout(line, row, 1)
            return
        box = QComboBox(self._rows)
        for position in shown[:256]:
            box.addItem(position.replace(",", " + ") or words.SAID_NONE, position)
        box.setCurrentIndex(max(0, box.findData(now)))
        box.setAccessibleName(bank.name)
        box.activated.connect(lambda _, b=bank, box=box: self._turn(b, box.currentData()))
        grid.addWidget(box, row, 1)

    def _turn(self, bank: Bank, position: str) -> None:
        setting = self._desk.state.setting
        self._measuring.set_setting(
            replace(setting, banks={**setting.banks, bank.name: position}),
            words.SAID_TURN.format(bank=bank.name, position=position or words.SAID_NONE),
        )

    def _add_sockets(self, grid: QGridLayout, elements: list[Element]) -> None:
        row = grid.rowCount()
        grid.addWidget(QLabel(words.VALVES, self._rows), row, 0, 1, 2)
        setting = self._desk.state.setting
        cells = QGridLayout()
        for number, element in enumerate(elements):
            tick = QCheckBox(element.reference, self._rows)
            is_out = element.option("out") is not None
            tick.setAccessibleName(f"{element.reference} {words.VALVES}")
            tick.setChecked(element.reference not in setting.out and not is_out)
            tick.setEnabled(not is_out)
            tick.clicked.connect(lambda checked, r=element.reference: self._plug(r, checked))
            cells.addWidget(tick, number // ROW_AT_MOST, number % ROW_AT_MOST)
        grid.addLayout(cells, row + 1, 0, 1, 2)

    def _plug(self, reference: str, is_in: bool) -> None:
        setting = self._desk.state.setting
        out = setting.out - {reference} if is_in else setting.out | {reference}
        self._measuring.set_setting(
            replace(setting, out=frozenset(out)),
            (words.SAID_IN if is_in else words.SAID_OUT).format(reference=reference),
        )

    def _add_wiper(self, grid: QGridLayout, pot: Element) -> None:
        row = grid.rowCount()
        at = self._desk.state.setting.wipers.get(pot.reference)
        grid.addWidget(QLabel(pot.reference, self._rows), row, 0)
        line = QHBoxLayout()
        slider = QSlider(Qt.Orientation.Horizontal, self._rows)
        slider.setRange(0, 100)
        slider.setValue(round(100 * at) if at is not None else 50)
        slider.setEnabled(at is not None)
        slider.setAccessibleName(f"{words.WIPERS} {pot.reference}")
        anywhere = QCheckBox(words.WIPER_UNKNOWN, self._rows)
        anywhere.setChecked(at is None)
        anywhere.setAccessibleName(f"{pot.reference} {words.WIPER_UNKNOWN}")
        slider.sliderReleased.connect(lambda r=pot.reference, s=slider: self._slide(r, s.value() / 100))
        slider.valueChanged.connect(
            lambda value, r=pot.reference, s=slider: None if s.isSliderDown() else self._slide(r, value / 100)
        )
        anywhere.clicked.connect(lambda checked, r=pot.reference: self._slide(r, None if checked else 0.5))
        line.addWidget(slider, 1)
        line.addWidget(anywhere)
        grid.addLayout(line, row, 1)

    def _slide(self, reference: str, at: float | None) -> None:
        setting = self._desk.state.setting
        if at is None:
            self._measuring.set_setting(
                without_wiper(setting, reference), words.SAID_ANYWHERE.format(reference=reference)
            )
        else:
            turned = replace(setting, wipers={**setting.wipers, reference: at})
            self._measuring.set_setting(turned, words.SAID_WIPER.format(reference=reference, at=at))

    def _add_lifted(self, grid: QGridLayout) -> None:
        row = grid.rowCount()
        grid.addWidget(QLabel(words.LIFTED, self._rows), row, 0)
        edit = Field(", ".join(sorted(self._desk.state.setting.lifted)), self._rows)
        edit.setPlaceholderText(words.LIFTED_HINT)
        edit.setAccessibleName(words.LIFTED)
        edit.returnPressed.connect(lambda edit=edit: self._lift(edit.text()))
        grid.addWidget(edit, row, 1)

    def _lift(self, text: str) -> None:
        laid = self._desk.laid
        if laid is None:
            return
        try:
            found = [find_terminal(laid.bench.circuit, name) for name in text.replace(",", " ").split()]
        except TracerError as error:
            self._desk.fail(error)
            return
        lifted = frozenset(f"{element.reference}.{terminal}" for element, terminal in found)
        said = words.SAID_LIFT.format(ends=", ".join(sorted(lifted))) if lifted else words.SAID_PUT_BACK
        self._measuring.set_setting(replace(self._desk.state.setting, lifted=lifted), said)

    def _add_maker(self, grid: QGridLayout) -> None:
        row = grid.rowCount()
        line = Field(self._rows)
        line.setPlaceholderText(words.BANK_LINE)
        line.setAccessibleName(words.BANK_ADD)
        line.setToolTip(words.BANK_LINE_HINT)
        style = QComboBox(self._rows)
        style.setAccessibleName(words.BANK_STYLE)
        style.setToolTip(words.BANK_STYLE)
        style.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        style.setMinimumContentsLength(8)
        for each, text in words.BANK_STYLES.items():
            style.addItem(text, each)
        line.returnPressed.connect(lambda: self._make(line.text(), BankStyle(style.currentData())))
        contacts = QPushButton(words.BANK_CONTACTS, self._rows)
        contacts.clicked.connect(self.contacts_wanted)
        contacts.setEnabled(bool(banks(self._desk.job)) if self._desk.job is not None else False)
        below = QHBoxLayout()
        below.addWidget(style, 1)
        below.addWidget(contacts)
        grid.addWidget(line, row, 0, 1, 2)
        grid.addLayout(below, row + 1, 0, 1, 2)
        self.maker, self._style = line, style

    def change(self, bank: Bank) -> None:
        """Write a bank into the line, to be changed there."""
        if self.maker is not None and self._style is not None:
            self.maker.setText(words.BANK_WRITTEN.format(bank=bank.name, positions=", ".join(bank.positions)))
            self._style.setCurrentIndex(self._style.findData(bank.style))
            self.maker.setFocus()

    def take_keys(self) -> None:
        """Let the next keys name another bank."""
        if self.maker is not None:
            self.maker.setFocus()

    def _make(self, text: str, style: BankStyle) -> None:
        name, _, positions = text.partition(":")
        if name.strip():
            bank = Bank(name.strip(), tuple(p.strip() for p in positions.split(",") if p.strip()), style)
            known = banks(self._desk.job) if self._desk.job is not None else ()
            self._desk.edit(lambda job: put_bank(job, bank))
            if bank.name not in [each.name for each in known]:
                self.made.emit(bank.name)

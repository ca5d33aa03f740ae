"""The parts, the readings, and what does not fit yet."""

from __future__ import annotations

from datetime import datetime

from PyQt6.QtCore import Qt, pyqtSignal
from PyQt6.QtGui import QColor, QKeyEvent
from PyQt6.QtWidgets import (
    QLabel,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from tracer.circuit.results import Tint, Verdict
from tracer.desk import words
from tracer.desk.colours import Look
from tracer.desk.desk import Desk
from tracer.desk.natural import natural
from tracer.desk.state import reach
from tracer.job.choices import power_applied
from tracer.job.readings import readings, withdraw_reading
from tracer.job.records import ReadingRecord, Tag
from tracer.job.tags import tags

__all__ = ["DoubtsSection", "PartsSection", "ReadingsSection"]

ID = Qt.ItemDataRole.UserRole
ROWS = 9


class PartsSection(QWidget):
    """Every confirmed part of the job, with how it stands. `picked` carries the tag."""

    picked = pyqtSignal(object)

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        self._tags: dict[int, Tag] = {}
        self.count = QLabel(self)
        self.count.setObjectName("faint")
        self.count.setWordWrap(True)
        self.list = QListWidget(self)
        self.list.setAccessibleName(words.SECTION_PARTS)
        self.list.itemActivated.connect(self._pick)
        self.list.itemClicked.connect(self._pick)
        self.search = QLineEdit(self)
        self.search.setPlaceholderText(words.PARTS_FIND)
        self.search.setAccessibleName(words.PARTS_FIND)
        self.search.textChanged.connect(self._filter)
        box = QVBoxLayout(self)
        box.setContentsMargins(0, 0, 0, 0)
        for widget in (self.count, self.search, self.list):
            box.addWidget(widget)
        for signal in (desk.opened, desk.changed, desk.laid_out):
            signal.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show the parts as they are now."""
        job = self._desk.job
        stored = tags(job) if job is not None else ()
        tints = self._desk.laid.tints if self._desk.laid is not None else {}
        self._tags = {tag.id: tag for tag in stored if tag.id is not None}
        self.list.clear()
        for tag in sorted(stored, key=lambda tag: natural(tag.reference)):
            tint = tints.get(tag.reference, Tint.NOT_MEASURED)
            said = " · ".join(
                text
                for text in (
                    tag.reference,
                    tag.value or tag.kind,
                    "" if tint is Tint.NOT_MEASURED else str(tint),
                )
                if text
            )
            item = QListWidgetItem(said)
            item.setData(ID, tag.id)
            self.list.addItem(item)
        self.list.setVisible(bool(stored))
        self.search.setVisible(len(stored) > ROWS)
        _fit_rows(self.list)
        offered = len(self._desk.proposals_in_view())
        text = (
            words.PARTS_LEFT.format(confirmed=len(stored), proposed=offered)
            if stored or offered
            else words.PARTS_NONE
        )
        self.count.setText(text)
        self._filter(self.search.text())

    def _filter(self, text: str) -> None:
        for row in range(self.list.count()):
            item = self.list.item(row)
            if item is not None:
                item.setHidden(text.casefold() not in item.text().casefold())

    def _pick(self, item: QListWidgetItem) -> None:
        tag = self._tags.get(item.data(ID))
        if tag is not None:
            self.picked.emit(tag)


class ReadingsSection(QWidget):
    """Every reading, the newest first; a withdrawn one stays, struck out."""

    def __init__(self, desk: Desk, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk, self._look = desk, look
        self._records: dict[int, ReadingRecord] = {}
        self.list = _ReadingList(self)
        self.list.setAccessibleName(words.SECTION_READINGS)
        self.list.itemActivated.connect(self._reach)
        self.list.itemClicked.connect(self._reach)
        self.list.deleted.connect(self.withdraw)
        self.none = QLabel(words.READINGS_NONE, self)
        self.none.setObjectName("faint")
        self.button = QPushButton(words.WITHDRAW, self)
        self.button.clicked.connect(self.withdraw)
        box = QVBoxLayout(self)
        box.setContentsMargins(0, 0, 0, 0)
        for widget in (self.none, self.list):
            box.addWidget(widget)
        box.addWidget(self.button, 0, Qt.AlignmentFlag.AlignLeft)
        for signal in (desk.opened, desk.changed):
            signal.connect(self.refresh)
        self.refresh()

    def restyle(self, look: Look) -> None:
        """Draw in other colours."""
        self._look = look
        self.refresh()

    def refresh(self) -> None:
        """Show the readings as they are now."""
        job = self._desk.job
        stored = readings(job, withdrawn=True) if job is not None else ()
        self._records = {record.number: record for record in stored}
        self.list.clear()
        powered = list(power_applied(job)) if job is not None else []
        for record in reversed(stored):
            while powered and datetime.fromisoformat(powered[-1]) > datetime.fromisoformat(record.when):
                self._add_power(powered.pop())
            verdict = words.WITHDRAWN if record.withdrawn else words.VERDICTS[Verdict(record.verdict)]
            item = QListWidgetItem(
                f"{record.number}.  {record.start} → {record.end}   {record.shown}   {verdict}"
            )
            item.setData(ID, record.number)
            font = item.font()
            font.setStrikeOut(record.withdrawn)
            item.setFont(font)
            item.setForeground(self._colour(record))
            self.list.addItem(item)
        for when in reversed(powered):
            self._add_power(when)
        self.none.setVisible(not stored)
        _fit_rows(self.list)
        self.list.setVisible(self.list.count() > 0)
        self.button.setVisible(bool(stored))

    def _add_power(self, when: str) -> None:
        moment = datetime.fromisoformat(when).astimezone()
        item = QListWidgetItem(words.POWER_ROW.format(when=moment.strftime("%Y-%m-%d %H:%M")))
        item.setForeground(self._look.waiting)
        self.list.addItem(item)

    def withdraw(self) -> None:
        """Withdraw the picked reading; it stays in the record."""
        item = self.list.currentItem()
        record = self._records.get(item.data(ID)) if item is not None else None
        if record is not None and not record.withdrawn:
            self._desk.edit(lambda job: withdraw_reading(job, record.number))

    def _colour(self, record: ReadingRecord) -> QColor:
        if record.withdrawn:
            return self._look.faint
        if record.verdict == Verdict.PASS:
            return self._look.passed
        return self._look.failed if record.verdict in (Verdict.HIGH, Verdict.LOW) else self._look.waiting

    def _reach(self, item: QListWidgetItem) -> None:
        record = self._records.get(item.data(ID))
        if record is not None:
            self._desk.set_state(reach(self._desk.state, record.start, record.end))


class _ReadingList(QListWidget):
    """A list in which Delete means something."""

    deleted = pyqtSignal()

    def keyPressEvent(self, e: QKeyEvent | None) -> None:
        """Tell of Delete."""
        if e is not None and e.key() == Qt.Key.Key_Delete:
            self.deleted.emit()
        else:
            super().keyPressEvent(e)


class DoubtsSection(QWidget):
    """What does not fit yet: tags off their wires, values that cannot be read."""

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        self.text = QLabel(self)
        self.text.setWordWrap(True)
        self.text.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        box = QVBoxLayout(self)
        box.setContentsMargins(0, 0, 0, 0)
        box.addWidget(self.text)
        desk.laid_out.connect(self.refresh)
        desk.opened.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show the bench's warnings, and readings that no longer count."""
        laid = self._desk.laid
        told: list[str] = []
        if laid is not None:
            told = [*laid.bench.warnings, *(sentence for _, sentence in laid.standing.skipped)]
        shown = told[:ROWS]
        if len(told) > ROWS:
            shown.append(words.DOUBTS_MORE.format(count=len(told) - ROWS))
        self.text.setText("\n\n".join(shown) or words.DOUBTS_NONE)


def _fit_rows(listed: QListWidget) -> None:
    """Make a list as high as its rows, up to a limit."""
    row = max(listed.sizeHintForRow(0), listed.fontMetrics().lineSpacing() + 8)
    listed.setFixedHeight(row * max(1, min(ROWS, listed.count())) + 6)

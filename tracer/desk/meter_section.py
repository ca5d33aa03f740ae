"""The meter in use: its error, its leads, its top of range."""

from __future__ import annotations

from dataclasses import replace

from PyQt6.QtWidgets import (
    QComboBox,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from tracer.circuit.results import Meter
from tracer.circuit.values import format_value, parse_tolerance, parse_value
from tracer.desk import words
from tracer.desk.desk import Desk
from tracer.desk.field import Field
from tracer.desk.meter_link import found_meters
from tracer.desk.meter_watch import MeterWatch
from tracer.errors import TracerError
from tracer.job.choices import current_meter, set_meter

__all__ = ["MeterSection"]

LOOK = "look for meters"


class MeterSection(QWidget):
    """Four fields; Enter keeps them, as an edit that undo takes back."""

    def __init__(self, desk: Desk, watch: MeterWatch, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        self.error, self.counts, self.leads, self.top = (Field(self) for _ in range(4))
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        form = QFormLayout()
        whole.addLayout(form)
        form.setContentsMargins(0, 0, 0, 0)
        for text, edit in (
            (words.METER_ERROR, self.error),
            (words.METER_COUNTS, self.counts),
            (words.METER_LEADS, self.leads),
            (words.METER_TOP, self.top),
        ):
            form.addRow(text, edit)
            edit.setAccessibleName(text)
            edit.returnPressed.connect(self._keep)
        self._watch = watch
        self._add_link(whole)
        desk.opened.connect(self.refresh)
        desk.changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show the meter that the job keeps."""
        meter = current_meter(self._desk.job) if self._desk.job is not None else Meter()
        self.error.setText(f"{100 * meter.error:g}%")
        self.counts.setText(f"{meter.counts:g}")
        self.leads.setText(format_value(meter.leads, "ohm"))
        self.top.setText(format_value(meter.top, "ohm"))
        self.setEnabled(self._desk.job is not None)

    def _add_link(self, whole: QVBoxLayout) -> None:
        self.bench = QComboBox(self)
        self.bench.setEditable(True)
        self.bench.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
        self.bench.setAccessibleName(words.METER_BENCH)
        edit = self.bench.lineEdit()
        if edit is not None:
            edit.setPlaceholderText(words.METER_BENCH_HINT)
            edit.returnPressed.connect(self._link)
        self.look, self.link = QPushButton(words.METER_LOOK, self), QPushButton(words.METER_LINK, self)
        self.look.clicked.connect(self._look)
        self.link.clicked.connect(self._link)
        buttons = QHBoxLayout()
        buttons.addWidget(self.look)
        buttons.addWidget(self.link)
        buttons.addStretch()
        title = QLabel(words.METER_BENCH, self)
        title.setBuddy(self.bench)
        whole.addWidget(title)
        whole.addWidget(self.bench)
        whole.addLayout(buttons)
        self._watch.linked.connect(self._linked)

    def _look(self) -> None:
        def show(found: tuple[str, ...]) -> None:
            self.bench.clear()
            self.bench.addItems(found)
            self._desk.told.emit(words.METER_FOUND.format(count=len(found)))

        self._desk.work.run(LOOK, lambda _: found_meters(), show, self._desk.fail)

    def _link(self) -> None:
        name = self.bench.currentText().strip()
        if self._watch.running:
            self._watch.stop()
        elif name:
            self._watch.start(name)

    def _linked(self, who: str) -> None:
        self.link.setText(words.METER_LET_GO if who else words.METER_LINK)

    def _keep(self) -> None:
        if self._desk.job is None:
            return
        try:
            meter = replace(
                current_meter(self._desk.job),
                error=parse_tolerance(self.error.text()),
                counts=parse_value(self.counts.text(), "ohm"),
                leads=parse_value(self.leads.text(), "ohm"),
                top=parse_value(self.top.text(), "ohm"),
            )
        except TracerError as error:
            self._desk.fail(error)
            return
        self._desk.edit(lambda job: set_meter(job, meter))

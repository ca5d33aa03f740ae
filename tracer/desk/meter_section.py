"""The meter in use: its error, its leads, its top of range."""

from __future__ import annotations

from dataclasses import replace

from PyQt6.QtWidgets import QFormLayout, QLineEdit, QWidget

from tracer.circuit.results import Meter
from tracer.circuit.values import format_value, parse_tolerance, parse_value
from tracer.desk import words
from tracer.desk.desk import Desk
from tracer.errors import TracerError
from tracer.job.choices import current_meter, set_meter

__all__ = ["MeterSection"]


class MeterSection(QWidget):
    """Four fields; Enter keeps them, as an edit that undo takes back."""

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        self.error, self.counts, self.leads, self.top = (QLineEdit(self) for _ in range(4))
        form = QFormLayout(self)
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

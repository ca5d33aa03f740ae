"""A short tone for each verdict, for eyes that are on the set: rising for good, falling for high and low."""

from __future__ import annotations

import os
from typing import Any

import numpy as np
from PyQt6.QtCore import QBuffer, QByteArray, QIODevice, QLoggingCategory, QObject, QTimer
from PyQt6.QtWidgets import QApplication

from tracer.circuit.results import Verdict

__all__ = ["TUNES", "Tone", "wave"]

RATE = 44_100
"""Samples a second."""

LOUD = 0.25
"""Share of the full swing."""

GAP_MS = 180
"""Between two of the system's own beeps."""

TUNES: dict[Verdict, tuple[tuple[float, float], ...]] = {
    Verdict.PASS: ((660.0, 0.09), (990.0, 0.16)),
    Verdict.HIGH: ((330.0, 0.14), (220.0, 0.14), (165.0, 0.30)),
    Verdict.LOW: ((330.0, 0.14), (220.0, 0.14), (165.0, 0.30)),
    Verdict.WAIT: ((440.0, 0.10),),
    Verdict.CANNOT_TELL: ((440.0, 0.10), (440.0, 0.10)),
}
"""Notes of each verdict, as (hertz, seconds). They differ in number and direction, not in pitch alone."""


def wave(notes: tuple[tuple[float, float], ...]) -> bytes:
    """Return notes as 16-bit little-endian mono samples at `RATE`, each swelling and fading within 8 ms.

    Examples
    --------
    >>> len(wave(((440.0, 0.1),))) == 2 * 4410
    True
    """
    pieces = []
    for hertz, long in notes:
        time = np.arange(round(long * RATE)) / RATE
        edge = np.minimum(1.0, np.minimum(time, long - time) / 0.008)
        pieces.append(LOUD * edge * np.sin(2 * np.pi * hertz * time))
    return bytes((np.concatenate(pieces) * 32767).astype("<i2").tobytes())


class Tone(QObject):
    """Sounds the verdicts; where there is no sound device the system's own beep does, as often as notes."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.on = True
        self._sink: Any = None
        self._asked = False
        self._buffer = QBuffer(self)

    def sound(self, verdict: Verdict) -> None:
        """Sound `verdict` if the tone is on."""
        if not self.on:
            return
        if not self._asked:
            self._asked, self._sink = True, _sink(self)
        if self._sink is None:
            # One beep for good, two for what is not.
            QApplication.beep()
            if verdict is not Verdict.PASS:
                QTimer.singleShot(GAP_MS, QApplication.beep)
            return
        self._sink.stop()
        self._buffer.close()
        self._buffer.setData(QByteArray(wave(TUNES[verdict])))
        self._buffer.open(QIODevice.OpenModeFlag.ReadOnly)
        self._sink.start(self._buffer)


def _sink(parent: QObject) -> Any:
    """Return something that plays `wave`, or None where Qt's sound or a device for it is missing."""
    # Which of the system's sound libraries are missing is nobody's concern here: the beep stands in for them.
    if "QT_LOGGING_RULES" not in os.environ:
        QLoggingCategory.setFilterRules("qt.multimedia.*=false")
    try:
        from PyQt6.QtMultimedia import QAudioFormat, QAudioSink, QMediaDevices
    except ImportError:
        return None
    device = QMediaDevices.defaultAudioOutput()
    form = QAudioFormat()
    form.setSampleRate(RATE)
    form.setChannelCount(1)
    form.setSampleFormat(QAudioFormat.SampleFormat.Int16)
    if device.isNull() or not device.isFormatSupported(form):
        return None
    return QAudioSink(device, form, parent)

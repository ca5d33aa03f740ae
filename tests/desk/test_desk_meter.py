"""A bench meter that sends its readings, played by pyvisa-sim; the figures are those of SCPI-1999."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import pytest
import pyvisa
import small_sheet
from PyQt6.QtCore import Qt
from pytestqt.qtbot import QtBot

from tracer.circuit.results import Meter
from tracer.circuit.values import parse_reading
from tracer.desk import meter_link
from tracer.desk.meter_link import MeterLink, ohms_of, steady_value
from tracer.desk.window import DeskWindow
from tracer.errors import MeterSilent
from tracer.job.banks import put_rail
from tracer.job.choices import record_cautions_shown
from tracer.job.readings import readings
from tracer.job.records import Rail
from tracer.job.tags import add_tag

Settled = Callable[[DeskWindow], None]
NAME = "TCPIP0::localhost::inst0::INSTR"
INSTRUMENT = """
spec: "1.1"
devices:
  bench:
    eom:
      TCPIP INSTR:
        q: "\\n"
        r: "\\n"
    error: ERROR
    dialogues:
      - q: "*IDN?"
        r: "Nobody,Invented ohmmeter,1,1.0"
      - q: "CONF:RES"
    properties:
      ohms:
        default: 9.9E37
        getter:
          q: "READ?"
          r: "{:+.6E}"
        setter:
          q: "LAY {}"
        specs:
          type: float
resources:
  TCPIP0::localhost::inst0::INSTR:
    device: bench
"""


@pytest.fixture
def library(tmp_path: Path) -> str:
    """A backend in which one meter lives; between its leads lies what ``LAY`` says."""
    path = tmp_path / "bench.yaml"
    path.write_text(INSTRUMENT, encoding="utf-8")
    return f"{path}@sim"


def lay(library: str, ohms: float) -> None:
    line = pyvisa.ResourceManager(library).open_resource(NAME, read_termination="\n", write_termination="\n")
    line.write(f"LAY {ohms:E}")  # type: ignore[attr-defined]
    line.close()


def test_a_reading_comes_over_the_line(library: str) -> None:
    assert meter_link.found_meters(library) == (NAME,)
    with MeterLink(NAME, library) as link:
        assert "Invented ohmmeter" in link.identity
        assert math.isinf(link.read())
        lay(library, 4701.12)
        assert link.read() == pytest.approx(4701.12)


def test_a_meter_that_is_not_there_is_told(library: str) -> None:
    with pytest.raises(MeterSilent, match="inst7"):
        MeterLink("TCPIP0::localhost::inst7::INSTR", library)
    with pytest.raises(MeterSilent, match=r"tracer\[meter\]"):
        meter_link.found_meters("@nothing_of_that_name")


def test_figures_are_those_of_the_standard() -> None:
    """SCPI-1999 volume 1: 9.9E37 is infinity, 9.91E37 is not a number."""
    assert math.isinf(ohms_of("+9.90000000E+37"))
    for text in ("9.91E37", "nan", "OVERLOAD", ""):
        with pytest.raises(ValueError, match=r"."):
            ohms_of(text)


def test_only_what_stands_still_is_steady() -> None:
    assert steady_value([math.inf] * 4, Meter()) == math.inf
    assert steady_value([math.inf, 5.0, 5.0, 5.0], Meter()) is None
    assert steady_value([0.0, 0.1, 0.0, 0.1], Meter()) == pytest.approx(0.05)
    assert steady_value([100e3, 101e3, 102e3, 103e3], Meter()) is None, "a capacitor charges"
    assert steady_value([5.0, 5.0, 5.0], Meter()) is None


def test_a_steady_reading_is_offered_and_any_key_takes_it(
    window: DeskWindow, library: str, qtbot: QtBot, settled: Settled
) -> None:
    job = window.desk.job
    assert job is not None
    for tag in small_sheet.TAGS:
        window.desk.edit(lambda job, tag=tag: add_tag(job, tag), lay_out=False)
    window.desk.edit(lambda job: put_rail(job, Rail("HT1")))
    window.desk.edit(record_cautions_shown, lay_out=False)
    settled(window)
    window.watch.start(NAME, library)
    qtbot.waitUntil(lambda: "Invented ohmmeter" in window.slip.label.text(), timeout=10_000)
    for lead, point in enumerate(("HT1", "chassis")):
        window.strip.lead_typed.emit(lead, point)
    settled(window)
    lay(library, 14_712.0)
    qtbot.waitUntil(lambda: window.metered.offered not in ("", "OL"), timeout=10_000)
    assert parse_reading(window.strip.entry.text())[0] == pytest.approx(14_712, rel=1e-3)
    assert readings(job) == (), "nothing is taken before a key says so"
    lay(library, 9.9e37)
    qtbot.waitUntil(lambda: window.metered.offered == "OL", timeout=10_000)
    qtbot.keyClick(window.strip.entry, Qt.Key.Key_Escape)
    assert window.metered.offered == ""
    lay(library, 14_712.0)
    qtbot.waitUntil(lambda: window.metered.offered not in ("", "OL"), timeout=10_000)
    qtbot.keyClick(window.strip.entry, Qt.Key.Key_Space)
    settled(window)
    (record,) = readings(job)
    assert (record.verdict, record.ohms) == ("pass", pytest.approx(14_712, rel=1e-3))
    qtbot.wait(800)
    assert window.metered.offered == "", "the same reading is not offered again"
    window.meter.link.click()
    assert not window.watch.running


def test_a_meter_that_falls_silent_is_told_in_the_window(
    window: DeskWindow, library: str, qtbot: QtBot
) -> None:
    window.watch.start("TCPIP0::localhost::inst7::INSTR", library)
    qtbot.waitUntil(lambda: window.note.isVisible(), timeout=10_000)
    assert "inst7" in window.note.text.text()
    assert not window.watch.running

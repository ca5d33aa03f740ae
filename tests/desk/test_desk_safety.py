"""Cautions, power, large capacitors, the tone and the end of the work."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np
import pytest
import small_sheet
from PyQt6.QtCore import Qt
from PyQt6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from tracer.circuit.results import Verdict
from tracer.desk import tone, words
from tracer.desk.cautions_due import asked_today
from tracer.desk.listing import ListKind, listed
from tracer.desk.reservoirs import reservoirs
from tracer.desk.tone import RATE, TUNES, Tone, wave
from tracer.desk.window import DeskWindow
from tracer.job.banks import put_rail
from tracer.job.choices import cautions_shown, power_applied
from tracer.job.readings import readings
from tracer.job.records import Rail, Tag, TagTerminal
from tracer.job.tags import add_tag

Settled = Callable[[DeskWindow], None]


def capacitor(reference: str, value: str | None, rated: str = "") -> Tag:
    ends = (TagTerminal("1", 0, 0), TagTerminal("2", 9, 0))
    options = (("rated", rated),) if rated else ()
    return Tag(1, (500, 300, 540, 340), "capacitor", reference, value, ends, options)


@pytest.fixture
def bench(window: DeskWindow, settled: Settled) -> DeskWindow:
    """The window with every part of the small sheet confirmed and the leads from HT1 to the chassis."""
    for tag in small_sheet.TAGS:
        window.desk.edit(lambda job, tag=tag: add_tag(job, tag), lay_out=False)
    window.desk.edit(lambda job: put_rail(job, Rail("HT1")))
    settled(window)
    for lead, point in enumerate(("HT1", "chassis")):
        window.strip.lead_typed.emit(lead, point)
    settled(window)
    return window


def enter(window: DeskWindow, settled: Settled, text: str) -> None:
    window.strip.entered.emit(text)
    settled(window)


def test_large_capacitors_are_listed_with_their_volts() -> None:
    tags = [
        capacitor("C1", ".05"),
        capacitor("C2", "8u", "450V"),
        capacitor("C3", "32µ", "350V"),
        capacitor("C4", "1u"),
        capacitor("C5", None),
        small_sheet.TAGS[0],
    ]
    assert [each.reference for each in reservoirs(tags)] == ["C5", "C3", "C2", "C4"], (
        "one without a value may be large"
    )


def test_the_cautions_name_the_capacitors_of_the_set(bench: DeskWindow, settled: Settled) -> None:
    ends = (TagTerminal("1", 500, 101), TagTerminal("2", 540, 112))
    bench.desk.edit(
        lambda job: add_tag(
            job, replace(capacitor("C9", "32u", "450V"), box=(500, 90, 540, 112), terminals=ends)
        )
    )
    settled(bench)
    enter(bench, settled, "14k7")
    assert bench.cautions.isVisible()
    assert "C9 32u 450V" in bench.cautions.large.text()
    assert not bench.cautions.power.isVisible()
    assert "No part bleeds C9" in bench.cautions.unbled.text()
    assert bench.cautions.unbled.isVisible()


def test_power_brings_the_cautions_back(bench: DeskWindow, qtbot: QtBot, settled: Settled) -> None:
    job = bench.desk.job
    assert job is not None
    enter(bench, settled, "14k7")
    bench.cautions.tick.setChecked(True)
    qtbot.mouseClick(bench.cautions.accept, Qt.MouseButton.LeftButton)
    settled(bench)
    assert len(readings(job)) == 1
    bench.actions_by_name["power"].trigger()
    assert len(power_applied(job)) == 1
    assert bench.desk.state.leads == ("", ""), "no lead stays on a set that has power"
    for lead, point in enumerate(("HT1", "chassis")):
        bench.strip.lead_typed.emit(lead, point)
    settled(bench)
    enter(bench, settled, "14k6")
    assert bench.cautions.isVisible()
    assert bench.cautions.power.isVisible()
    assert len(readings(job)) == 1
    bench.actions_by_name["undo"].trigger()
    assert len(power_applied(job)) == 1, "a fact is not undone"
    rows = listed(ListKind.READINGS, job, None, {})
    assert any("Power applied" in row.cells for row in rows)


def test_cautions_count_for_a_day_and_until_power() -> None:
    noon = datetime(1990, 5, 1, 12).astimezone()
    shown = noon.isoformat()
    assert asked_today(shown, noon + timedelta(hours=3))
    assert not asked_today(shown, noon + timedelta(days=1))
    assert asked_today(shown, noon + timedelta(hours=3), [(noon - timedelta(hours=1)).isoformat()])
    assert not asked_today(shown, noon + timedelta(hours=3), [(noon + timedelta(hours=1)).isoformat()])


@pytest.mark.parametrize("verdict", list(Verdict))
def test_tunes_have_the_pitch_they_say(verdict: Verdict) -> None:
    for hertz, long in TUNES[verdict]:
        samples = np.frombuffer(wave(((hertz, long),)), "<i2").astype(float)
        peak = np.argmax(np.abs(np.fft.rfft(samples)))
        assert np.fft.rfftfreq(len(samples), 1 / RATE)[peak] == pytest.approx(hertz, abs=1 / long)
        assert np.abs(samples).max() < 0.3 * 32767
        assert abs(samples[0]) < 50


def test_without_a_sound_device_the_system_beeps(qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> None:
    beeps: list[int] = []
    monkeypatch.setattr(tone, "_sink", lambda parent: None)
    monkeypatch.setattr(QApplication, "beep", lambda: beeps.append(1))
    sounds = Tone()
    sounds.sound(Verdict.PASS)
    assert len(beeps) == 1
    sounds.sound(Verdict.HIGH)
    qtbot.waitUntil(lambda: len(beeps) == 3, timeout=2_000)
    sounds.on = False
    sounds.sound(Verdict.LOW)
    assert len(beeps) == 3


def test_each_reading_sounds_and_the_switch_is_remembered(
    bench: DeskWindow, make_window: Callable[[None], DeskWindow], settled: Settled
) -> None:
    heard: list[Verdict] = []
    bench.measuring.judged.connect(heard.append)
    bench.measuring.cautions_accepted()
    enter(bench, settled, "14k7")
    enter(bench, settled, "2k")
    assert heard == [Verdict.PASS, Verdict.LOW]
    assert cautions_shown(bench.desk.job) is not None  # type: ignore[arg-type]
    assert bench.tone.on
    bench.actions_by_name["tone"].trigger()
    assert not bench.tone.on
    bench.close()
    assert not make_window(None).tone.on


def test_the_end_is_stamped_when_nothing_is_left_to_reach(bench: DeskWindow, settled: Settled) -> None:
    bench.measuring.cautions_accepted()
    assert not bench.rails.end.isVisible()
    for _ in range(12):
        offered = bench.measuring.next
        if offered is None:
            break
        bench.measuring.take_next()
        settled(bench)
        expected = bench.measuring.expectation
        assert expected is not None
        enter(bench, settled, "OL" if expected.expected is None else f"{expected.expected:g}")
    assert bench.measuring.next is None
    assert bench.rails.end.isVisible()
    assert bench.strip.next.text() == words.ALL_CARRIED
    bench.strip.entered.emit("ht1 chassis")
    settled(bench)
    assert bench.strip.next.text() == words.ALL_CARRIED, "the end stays in sight while leads are placed"
    bench.actions_by_name["undo"].trigger()
    settled(bench)
    assert not bench.rails.end.isVisible()

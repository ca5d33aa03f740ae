"""The whole demo from its raw scan with real keys and clicks, each of them counted.

What the person knows is on the sheet or in the demo's confirmations. The meter shows the ohms of the same
circuit with every part at its printed value but R12, which has drifted high, as in the demo's readings.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import pytest
from PyQt6.QtCore import QPoint, Qt
from PyQt6.QtTest import QTest
from PyQt6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from tracer.circuit.elements import Circuit
from tracer.circuit.expect import expect
from tracer.circuit.results import Expectation, Meter, Open
from tracer.circuit.values import format_value
from tracer.desk.asking import is_as_sure
from tracer.desk.colours import DAY
from tracer.desk.end_field import EndField
from tracer.desk.viewpoint import fit
from tracer.desk.window import DeskWindow
from tracer.job.banks import banks, rails
from tracer.job.readings import readings
from tracer.job.records import Tag
from tracer.job.tags import tags
from tracer.resources import asset
from tracer.trace.sheet import Proposal

PATIENCE_MS = 120_000
Key = Qt.Key
Entry = dict[str, Any]
Box = tuple[int, int, int, int]


@dataclass(slots=True)
class Hand:
    """Presses and clicks; what it did is counted."""

    window: DeskWindow
    qtbot: QtBot
    keys: int = 0
    clicks: int = 0

    def press(self, *what: Qt.Key | str, with_control: bool = False) -> None:
        """Press keys or type texts wherever the keys go just now."""
        for each in what:
            target = QApplication.focusWidget()
            assert target is not None
            if isinstance(each, str):
                QTest.keyClicks(target, each)
                self.keys += len(each)
            else:
                control = Qt.KeyboardModifier.ControlModifier
                QTest.keyClick(target, each, control if with_control else Qt.KeyboardModifier.NoModifier)
                self.keys += 1
            QApplication.processEvents()

    def click(self, x: float, y: float) -> None:
        """Click on a place of the page."""
        spot = self.window.view.screen_at(x, y).toPoint()
        assert self.window.view.rect().contains(spot), "a person would have to move the sheet first"
        QTest.mouseClick(self.window.view, Qt.MouseButton.LeftButton, pos=spot)
        self.clicks += 1

    def drag(self, box: Box) -> None:
        """Draw a box."""
        view = self.window.view
        first, last = (view.screen_at(*corner).toPoint() for corner in (box[:2], box[2:]))
        QTest.mousePress(view, Qt.MouseButton.LeftButton, pos=first)
        for step in (QPoint(20, 20), last - first):
            QTest.mouseMove(view, first + step)
            self.qtbot.waitUntil(lambda: True)
        QTest.mouseRelease(view, Qt.MouseButton.LeftButton, pos=last)
        self.clicks += 1

    def wait(self) -> None:
        """Let the window work; that costs no key."""
        self.qtbot.waitUntil(lambda: not self.window.desk.work.busy, timeout=PATIENCE_MS)
        QApplication.processEvents()

    @property
    def spent(self) -> int:
        """Keys and clicks together."""
        return self.keys + self.clicks


def known_of(proposal: Proposal, entries: list[Entry]) -> Entry | None:
    """Return the confirmation that a proposal stands for, or None: a stain, or a piece of another part."""

    def common(entry: Entry) -> float:
        a, b = entry["box"], proposal.box
        wide, high = min(a[2], b[2]) - max(a[0], b[0]), min(a[3], b[3]) - max(a[1], b[1])
        area = (b[2] - b[0]) * (b[3] - b[1])
        return max(0, wide) * max(0, high) / area if wide > 0 and high > 0 else 0.0

    best = max(entries, key=common)
    return best if common(best) > 0.3 and best["kind"] == proposal.kind else None


def electrodes(window: DeskWindow, entry: Entry) -> list[str]:
    """Return the entry's names of the ends, in the order in which the card asks for them."""
    ends = entry["terminals"]
    asked = window.card.ends
    return [
        min(ends, key=lambda e, end=end: (e["x"] - end.x) ** 2 + (e["y"] - end.y) ** 2)["name"]
        for end in asked
    ]


def is_right(proposal: Proposal, entry: Entry | None) -> bool:
    """Whether a proposal can be confirmed as it stands."""
    if entry is None:
        return False
    if proposal.kind == "chassis":
        return True
    if proposal.kind == "label":
        return proposal.value == entry["value"]
    if proposal.kind in ("valve", "transformer", "jack", "plug") or is_polar(entry):
        return False
    value = (proposal.value or "").split(" ")[0]
    return proposal.reference == entry["reference"] and value == (entry.get("value") or "")


def is_polar(entry: Entry) -> bool:
    return {end["name"] for end in entry["terminals"]} == {"+", "-"}


def tag_all(hand: Hand, entries: list[Entry]) -> None:
    """Answer every proposal, and draw a box round what was not proposed."""
    window = hand.window
    done: list[Entry] = []
    hand.press(Key.Key_P)
    before: tuple[object, int] = (None, -1)
    while (proposal := window.tagging.asked_proposal()) is not None:
        now = (proposal.box, len(window.desk.proposals_in_view()))
        assert now != before, (
            f"nothing came of {proposal}: {window.card.note.text()} {window.slip.label.text()}"
        )
        before = now
        entry = known_of(proposal, entries)
        if entry is None or entry in done:
            hand.press(Key.Key_X)
            continue
        like = [p for p in window.desk.proposals_in_view() if is_as_sure(p, proposal)]
        known = [known_of(p, entries) for p in like]
        answerable = [
            (p, e)
            for p, e in zip(like, known, strict=True)
            if p.value or p.kind not in ("resistor", "capacitor")
        ]
        if len(like) > 1 and all(is_right(p, e) for p, e in answerable) and is_right(proposal, entry):
            hand.press(Key.Key_A)
            done += [e for _, e in answerable if e is not None]
        else:
            answer(hand, proposal, entry)
            done.append(entry)
        hand.wait()
    for entry in entries:
        if entry not in done:
            draw(hand, entry)
            hand.wait()


def answer(hand: Hand, proposal: Proposal, entry: Entry) -> None:
    """Confirm one proposal, put right where it must be."""
    window = hand.window
    if entry["kind"] == "label" and proposal.value != entry["value"]:
        hand.press(Key.Key_E)
        for field, text in ((window.card.reference, entry["reference"]), (window.card.value, entry["value"])):
            while not field.hasFocus():
                hand.press(Key.Key_Tab)
            field.selectAll()
            hand.press(text)
        hand.press(Key.Key_Return)
        return
    if is_polar(entry):
        names = {end["name"]: end for end in entry["terminals"]}
        hand.press(Key.Key_T)
        plus = next(end for end in window.card.ends if end.name == "+")
        if abs(plus.y - names["+"]["y"]) > abs(plus.y - names["-"]["y"]):
            hand.press(Key.Key_T)
    if proposal.reference != entry["reference"] and proposal.kind not in ("chassis", "label"):
        hand.press(Key.Key_E)
        if window.card.reference.hasFocus():
            hand.press(entry["reference"])
        else:
            QTest.mouseDClick(window.card.reference, Qt.MouseButton.LeftButton)
            hand.clicks += 2
            hand.press(entry["reference"])
            while not any(field.hasFocus() for field in window.card.findChildren(EndField)):
                hand.press(Key.Key_Tab)
            name_ends(hand, entry)
            return
        if not window.card.lacks_value:
            hand.press(Key.Key_Return)
            return
    wanted = electrodes(window, entry)
    if (
        proposal.kind in ("valve", "transformer", "jack", "plug")
        and [e.name for e in window.card.ends] != wanted
    ):
        if all(end.name and not end.name.startswith("/") for end in window.card.ends):
            hand.press(Key.Key_E)
            while not any(field.hasFocus() for field in window.card.findChildren(EndField)):
                hand.press(Key.Key_Tab)
        else:
            hand.press(Key.Key_Y)
        name_ends(hand, entry)
        return
    hand.press(Key.Key_Y)
    if window.card.isVisible() and window.card.value.hasFocus():
        hand.press(entry["value"], Key.Key_Return)


def name_ends(hand: Hand, entry: Entry) -> None:
    """Name the ends that the card asks for, beginning where it put the keys."""
    card = hand.window.card
    wanted = electrodes(hand.window, entry)
    fields = [field for field in card.findChildren(EndField) if field.isVisible()]
    at = next(n for n, field in enumerate(fields) if field.hasFocus())
    for number in range(at, len(fields)):
        text, whole = fields[number].text(), wanted[number]
        if text.startswith("/") and whole.endswith(text):
            hand.press(whole.removesuffix(text))
        elif text != whole:
            hand.press(shortened(whole, entry["kind"]))
        hand.press(Key.Key_Return if number == len(fields) - 1 else Key.Key_Tab)


def shortened(name: str, kind: str) -> str:
    """Return as much of an end's name as the card needs."""
    winding, dot, end = name.partition(".")
    if kind == "transformer":
        return winding if dot and end.isdecimal() else name
    return name[0] if kind == "jack" else name


def draw(hand: Hand, entry: Entry) -> None:
    """Draw a box round a part that was not proposed, and say what it is."""
    window = hand.window
    x0, y0, x1, y1 = entry["box"]
    window.view.look_from(fit(window.view.glass, (x0 - 150, y0 - 150, x1 + 150, y1 + 150)))
    hand.press(Key.Key_B)
    hand.drag((x0, y0, x1, y1))
    assert window.card.reference.hasFocus()
    hand.press(entry["reference"], Key.Key_Tab)
    if window.card.kind.currentText() != entry["kind"]:
        while not window.card.kind.hasFocus():
            hand.press(Key.Key_Backtab)
        hand.press(entry["kind"], Key.Key_Tab)
        assert window.card.kind.currentText() == entry["kind"]
    if entry.get("value"):
        while not window.card.value.hasFocus():
            hand.press(Key.Key_Tab)
        hand.press(entry["value"])
    if window.card.reference.text() != entry["reference"]:
        while not window.card.reference.hasFocus():
            hand.press(Key.Key_Backtab)
        hand.press(entry["reference"])
    if all(end.name for end in window.card.ends):
        hand.press(Key.Key_Return)
        return
    while not any(field.hasFocus() for field in window.card.findChildren(EndField)):
        hand.press(Key.Key_Tab)
    name_ends(hand, entry)


def wire_banks(hand: Hand, entries: dict[str, list[Entry]]) -> None:
    """Name the switch banks and tick their contacts."""
    closed = {
        tag["reference"]: tag["options"]["closed"]
        for tag in entries["tags"]
        if "closed" in tag.get("options", {})
    }
    panel = hand.window.contacts
    hand.press(Key.Key_N, with_control=True)
    for bank in entries["banks"]:
        hand.press(f"{bank['name']}:{','.join(bank['positions'])}", Key.Key_Return)
        assert panel.bank.currentText() == bank["name"]
        assert panel.table.hasFocus()
        for row, contact in enumerate(panel.table.contacts()):
            name, _, positions = closed.get(contact, "").partition(":")
            for position in positions.split(",") if name == bank["name"] else ():
                column = bank["positions"].index(position)
                if row > panel.table.currentRow() + 1:
                    hand.press(contact[1:])
                while panel.table.currentRow() != row:
                    hand.press(Key.Key_Down)
                while panel.table.currentColumn() != column:
                    hand.press(Key.Key_Right if panel.table.currentColumn() < column else Key.Key_Left)
                hand.press(Key.Key_Space)
        hand.press(Key.Key_Return)
        hand.wait()


def drifted(circuit: Circuit, reference: str, value: str) -> Circuit:
    """Return the set as it is on the bench: one part has another value."""
    elements = (replace(e, value=value) if e.reference == reference else e for e in circuit.elements)
    return replace(circuit, elements=tuple(elements))


def measure_all(hand: Hand, most: int) -> None:
    """Take what is offered until nothing is, with the leads and switches where Enter puts them."""
    window, meter = hand.window, Meter()
    laid = window.desk.laid
    assert laid is not None
    on_bench = drifted(laid.bench.circuit, "R12", "71k")
    window.strip.entry.setFocus()
    for _ in range(most):
        if window.measuring.next is None:
            break
        hand.press(Key.Key_Return)
        hand.wait()
        if not all(window.desk.state.leads):
            break
        found = expect(on_bench, *window.desk.state.leads, window.desk.state.setting, meter)
        hand.press(shown(found), Key.Key_Return)
        if window.cautions.isVisible():
            hand.press(Key.Key_Space, Key.Key_Return)
        hand.wait()


def shown(found: Expectation) -> str:
    """Return what a meter of three figures shows."""
    if found.open is Open.ALWAYS:
        return "OL"
    ohms = found.expected if found.expected is not None else found.low
    assert ohms is not None
    return format_value(ohms, "ohm", 3) if ohms >= 0.05 else "0"


@pytest.mark.timeout(900)
def test_the_demo_from_a_raw_scan_takes_few_keys(
    qtbot: QtBot, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    entries = json.loads(asset("demo/confirmations.json").read_text("utf-8"))
    scan = tmp_path / "hall.png"
    scan.write_bytes(asset("demo/sheet.png").read_bytes())
    window = DeskWindow(DAY)
    qtbot.addWidget(window)
    window.resize(1600, 1000)
    with qtbot.waitActive(window):
        window.show()
        window.activateWindow()
    window.open(scan)
    hand = Hand(window, qtbot)
    hand.wait()
    window.view.setFocus()
    job = window.desk.job
    assert job is not None
    tag_all(hand, entries["tags"])
    assert unlike(tags(job), entries["tags"]) == []
    assert {rail.name for rail in rails(job)} == {rail["name"] for rail in entries["rails"]}
    parts, on_parts = len(tags(job)), hand.spent
    wire_banks(hand, entries)
    assert len(banks(job)) == len(entries["banks"])
    on_banks = hand.spent - on_parts
    before = hand.spent
    measure_all(hand, most=24)
    taken = len(readings(job))
    on_readings = hand.spent - before
    with capsys.disabled():
        print(
            f"\n{parts} parts: {on_parts} keys and clicks, {on_parts / parts:.2f} each; "
            f"{len(banks(job))} switch banks with their contacts: {on_banks}; "
            f"{taken} readings: {on_readings}, {on_readings / taken:.2f} each"
        )
    assert on_parts < 2 * parts
    assert on_readings < 8 * taken


def unlike(made: Iterable[Tag], entries: list[Entry]) -> list[str]:
    """Return the entries that no tag has the kind, reference, value and ends of."""
    found = {(tag.kind, tag.reference, tag.value or "", len(tag.terminals)) for tag in made}
    named = {(kind, reference, value) for kind, reference, value, _ in found}
    missing = []
    for entry in entries:
        key = (entry["kind"], entry["reference"], entry.get("value") or "")
        if entry["kind"] != "chassis" and key not in named:
            missing.append(" ".join(key))
    signs = sum(entry["kind"] == "chassis" for entry in entries)
    if sum(tag.kind == "chassis" for tag in made) < signs:
        missing.append("chassis signs")
    return missing

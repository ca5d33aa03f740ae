"""Going through the proposals with one key each."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
import small_sheet
from PyQt6.QtCore import QRectF, Qt
from PyQt6.QtGui import QImage, QPainter, QTransform
from PyQt6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from tracer.bench.offered import offered, reading_order, walking_order
from tracer.desk.asking import is_as_sure
from tracer.desk.confirming import confirm_tags
from tracer.desk.draft import from_proposal
from tracer.desk.end_field import EndField
from tracer.desk.kept_drawing import KeptDrawing
from tracer.desk.pinning import with_ends_alike
from tracer.desk.viewpoint import pan, zoom
from tracer.desk.walking import tags_of
from tracer.desk.window import DeskWindow
from tracer.job.banks import rails
from tracer.job.dismissals import dismissals
from tracer.job.tags import tags
from tracer.trace import naming
from tracer.trace.sheet import Proposal, Terminal, TracedSheet

Settled = Callable[[DeskWindow], None]
Make = Callable[[object], DeskWindow]


def proposal(number: int, x: int, y: int, **fields: object) -> Proposal:
    box = (x, y, x + 60, y + 20)
    ends = (Terminal("1", x, y + 10.0, 1), Terminal("2", x + 60.0, y + 10.0, 2))
    return replace(Proposal(number, box, "resistor", 0.9, ends), **fields)  # type: ignore[arg-type]


def test_yes_no_and_next_take_one_key_each(window: DeskWindow, qtbot: QtBot, settled: Settled) -> None:
    job = window.desk.job
    assert job is not None
    window.view.setFocus()
    qtbot.keyClick(window.view, Qt.Key.Key_P)
    first = window.tagging.asked_proposal()
    assert first is not None
    assert first.box == pytest.approx(small_sheet.R1, abs=4)
    qtbot.keyClick(window.view, Qt.Key.Key_P)
    second = window.tagging.asked_proposal()
    assert second is not None
    assert second.box != first.box
    qtbot.keyClick(window.view, Qt.Key.Key_P, Qt.KeyboardModifier.ShiftModifier)
    qtbot.keyClick(window.view, Qt.Key.Key_X)
    assert [each.box for each in dismissals(job)] == [first.box]
    assert first.box not in [p.box for p in window.overlays.proposals]
    assert window.tagging.asked_proposal() == second
    qtbot.keyClick(window.view, Qt.Key.Key_Y)
    assert tags(job) == (), "a value that was not read is asked for"
    assert window.card.value.hasFocus()
    qtbot.keyClick(window.card.value, Qt.Key.Key_Return)
    settled(window)
    assert [tag.box for tag in tags(job)] == [second.box]
    third = window.tagging.asked_proposal()
    assert third is not None
    assert third.kind == "chassis"
    qtbot.keyClick(window.view, Qt.Key.Key_Y)
    settled(window)
    assert not window.card.isVisible()
    assert window.overlays.proposals == ()
    for _ in range(3):
        window.actions_by_name["undo"].trigger()
        settled(window)
    assert len(window.overlays.proposals) == 3
    assert (tags(job), dismissals(job)) == ((), ())


def test_what_was_dismissed_stays_away_after_another_reading(
    make_window: Make, window: DeskWindow, settled: Settled
) -> None:
    job = window.desk.job
    assert job is not None
    path = job.path
    window.walking.step()
    window.walking.no()
    settled(window)
    window.close()
    again = make_window(path)
    assert len(again.overlays.proposals) == 2


@pytest.fixture
def lettered(make_window: Make, scan: Path, monkeypatch: pytest.MonkeyPatch) -> DeskWindow:
    """The small sheet with a value read beside each resistor."""

    def name(sheet: TracedSheet, lines: object) -> TracedSheet:
        values = {"resistor": "4k7"}
        named = (replace(p, value=values.get(p.kind), value_confidence=0.95) for p in sheet.proposals)
        return replace(sheet, proposals=tuple(named))

    monkeypatch.setattr(naming, "name_proposals", name)
    return make_window(scan)


def test_all_that_are_as_sure_are_confirmed_in_one_edit(lettered: DeskWindow, settled: Settled) -> None:
    window = lettered
    job = window.desk.job
    assert job is not None
    window.walking.all_like_it()
    assert tags(job) == (), "nothing is confirmed before a proposal was looked at"
    window.walking.step()
    window.walking.all_like_it()
    settled(window)
    assert sorted(tag.reference for tag in tags(job)) == ["R1", "R2"]
    asked = window.tagging.asked_proposal()
    assert asked is not None
    assert asked.kind == "chassis"
    window.actions_by_name["undo"].trigger()
    settled(window)
    assert tags(job) == ()
    assert len(window.overlays.proposals) == 3


@pytest.fixture
def doubted(make_window: Make, scan: Path, monkeypatch: pytest.MonkeyPatch) -> DeskWindow:
    """The small sheet with one value read well and one read badly."""

    def name(sheet: TracedSheet, lines: object) -> TracedSheet:
        sure = iter((0.97, 0.55))
        return replace(
            sheet,
            proposals=tuple(
                replace(p, value="4k7", value_confidence=next(sure), score=0.9) if p.kind == "resistor" else p
                for p in sheet.proposals
            ),
        )

    monkeypatch.setattr(naming, "name_proposals", name)
    return make_window(scan)


def test_how_surely_lettering_was_read_is_said_and_doubted_lettering_needs_its_own_yes(
    doubted: DeskWindow, qtbot: QtBot, settled: Settled
) -> None:
    window = doubted
    job = window.desk.job
    assert job is not None
    seen = {}
    window.view.setFocus()
    for _ in range(2):
        qtbot.keyClick(window.view, Qt.Key.Key_P)
        asked = window.tagging.asked_proposal()
        assert asked is not None
        seen[asked.value_confidence] = (window.card.read.text(), window.card.value.property("doubted"))
    assert "4k7, 97 % sure" in seen[0.97][0]
    assert "only 55 % sure: look twice" in seen[0.55][0]
    assert (seen[0.97][1], seen[0.55][1]) == (False, True)
    while window.tagging.asked_proposal().value_confidence != 0.97:  # type: ignore[union-attr]
        qtbot.keyClick(window.view, Qt.Key.Key_P)
    qtbot.keyClick(window.view, Qt.Key.Key_A)
    settled(window)
    assert len(tags(job)) == 1, "the doubted one is left"
    left = window.tagging.asked_proposal()
    while left is not None and left.value_confidence != 0.55:
        qtbot.keyClick(window.view, Qt.Key.Key_P)
        left = window.tagging.asked_proposal()
    qtbot.keyClick(window.view, Qt.Key.Key_E)
    window.card.value.setFocus()
    qtbot.keyClicks(window.card.value, "5")
    assert window.card.value.property("doubted") is False, "what a person writes is in no doubt"


def test_a_yes_to_all_takes_what_is_at_least_as_sure_in_kind_and_lettering() -> None:
    asked = proposal(0, 0, 0, value="1k", value_confidence=0.95)
    others = {
        "as sure": proposal(1, 0, 0, value="1k", value_confidence=0.9),
        "less sure": proposal(2, 0, 0, value="1k", value_confidence=0.9, score=0.8),
        "read badly": proposal(3, 0, 0, value="1k", value_confidence=0.6),
        "nothing read": proposal(4, 0, 0),
    }
    taken = [name for name, other in others.items() if is_as_sure(other, asked)]
    assert taken == ["as sure", "nothing read"]
    assert is_as_sure(others["read badly"], replace(asked, value_confidence=0.5))


def test_references_that_were_read_are_kept_and_no_other_part_gets_them() -> None:
    read = [
        proposal(0, 0, 0, value="1k"),
        proposal(1, 100, 0, reference="R1", value="4k7"),
        proposal(2, 200, 0, reference="R3", value="1k"),
        proposal(3, 300, 0, reference="R3", value="1k"),
        proposal(4, 400, 0, value="lots"),
        proposal(5, 500, 0, reference="R7"),
    ]
    made = tags_of(read, 1, ["R2"])
    assert [(tag.box[0], tag.reference, tag.value) for tag in made] == [
        (0, "R4", "1k"),
        (100, "R1", "4k7"),
        (200, "R3", "1k"),
        (300, "R5", "1k"),
    ], "a value that was not read, or cannot be, is left to a person"


def test_electrodes_are_left_to_a_person() -> None:
    assert tags_of([proposal(0, 0, 0, kind="valve")], 1, []) == ()


def test_lettering_fills_the_card_in_pencil(window: DeskWindow, qtbot: QtBot) -> None:
    (first, *_) = reading_order(window.overlays.proposals)
    window.tagging.open_proposal(replace(first, reference="R41", value="6k8"))
    card = window.card
    assert (card.reference.text(), card.value.text()) == ("R41", "6k8")
    assert "R41; 6k8" in card.read.text()
    assert card.reference.font().italic()
    assert card.value.font().italic()
    card.value.setFocus()
    qtbot.keyClicks(card.value, "8")
    assert not card.value.font().italic(), "what a person writes is in ink"
    assert tags(window.desk.job) == ()  # type: ignore[arg-type]


def test_proposals_are_read_row_by_row() -> None:
    listed = [proposal(0, 300, 12), proposal(1, 0, 20), proposal(2, 0, 300), proposal(3, 150, 8)]
    assert [p.id for p in reading_order(listed)] == [1, 3, 0, 2]


def test_a_dismissed_stain_takes_no_part_with_it() -> None:
    part, stain = proposal(0, 0, 0, box=(0, 0, 200, 100)), proposal(1, 20, 20)
    assert offered([part, stain], [], [stain.box]) == (part,)
    unreached = replace(part, terminals=(Terminal("1", 0.0, 0.0, None),))
    assert offered([unreached], [], []) == ()


def test_a_kept_drawing_serves_until_it_is_another(window: DeskWindow) -> None:
    kept, drawn = KeptDrawing(), []

    def draw(painter: QPainter, on_page: QTransform, seen: object) -> None:
        drawn.append(on_page.dx())
        painter.fillRect(on_page.mapRect(painter_square), Qt.GlobalColor.red)

    painter_square = QRectF(200, 100, 20, 20)

    def shown() -> tuple[int, bool]:
        picture = QImage(window.view.size(), QImage.Format.Format_RGB32)
        picture.fill(Qt.GlobalColor.white)
        painter = QPainter(picture)
        kept.paint(painter, window.view, "same", draw)
        painter.end()
        middle = window.view.screen_at(210, 110).toPoint()
        return len(drawn), picture.pixelColor(middle).green() == 0

    assert shown() == (1, True)
    window.view.look_from(pan(window.view.view, 40.0, -25.0))
    assert shown() == (1, True), "pushed a little, the picture still serves"
    window.view.look_from(pan(window.view.view, 400.0, 0.0))
    assert shown()[0] == 2
    window.view.look_from(zoom(window.view.view, window.view.glass, 300.0, 200.0, 1.3))
    assert shown() == (3, True)


def test_of_each_kind_the_least_sure_comes_first() -> None:
    listed = [
        proposal(0, 0, 0, score=0.9),
        proposal(1, 0, 100, kind="coil"),
        proposal(2, 0, 200, score=0.4),
        proposal(3, 0, 300, score=0.7),
    ]
    assert [p.id for p in walking_order(listed)] == [2, 3, 0, 1]


def test_pins_that_were_read_wait_for_their_electrodes(
    window: DeskWindow, qtbot: QtBot, settled: Settled
) -> None:
    """A valve takes its electrodes alone where its pins were read, and one drawn like it takes none."""
    job = window.desk.job
    assert job is not None
    ends = (Terminal("7", 330.0, 180.0, 1), Terminal("3", 330.0, 240.0, 2))
    first = replace(
        proposal(7, 300, 180), kind="valve", reference="V3", terminals=ends, box=(300, 180, 360, 240)
    )
    window.tagging.open_proposal(first)
    field, *_ = (end for end in window.card.findChildren(EndField) if end.isVisible())
    assert field.hasFocus()
    for key in ("a", Qt.Key.Key_Tab, "k", Qt.Key.Key_Return):
        target = QApplication.focusWidget()
        assert target is not None
        qtbot.keyClicks(target, key) if isinstance(key, str) else qtbot.keyClick(target, key)
    settled(window)
    (tag,) = tags(job)
    assert [end.name for end in tag.terminals] == ["a/7", "k/3"]
    other = replace(
        first,
        reference="V4",
        box=(400, 180, 460, 240),
        terminals=(Terminal("3", 430.0, 241.0, 2), Terminal("9", 430.0, 181.0, 1)),
    )
    alike = with_ends_alike(from_proposal(other, 1, ["V3"]), tags(job))
    assert [end.name for end in alike.terminals] == ["k/3", "a/9"]
    half = with_ends_alike(from_proposal(replace(other, reference="V3"), 1, ["V3"]), tags(job))
    assert [end.name for end in half.terminals] == ["k2/3", "a2/9"], "the other half of a double valve"
    upside_down = replace(other, terminals=(Terminal("3", 401.0, 211.0, 2), Terminal("9", 459.0, 211.0, 1)))
    bare = with_ends_alike(from_proposal(upside_down, 1, ["V3"]), tags(job))
    assert [end.name for end in bare.terminals] == ["/3", "/9"], "drawn otherwise, nothing is presumed"


def test_a_label_that_names_a_supply_brings_its_rail(window: DeskWindow) -> None:
    job = window.desk.job
    assert job is not None
    label = replace(
        proposal(8, 52, 70), kind="label", value="HT1", terminals=(Terminal("1", 62.0, 101.0, 1),)
    )
    for place, name in enumerate(("HT1", "HT1", "GRAM")):
        box = (52, 70 + 30 * place, 74, 90 + 30 * place)
        made = tags_of([replace(label, value=name, box=box)], 1, [tag.reference for tag in tags(job)])
        confirm_tags(job, made)
    assert [tag.reference for tag in tags(job)] == ["HT1@1", "HT1@2", "GRAM@1"]
    assert [rail.name for rail in rails(job)] == ["HT1"]
    window.desk.undo()
    window.desk.undo()
    window.desk.undo()
    assert rails(job) == (), "the rail goes with the label that brought it"


def test_one_key_turns_a_capacitor(window: DeskWindow, qtbot: QtBot) -> None:
    window.tagging.open_proposal(
        replace(proposal(9, 300, 180), kind="capacitor", value="16u"), takes_keys=False
    )
    window.view.setFocus()
    names = []
    for _ in range(2):
        qtbot.keyClick(window.view, Qt.Key.Key_T)
        names.append([end.name for end in window.card.ends])
    assert names == [["+", "-"], ["-", "+"]]

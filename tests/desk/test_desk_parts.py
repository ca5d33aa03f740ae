"""Confirming, changing and removing parts in the window."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

import pytest
import small_sheet
from PyQt6.QtCore import QPoint, Qt
from pytestqt.qtbot import QtBot

from tracer.circuit.expect import expect
from tracer.desk.draft import entering, from_box, from_tag, next_reference, to_tag, with_kind
from tracer.desk.end_field import EndField
from tracer.desk.viewpoint import Viewpoint
from tracer.desk.window import DeskWindow
from tracer.errors import BadConfirmation, BadValue
from tracer.job.fitted import fitted_values, ruling
from tracer.job.records import ValueSource
from tracer.job.tags import add_tag, tags

Settled = Callable[[DeskWindow], None]


def at(window: DeskWindow, x: float, y: float) -> QPoint:
    return window.view.screen_at(x, y).toPoint()


def middle(box: tuple[int, int, int, int]) -> tuple[float, float]:
    return (box[0] + box[2]) / 2, (box[1] + box[3]) / 2


def test_proposals_come_from_the_reader(window: DeskWindow) -> None:
    assert sorted(p.kind for p in window.overlays.proposals) == ["chassis", "resistor", "resistor"]
    assert tags(window.desk.job) == ()  # type: ignore[arg-type]


def test_a_proposal_is_confirmed_with_keys_alone(window: DeskWindow, qtbot: QtBot, settled: Settled) -> None:
    window.view.setFocus()
    qtbot.keyClick(window.view, Qt.Key.Key_P)
    card = window.card
    assert card.isVisible()
    asked = card.draft
    assert asked is not None
    assert asked.kind == "resistor"
    assert window.view.hasFocus(), "Y, X and P answer without a field in the way"
    qtbot.keyClick(window.view, Qt.Key.Key_E)
    assert card.reference.hasFocus()
    qtbot.keyClicks(card.reference, "R17")
    qtbot.keyClick(card.reference, Qt.Key.Key_Tab)
    assert card.value.hasFocus()
    qtbot.keyClicks(card.value, "4k7")
    qtbot.keyClick(card.value, Qt.Key.Key_Return)
    settled(window)
    assert card.asked is not None
    assert card.asked.box != asked.box, "the walk goes on to the next"
    (tag,) = tags(window.desk.job)  # type: ignore[arg-type]
    assert (tag.reference, tag.value, tag.kind) == ("R17", "4k7", "resistor")
    assert [terminal.name for terminal in tag.terminals] == ["1", "2"]
    assert len(window.overlays.proposals) == 2, "what was confirmed is proposed no more"


def test_a_press_on_a_proposal_opens_it_and_escape_leaves_it(window: DeskWindow, qtbot: QtBot) -> None:
    qtbot.mouseClick(window.view, Qt.MouseButton.LeftButton, pos=at(window, *middle(small_sheet.R2)))
    assert window.card.isVisible()
    qtbot.keyClick(window.card.value, Qt.Key.Key_Escape)
    assert not window.card.isVisible()
    assert tags(window.desk.job) == ()  # type: ignore[arg-type]


def test_a_box_drawn_by_hand_finds_the_conductors_that_enter_it(
    window: DeskWindow, qtbot: QtBot, settled: Settled
) -> None:
    window.view.setFocus()
    qtbot.keyClick(window.view, Qt.Key.Key_B)
    assert window.view.boxing
    start, end = at(window, 500, 85), at(window, 560, 118)
    qtbot.mousePress(window.view, Qt.MouseButton.LeftButton, pos=start)
    qtbot.mouseMove(window.view, start + QPoint(20, 10))
    qtbot.mouseMove(window.view, end)
    qtbot.mouseRelease(window.view, Qt.MouseButton.LeftButton, pos=end)
    draft = window.card.draft
    assert draft is not None
    assert [round(t.y) for t in draft.terminals] == pytest.approx([101, 101], abs=2)
    assert [t.x for t in draft.terminals] == pytest.approx([500, 560], abs=4)
    window.card.reference.setText("L1")
    window.card.kind.setCurrentText("coil")
    window.card.kind_chosen.emit("coil")
    qtbot.keyClick(window.card.reference, Qt.Key.Key_Return)
    settled(window)
    lighting = window.desk.lighting
    assert lighting is not None
    assert lighting.conductor_at(480, 101) != lighting.conductor_at(600, 101), "wire ends at a confirmed body"


def test_what_is_wrong_is_said_on_the_card_and_nothing_is_stored(window: DeskWindow, qtbot: QtBot) -> None:
    window.walking.step()
    window.actions_by_name["edit_part"].trigger()
    window.card.value.setText("lots")
    qtbot.keyClick(window.card.value, Qt.Key.Key_Return)
    assert window.card.isVisible()
    assert "lots" in window.card.note.text()
    assert tags(window.desk.job) == ()  # type: ignore[arg-type]


def test_a_part_is_changed_and_removed_and_all_of_it_undone(
    window: DeskWindow, qtbot: QtBot, settled: Settled
) -> None:
    job = window.desk.job
    assert job is not None
    window.tagging.open_proposal(window.overlays.proposals[0])
    window.card.reference.setText("R1")
    qtbot.keyClick(window.card.reference, Qt.Key.Key_Return)
    settled(window)
    (tag,) = tags(job)
    window.tagging.open_tag(tag)
    window.card.value.setText("22k")
    qtbot.keyClick(window.card.value, Qt.Key.Key_Return)
    settled(window)
    assert tags(job)[0].value == "22k"
    window.desk.pick(tag=tag.id)
    window.view.setFocus()
    qtbot.keyClick(window.view, Qt.Key.Key_Delete)
    settled(window)
    assert tags(job) == ()
    undo, redo = window.actions_by_name["undo"], window.actions_by_name["redo"]
    seen = []
    for _ in range(3):
        undo.trigger()
        settled(window)
        seen.append([tag.value for tag in tags(job)])
    assert seen == [["22k"], [None], []]
    for _ in range(3):
        redo.trigger()
        settled(window)
    assert tags(job) == ()
    redo.trigger()
    assert "Nothing" in window.slip.label.text()


def test_an_end_is_moved_by_a_press_while_it_is_named(window: DeskWindow, qtbot: QtBot) -> None:
    window.tagging.open_proposal(window.overlays.proposals[0])
    window.card._rows.fields[1].setFocus()
    qtbot.mouseClick(window.view, Qt.MouseButton.LeftButton, pos=at(window, 330, 101))
    draft = window.card.draft
    assert draft is not None
    assert (draft.terminals[1].x, draft.terminals[1].y) == pytest.approx((330, 101), abs=1.5)


def test_drafts_are_checked() -> None:
    draft = from_tag(small_sheet.TAGS[0])
    assert to_tag(draft) == small_sheet.TAGS[0]
    changes: list[tuple[dict[str, object], type[Exception]]] = [
        ({"reference": "R 1"}, BadConfirmation),
        ({"kind": "gadget"}, BadConfirmation),
        ({"value": "many"}, BadValue),
        ({"tolerance": "about"}, BadValue),
        ({"terminals": ()}, BadConfirmation),
        ({"options": 'ohms="1'}, BadConfirmation),
    ]
    for change, error in changes:
        fields = {name: getattr(draft, name) for name in draft.__dataclass_fields__}
        with pytest.raises(error):
            to_tag(type(draft)(**{**fields, **change}))


def test_another_kind_brings_its_own_ends_and_reference() -> None:
    draft = from_box((10, 10, 90, 40), 1, None, ["R1", "P1"])
    assert (draft.reference, [t.name for t in draft.terminals]) == ("R2", ["1", "2"])
    pot = with_kind(draft, "pot", ["R1", "P1"])
    assert (pot.reference, [t.name for t in pot.terminals]) == ("P2", ["1", "w", "2"])
    valve = with_kind(draft, "valve", [])
    assert {t.name for t in valve.terminals} == {""}, "electrodes are never guessed"
    assert next_reference("capacitor", ["C1", "c2"]) == "C3"


def test_entering_counts_each_wire_once(window: DeskWindow) -> None:
    lighting = window.desk.lighting
    assert lighting is not None
    places = entering(lighting.sheet, (420, 80, 460, 125))
    assert len(places) == 3, "left, right and down from the dot"


def test_a_box_is_drawn_with_keys_alone(window: DeskWindow, qtbot: QtBot) -> None:
    window.view.setFocus()
    qtbot.keyClick(window.view, Qt.Key.Key_B)
    for corner in ((500.0, 85.0), (560.0, 118.0)):
        window.view.look_from(Viewpoint(*corner, 2.0))
        qtbot.keyClick(window.view, Qt.Key.Key_Space)
    draft = window.card.draft
    assert draft is not None
    assert draft.box == (500, 85, 560, 118)


def test_a_fitted_value_rules_and_is_dated(window: DeskWindow, qtbot: QtBot, settled: Settled) -> None:
    """4k7 on the sheet, 5k1 measured in the set: the expectation is the fitted one's, with its own limits."""
    for tag in small_sheet.TAGS:
        window.desk.edit(lambda job, tag=tag: add_tag(job, tag), lay_out=False)
    window.desk.lay_out()
    settled(window)
    job = window.desk.job
    assert job is not None
    window.tagging.open_tag(tags(job)[0])
    window.card.fitted.setFocus()
    qtbot.keyClicks(window.card.fitted, "5k1 1%")
    qtbot.keyClick(window.card.fitted, Qt.Key.Key_Return)
    settled(window)
    (kept,) = fitted_values(job)
    assert (kept.value, kept.tolerance, kept.source) == ("5k1", "1%", ValueSource.MEASURED)
    assert datetime.fromisoformat(kept.when).date() == datetime.now().date()
    assert window.desk.laid is not None
    element = next(e for e in window.desk.laid.bench.circuit.elements if e.reference == "R1")
    assert (element.value, element.option("tol")) == ("5k1", "1%")
    expected = expect(window.desk.laid.bench.circuit, "R1.1", "R1.2")
    assert (expected.low, expected.high) == (pytest.approx(5_049), pytest.approx(5_151))
    window.tagging.open_tag(tags(job)[0])
    assert (window.card.value.text(), window.card.fitted.text()) == ("4k7", "5k1 1%")
    window.card.fitted.clear()
    qtbot.keyClick(window.card.fitted, Qt.Key.Key_Return)
    settled(window)
    assert ruling(fitted_values(job)) == {}, "an empty field gives the print its rule back"
    window.actions_by_name["undo"].trigger()
    settled(window)
    assert ruling(fitted_values(job))[tags(job)[0].id or 0].value == "5k1"


def test_a_fitted_value_that_cannot_be_read_is_refused(window: DeskWindow, qtbot: QtBot) -> None:
    window.tagging.open_proposal(window.overlays.proposals[0])
    window.card.value.setText("1k")
    window.card.fitted.setText("a lot")
    qtbot.keyClick(window.card.fitted, Qt.Key.Key_Return)
    assert "a lot" in window.card.note.text()
    assert tags(window.desk.job) == ()  # type: ignore[arg-type]


def test_a_box_with_many_wires_asks_what_it_is_first(window: DeskWindow, qtbot: QtBot) -> None:
    """The reference's letters say the kind; ends without a name are asked for once all else is said."""
    window.view.boxed.emit(380.0, 60.0, 500.0, 150.0)
    assert len(window.card.ends) > 2
    assert window.card.reference.hasFocus()
    qtbot.keyClicks(window.card.reference, "V9")
    qtbot.keyClick(window.card.reference, Qt.Key.Key_Tab)
    assert window.card.kind.currentText() == "valve"
    window.card.reference.setFocus()
    qtbot.keyClick(window.card.reference, Qt.Key.Key_Return)
    assert window.card.note.text()
    assert not window.card.reference.hasFocus(), "now the ends are asked for"


def test_an_end_is_added_while_one_is_named_and_the_others_stay(window: DeskWindow, qtbot: QtBot) -> None:
    window.view.boxed.emit(380.0, 60.0, 500.0, 150.0)
    qtbot.keyClicks(window.card.reference, "V9")
    qtbot.keyClick(window.card.reference, Qt.Key.Key_Tab)
    before = len(window.card.ends)
    field = next(end for end in window.card.findChildren(EndField) if end.isVisible())
    field.setFocus()
    qtbot.keyClicks(field, "a/6")
    qtbot.keyClicks(field, "+")
    assert len(window.card.ends) == before + 1
    assert window.card.ends[0].name == "a/6", "what was typed stays, and so do the ends without a name"


def test_a_kind_that_a_person_gave_stays_whatever_the_reference_says(
    window: DeskWindow, qtbot: QtBot
) -> None:
    card = window.card
    window.view.setFocus()
    qtbot.keyClick(window.view, Qt.Key.Key_B)
    for corner in ((500.0, 85.0), (560.0, 118.0)):
        window.view.look_from(Viewpoint(*corner, 2.0))
        qtbot.keyClick(window.view, Qt.Key.Key_Space)
    qtbot.keyClicks(card.reference, "PL1")
    qtbot.keyClick(card.reference, Qt.Key.Key_Tab)
    assert card.kind.currentText() == "lamp", "the letters tell a kind while nobody gave one"
    card.kind.setFocus()
    card.kind.lineEdit().selectAll()  # type: ignore[union-attr]
    qtbot.keyClicks(card.kind.lineEdit(), "plug")
    qtbot.keyClick(card.kind.lineEdit(), Qt.Key.Key_Tab)
    assert card.kind.currentText() == "plug"
    card.reference.setFocus()
    qtbot.keyClick(card.reference, Qt.Key.Key_End)
    qtbot.keyClick(card.reference, Qt.Key.Key_Tab)
    assert card.kind.currentText() == "plug"

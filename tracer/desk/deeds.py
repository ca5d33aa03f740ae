"""What each entry of the menus does, by its name in `menus.ENTRIES`."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PyQt6.QtWidgets import QMessageBox

from tracer.desk import words
from tracer.desk.listing import ListKind
from tracer.job.records import MarkKind
from tracer.trace.mend import MendKind

if TYPE_CHECKING:
    from tracer.desk.doubts import Doubts
    from tracer.desk.walking import Walking
    from tracer.desk.window import DeskWindow

__all__ = ["deeds_of"]


def deeds_of(window: DeskWindow) -> dict[str, Callable[[], object]]:
    """Return what each entry does to `window`."""
    return {**_on_job_and_sheet(window), **_on_parts(window), **_on_readings_and_view(window)}


def _on_job_and_sheet(window: DeskWindow) -> dict[str, Callable[[], object]]:
    view, mending = window.view, window.mending
    return {
        "open_scan": window.opening.choose_scan,
        "open_job": window.opening.choose_job,
        "open_demo": window.opening.open_demo,
        "add_sheet": window.opening.add_sheet,
        "write_report": window.opening.write_report,
        "undo": window.desk.undo,
        "redo": window.desk.redo,
        "leave": window.close,
        "press": view.press_middle,
        "next_sheet": lambda: window.opening.turn(1),
        "previous_sheet": lambda: window.opening.turn(-1),
        "read_again": window.desk.lay_out,
        "corners": window.cornering.ask,
        "next_doubt": lambda: window.doubts.step(1),
        "previous_doubt": lambda: window.doubts.step(-1),
        "cut": lambda: mending.mend(MendKind.CUT),
        "join": lambda: mending.mend(MendKind.JOIN),
        "junction": lambda: mending.mend(MendKind.JUNCTION),
        "not_wire": lambda: mending.mend(MendKind.NOT_WIRE),
    }


def _on_parts(window: DeskWindow) -> dict[str, Callable[[], object]]:
    tagging = window.tagging
    return {
        "next_proposal": window.walking.step,
        "previous_proposal": lambda: window.walking.step(-1),
        "yes": lambda: _asker(window).yes(),
        "no": lambda: _asker(window).no(),
        "turn_ends": tagging.turn_ends,
        "all_like_it": lambda: _asker(window).all_like_it(),
        "box": tagging.begin_box,
        "new_bank": window.finding.begin_bank,
        "contacts": window.contacts.open,
        "edit_part": tagging.edit_picked,
        "remove_part": tagging.remove_picked,
        "mark_replaced": lambda: window.marking.mark(MarkKind.REPLACED),
        "mark_checked_out": lambda: window.marking.mark(MarkKind.CHECKED_OUT),
        "mark_seen": lambda: window.marking.mark(MarkKind.SEEN),
        "mark_trusted": lambda: window.marking.mark(MarkKind.TRUSTED),
        "mark_later": lambda: window.marking.mark(MarkKind.LATER),
    }


def _on_readings_and_view(window: DeskWindow) -> dict[str, Callable[[], object]]:
    view, measuring = window.view, window.measuring
    return {
        "plus_lead": lambda: window.type_in(0),
        "minus_lead": lambda: window.type_in(1),
        "meter": window.strip.entry.setFocus,
        "take_next": measuring.take_next,
        "swap": measuring.swap,
        "lift": measuring.lift,
        "cautions": window.ask_cautions,
        "power": measuring.power_was_applied,
        "fit": view.fit_page,
        "fit_width": view.fit_width,
        "to_picked": window.finding.look_at_picked,
        "true_size": view.true_size,
        "nearer": lambda: view.zoom_by(1.25),
        "farther": lambda: view.zoom_by(0.8),
        "larger": lambda: window.strip.enlarge(1.15),
        "smaller": lambda: window.strip.enlarge(1 / 1.15),
        "drawer": lambda: window.drawer.setVisible(not window.drawer.isVisible()),
        "list_parts": lambda: window.finding.open_list(ListKind.PARTS),
        "list_conductors": lambda: window.finding.open_list(ListKind.CONDUCTORS),
        "list_readings": lambda: window.finding.open_list(ListKind.READINGS),
        "legend": window.switch_legend,
        "tone": window.switch_tone,
        "whole_screen": window.turn_whole_screen,
        "escape": window.step_back,
        "keys": window.keys.open,
        "about": lambda: QMessageBox.about(window, words.DO_ABOUT, words.ABOUT),
    }


def _asker(window: DeskWindow) -> Walking | Doubts:
    """Who asks just now: a doubtful join while it is looked at and no card is open, else the proposals."""
    joins = window.doubts.asked() is not None and not window.card.isVisible()
    return window.doubts if joins else window.walking

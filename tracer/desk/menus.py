"""Every action, its menu and its keys, in one table."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from PyQt6.QtCore import Qt
from PyQt6.QtGui import QAction, QKeySequence
from PyQt6.QtWidgets import QMainWindow, QMenu, QWidget

from tracer.desk import words

__all__ = ["ENTRIES", "PLACE_ENTRIES", "Entry", "fill_menus", "keys_in_words", "name_edits", "place_menu"]


@dataclass(frozen=True, slots=True)
class Entry:
    """One action. `keys` are its shortcuts; with `on_sheet` they count only while the sheet has the keys.

    An `is_switch` stays on or off.
    """

    name: str
    menu: str
    text: str
    keys: tuple[str, ...]
    on_sheet: bool = False
    line_before: bool = False
    is_switch: bool = False


_J, _S, _P, _R, _V, _H = (
    words.MENU_JOB,
    words.MENU_SHEET,
    words.MENU_PARTS,
    words.MENU_READING,
    words.MENU_VIEW,
    words.MENU_HELP,
)
ENTRIES: tuple[Entry, ...] = (
    Entry("open_scan", _J, words.DO_OPEN_SCAN, ("Ctrl+O",)),
    Entry("open_job", _J, words.DO_OPEN_JOB, ("Ctrl+J",)),
    Entry("open_demo", _J, words.DO_OPEN_DEMO, ("Ctrl+D",)),
    Entry("add_sheet", _J, words.DO_ADD_SHEET, ("Ctrl+Shift+O",), line_before=True),
    Entry("write_report", _J, words.DO_REPORT, ("Ctrl+R",)),
    Entry("undo", _J, words.DO_UNDO, ("Ctrl+Z",), line_before=True),
    Entry("redo", _J, words.DO_REDO, ("Ctrl+Shift+Z", "Ctrl+Y")),
    Entry("leave", _J, words.DO_LEAVE, ("Ctrl+Q",), line_before=True),
    Entry("press", _S, words.DO_PRESS, ("Space",), on_sheet=True),
    Entry("next_sheet", _S, words.DO_NEXT_SHEET, ("PgDown",)),
    Entry("previous_sheet", _S, words.DO_PREVIOUS_SHEET, ("PgUp",)),
    Entry("read_again", _S, words.DO_READ_AGAIN, ("F5",)),
    Entry("corners", _S, words.DO_CORNERS, ("L",)),
    Entry("next_doubt", _S, words.DO_NEXT_DOUBT, ("D",), line_before=True),
    Entry("previous_doubt", _S, words.DO_PREVIOUS_DOUBT, ("Shift+D",)),
    Entry("cut", _S, words.DO_CUT, ("C",)),
    Entry("join", _S, words.DO_JOIN, ("J",)),
    Entry("junction", _S, words.DO_JUNCTION, ("K",)),
    Entry("not_wire", _S, words.DO_NOT_WIRE, ("N",)),
    Entry("next_proposal", _P, words.DO_NEXT_PROPOSAL, ("P",)),
    Entry("previous_proposal", _P, words.DO_PREVIOUS_PROPOSAL, ("Shift+P",)),
    Entry("yes", _P, words.DO_YES, ("Y",)),
    Entry("no", _P, words.DO_NO, ("X",)),
    Entry("turn_ends", _P, words.DO_TURN_ENDS, ("T",)),
    Entry("all_like_it", _P, words.DO_ALL_LIKE_IT, ("A",)),
    Entry("box", _P, words.DO_BOX, ("B",), line_before=True),
    Entry("edit_part", _P, words.DO_EDIT_PART, ("Return", "E"), on_sheet=True),
    Entry("remove_part", _P, words.DO_REMOVE_PART, ("Delete",), on_sheet=True),
    Entry("new_bank", _P, words.DO_NEW_BANK, ("Ctrl+N",), line_before=True),
    Entry("contacts", _P, words.DO_CONTACTS, ("Ctrl+B",)),
    Entry("mark_replaced", _P, words.DO_MARK_REPLACED, ("Ctrl+Shift+R",), line_before=True),
    Entry("mark_checked_out", _P, words.DO_MARK_CHECKED_OUT, ("Ctrl+Shift+C",)),
    Entry("mark_seen", _P, words.DO_MARK_SEEN, ("Ctrl+Shift+E",)),
    Entry("mark_trusted", _P, words.DO_MARK_TRUSTED, ("Ctrl+Shift+T",)),
    Entry("mark_later", _P, words.DO_MARK_LATER, ("Ctrl+Shift+L",)),
    Entry("plus_lead", _R, words.DO_PLUS_LEAD, ("1",)),
    Entry("minus_lead", _R, words.DO_MINUS_LEAD, ("2",)),
    Entry("meter", _R, words.DO_METER, ("3", "M")),
    Entry("take_next", _R, words.DO_TAKE_NEXT, ("G",), line_before=True),
    Entry("swap", _R, words.DO_SWAP, ("S",)),
    Entry("lift", _R, words.DO_LIFT, ("0",)),
    Entry("cautions", _R, words.DO_CAUTIONS, ("F2",), line_before=True),
    Entry("power", _R, words.DO_POWER, ("Ctrl+Shift+P",)),
    Entry("fit", _V, words.DO_FIT, ("Home",), on_sheet=True),
    Entry("fit_width", _V, words.DO_FIT_WIDTH, ("Ctrl+0",)),
    Entry("to_picked", _V, words.DO_TO_PICKED, ("Z",)),
    Entry("true_size", _V, words.DO_TRUE_SIZE, ("Ctrl+1",)),
    Entry("nearer", _V, words.DO_NEARER, ("+", "=")),
    Entry("farther", _V, words.DO_FARTHER, ("-",)),
    Entry("larger", _V, words.DO_LARGER, ("Ctrl++", "Ctrl+="), line_before=True),
    Entry("smaller", _V, words.DO_SMALLER, ("Ctrl+-",)),
    Entry("drawer", _V, words.DO_DRAWER, ("F9",), line_before=True),
    Entry("list_parts", _V, words.DO_LIST_PARTS, ("Ctrl+F",)),
    Entry("list_conductors", _V, words.DO_LIST_CONDUCTORS, ("Ctrl+Shift+F",)),
    Entry("list_readings", _V, words.DO_LIST_READINGS, ("Ctrl+L",)),
    Entry("legend", _V, words.DO_LEGEND, ("W",), is_switch=True),
    Entry("tone", _V, words.DO_TONE, ("Ctrl+T",), is_switch=True),
    Entry("whole_screen", _V, words.DO_WHOLE_SCREEN, ("F11",)),
    Entry("escape", _V, words.DO_ESCAPE, ("Esc",)),
    Entry("keys", _H, words.DO_KEYS, ("?", "F1")),
    Entry("about", _H, words.DO_ABOUT, ("Shift+F1",)),
)

PLACE_ENTRIES: tuple[tuple[str, ...], ...] = (
    ("edit_part", "remove_part", "box"),
    ("cut", "join", "junction", "not_wire"),
    ("mark_replaced", "mark_checked_out", "mark_seen", "mark_trusted", "mark_later"),
)
"""What is offered at a place on the sheet, in groups."""


def fill_menus(
    window: QMainWindow, sheet: QWidget, deeds: Mapping[str, Callable[[], object]]
) -> dict[str, QAction]:
    """Make the menus of `window`; `deeds` gives what each entry does, by name."""
    bar = window.menuBar()
    assert bar is not None
    menus: dict[str, QMenu] = {}
    actions: dict[str, QAction] = {}
    for entry in ENTRIES:
        if entry.menu not in menus:
            made = bar.addMenu(entry.menu)
            assert made is not None
            menus[entry.menu] = made
        if entry.line_before:
            menus[entry.menu].addSeparator()
        action = QAction(entry.text, window)
        action.setShortcuts([QKeySequence(key) for key in entry.keys])
        action.setCheckable(entry.is_switch)
        action.triggered.connect(lambda _checked=False, deed=deeds[entry.name]: deed())
        if entry.on_sheet:
            action.setShortcutContext(Qt.ShortcutContext.WidgetShortcut)
            sheet.addAction(action)
        menus[entry.menu].addAction(action)
        actions[entry.name] = action
    return actions


def place_menu(window: QWidget, actions: Mapping[str, QAction]) -> QMenu:
    """Return a menu of what is offered at a place on the sheet; it goes away when it is closed."""
    menu = QMenu(window)
    menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    for group in PLACE_ENTRIES:
        menu.addSeparator()
        menu.addActions([actions[name] for name in group])
    return menu


def name_edits(actions: Mapping[str, QAction], undo: str | None, redo: str | None) -> None:
    """Say at undo and redo what they would do; None where there is nothing."""
    for name, what, text, bare in (
        ("undo", undo, words.DO_UNDO_WHAT, words.DO_UNDO),
        ("redo", redo, words.DO_REDO_WHAT, words.DO_REDO),
    ):
        actions[name].setText(text.format(what=what) if what else bare)


def keys_in_words() -> tuple[tuple[str, tuple[tuple[str, str], ...]], ...]:
    """Return, menu by menu, every action's keys as this system writes them, and what it does."""
    form = QKeySequence.SequenceFormat.NativeText
    menus: dict[str, list[tuple[str, str]]] = {}
    for entry in ENTRIES:
        # Two long ones would leave no room for what they do.
        written = [QKeySequence(key).toString(form) for key in entry.keys]
        keys = "  ".join(written) if sum(map(len, written)) < 12 else written[0]
        menus.setdefault(entry.menu, []).append((keys, entry.text.replace("&", "").rstrip("…")))
    groups = ((words.KEYS_HAND, words.KEYS_MOUSE), *((menu, tuple(rows)) for menu, rows in menus.items()))
    return (*groups, (words.KEYS_FIELD, words.KEYS_TYPED))

"""Between the lists and the sheet: a row shows its place, a key opens a list."""

from __future__ import annotations

from PyQt6.QtCore import QObject

from tracer.desk.contact_panel import ContactPanel
from tracer.desk.desk import Desk
from tracer.desk.drawer import Drawer
from tracer.desk.list_section import ListSection
from tracer.desk.listing import ListKind, Row
from tracer.desk.overlays import Overlays
from tracer.desk.removing import remove
from tracer.desk.setting_section import SettingSection
from tracer.desk.sheet_view import SheetView
from tracer.desk.state import reach
from tracer.job.readings import reading

__all__ = ["Finding"]


class Finding(QObject):
    """Looks for things and shows them."""

    def __init__(
        self,
        desk: Desk,
        view: SheetView,
        overlays: Overlays,
        drawer: Drawer,
        lists: ListSection,
        setting: SettingSection,
        contacts: ContactPanel,
    ) -> None:
        super().__init__(view)
        self._desk, self._view, self._overlays = desk, view, overlays
        self._drawer, self._lists, self._setting, self._contacts = drawer, lists, setting, contacts
        self._naming_banks = False
        setting.made.connect(self._tell_contacts)
        contacts.closed.connect(self._next_bank)
        lists.picked.connect(self.go_to)
        lists.removed.connect(lambda row: remove(desk, row))

    def go_to(self, row: Row) -> None:
        """Show the place that a row of a list stands for, and pick what lies there."""
        kind, name = row.key
        if row.sheet and row.sheet != self._desk.state.sheet:
            self._desk.turn(row.sheet)
        if kind == "tag":
            self._desk.pick(tag=int(name), conductor=None, spot=None)
        elif kind == "conductor":
            self._desk.pick(conductor=int(name.split()[1]), spot=(row.x, row.y), tag=None)
        elif kind == "reading" and self._desk.job is not None:
            record = reading(self._desk.job, int(name))
            self._desk.set_state(reach(self._desk.state, record.start, record.end))
        elif row.sheet:
            self._desk.pick(spot=(row.x, row.y), tag=None, conductor=None)
        if row.sheet:
            self._view.bring_up(row.x, row.y)

    def look_at_picked(self) -> None:
        """Look at the picked part, the lit conductor or both leads from near by."""
        box = self._overlays.picked_box()
        if box is not None:
            self._view.look_near(box)

    def open_list(self, kind: ListKind) -> None:
        """Turn the drawer to one of the lists and give its search the keys."""
        self._drawer.show()
        self._drawer.open_section(self._lists)
        self._lists.show_list(kind)
        self._lists.search.setFocus()

    def begin_bank(self) -> None:
        """Let the next keys name a new switch bank, in the drawer."""
        self._drawer.show()
        self._drawer.open_section(self._setting)
        self._setting.take_keys()

    def _tell_contacts(self, bank: str) -> None:
        """Ask for the contacts of a new bank at once."""
        self._naming_banks = self._contacts.open_bank(bank)

    def _next_bank(self) -> None:
        """Let the next bank be named once the contacts of one were told."""
        if self._naming_banks:
            self._naming_banks = False
            self._setting.take_keys()

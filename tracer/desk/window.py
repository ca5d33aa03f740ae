"""The window: puts the sheet, the strip, the drawer and the cards together and joins them to the desk."""

from __future__ import annotations

from pathlib import Path

from PyQt6.QtCore import QPoint, QPointF, QSize, Qt
from PyQt6.QtGui import QCloseEvent, QDragEnterEvent, QDropEvent, QGuiApplication, QResizeEvent
from PyQt6.QtWidgets import (
    QApplication,
    QHBoxLayout,
    QMainWindow,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from tracer.desk import keeping, words
from tracer.desk.causes_card import CausesCard
from tracer.desk.cautions_due import powered_since
from tracer.desk.cautions_panel import CautionsPanel
from tracer.desk.colours import Look, as_palette, menu_palette, system_look
from tracer.desk.contact_panel import ContactPanel
from tracer.desk.cornering import Cornering
from tracer.desk.deeds import deeds_of
from tracer.desk.desk import LAY_OUT, Desk
from tracer.desk.doubts import Doubts
from tracer.desk.doubts_section import DoubtsSection
from tracer.desk.drawer import Drawer, Section
from tracer.desk.finding import Finding
from tracer.desk.keys_panel import KeysPanel
from tracer.desk.leaves import Leaves
from tracer.desk.legend_section import LegendSection
from tracer.desk.list_section import ListSection
from tracer.desk.marking import Marking
from tracer.desk.measuring import Measuring
from tracer.desk.mending import Mending
from tracer.desk.menus import fill_menus, keys_in_words, name_edits, place_menu
from tracer.desk.meter_reading import MeterReading
from tracer.desk.meter_section import MeterSection
from tracer.desk.meter_watch import MeterWatch
from tracer.desk.opening import DEMO, REPORT, Opening
from tracer.desk.overlays import Overlays
from tracer.desk.panels import ErrorNote
from tracer.desk.rails_section import RailsSection
from tracer.desk.reservoirs import reservoirs, unbled
from tracer.desk.setting_section import SettingSection
from tracer.desk.sheet_hands import SheetHands
from tracer.desk.sheet_legend import SheetLegend
from tracer.desk.sheet_section import SheetSection
from tracer.desk.sheet_view import SheetView
from tracer.desk.slip import Slip
from tracer.desk.start_page import StartPage
from tracer.desk.strip import ReadingStrip
from tracer.desk.tag_card import TagCard
from tracer.desk.tagging import Tagging
from tracer.desk.title import title_of_window
from tracer.desk.tone import Tone
from tracer.desk.walking import Walking
from tracer.job import edits
from tracer.job.choices import cautions_shown, power_applied
from tracer.job.fitted import as_fitted, fitted_values
from tracer.job.sheets import sheets
from tracer.job.tags import tags

__all__ = ["DeskWindow"]

SHOWN = frozenset({LAY_OUT, DEMO, REPORT})
"""Work whose progress is shown."""


LOW = 500
"""In a window lower than this, px, the sheet and the reading strip do not both have room for fine work."""


class DeskWindow(QMainWindow):
    """One window on one job."""

    def __init__(self, look: Look | None = None) -> None:
        super().__init__()
        self.look = look or system_look()
        self.desk = Desk(self)
        self._warned: tuple[str, ...] = ()
        self._make_parts()
        self._make_flows()
        self._lay_out()
        self._join()
        self.actions_by_name = fill_menus(self, self.view, deeds_of(self))
        self.desk.changed.connect(self._name_edits)
        self.desk.opened.connect(self._name_edits)
        self.setAcceptDrops(True)
        screen = self.screen()
        room = screen.availableSize() if screen is not None else QSize(1440, 920)
        self.resize(QSize(1440, 920).boundedTo(room * 0.95))
        geometry, drawer, magnify, tone, legend = keeping.kept_window()
        if geometry is not None:
            self.restoreGeometry(geometry)
        self.drawer.setVisible(drawer)
        self.legend.strength.valueChanged.connect(self._strengthen)
        self.legend.strength.setValue(keeping.kept_strength())
        self._retitle()
        self.restyle(self.look)
        self.strip.enlarge(magnify)
        self.tone.on = tone
        self.actions_by_name["tone"].setChecked(tone)
        self.actions_by_name["legend"].setChecked(legend)
        self.switch_legend()
        hints = QGuiApplication.styleHints()
        if look is None and hints is not None:
            hints.colorSchemeChanged.connect(self._follow_system)

    # -- making --------------------------------------------------------------------------------------

    def _make_parts(self) -> None:
        look = self.look
        self.start = StartPage(look)
        self.view = SheetView(look)
        self.strip = ReadingStrip(look)
        self.stack = QStackedWidget()
        self.card = TagCard(look, self.stack)
        self.slip = Slip(look, self.stack)
        self.slip.hang_over(self.view)
        self.leaves = Leaves(self.desk, look, self.view)
        self.on_sheet = SheetLegend(look, self.view)
        self.note = ErrorNote(look, self)

    def _make_flows(self) -> None:
        desk, view = self.desk, self.view
        self.opening = Opening(desk, self)
        self.measuring = Measuring(desk, self.strip, self)
        self.tone = Tone(self)
        self.watch = MeterWatch(self)
        self.metered = MeterReading(desk, self.strip, self.measuring, self.watch, self)
        self.tagging = Tagging(desk, view, self.card, self)
        self.walking = Walking(desk, view, self.tagging, self)
        self.mending = Mending(desk, self)
        self.marking = Marking(desk, self)
        self.doubts = Doubts(desk, view, self)
        self.cornering = Cornering(desk, view, self)
        self.overlays = Overlays(desk, view, self.tagging, self.measuring, self.doubts, self)
        flows = (self.overlays, self.tagging, self.measuring, self.mending, self.doubts)
        self.hands = SheetHands(desk, view, self.slip, *flows)

    def _lay_out(self) -> None:
        look = self.look
        self.rails = RailsSection(self.desk, look)
        self.lists = ListSection(self.desk, look)
        self.legend = LegendSection(look)
        self.setting = SettingSection(self.desk, self.measuring)
        self.sheet = SheetSection(self.desk, self.cornering)
        self.meter = MeterSection(self.desk, self.watch)
        self.warnings = DoubtsSection(self.desk, self.doubts, self.cornering)
        self.warnings.proposals_wanted.connect(self.walking.step)
        self.warnings.joins_wanted.connect(lambda: self.doubts.step(1))
        self.warnings.corners_wanted.connect(self.cornering.ask)
        self.warnings.notes_wanted.connect(lambda: self.drawer.open_section(self.sheet))
        self.sheet.place_wanted.connect(self.view.look_near)
        sections = [
            Section(words.SECTION_RAILS, self.rails),
            Section(words.SECTION_SETTING, self.setting),
            Section(words.SECTION_LISTS, self.lists),
            Section(words.SECTION_DOUBTS, self.warnings, is_open=False),
            Section(words.SECTION_SHEET, self.sheet, is_open=False),
            Section(words.SECTION_METER, self.meter, is_open=False),
            Section(words.SECTION_LEGEND, self.legend, is_open=False),
        ]
        self.drawer = Drawer(look, sections)
        self.warnings.counted.connect(self.drawer.counter(self.warnings))
        self.warnings.refresh()
        across = QHBoxLayout()
        across.setSpacing(0)
        across.addWidget(self.view, 1)
        across.addWidget(self.drawer)
        self.bench_page = QWidget()
        down = QVBoxLayout(self.bench_page)
        down.setContentsMargins(0, 0, 0, 0)
        down.setSpacing(0)
        down.addLayout(across, 1)
        down.addWidget(self.strip)
        self.causes = CausesCard(look, self.view, self.drawer, self.bench_page)
        self.stack.addWidget(self.start)
        self.stack.addWidget(self.bench_page)
        middle = QWidget(self)
        whole = QVBoxLayout(middle)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(0)
        whole.addWidget(self.note)
        whole.addWidget(self.stack, 1)
        self.setCentralWidget(middle)
        self.cautions = CautionsPanel(look, middle)
        self.contacts = ContactPanel(self.desk, look, middle)
        self.keys = KeysPanel(look, middle, keys_in_words())

    def _join(self) -> None:
        desk = self.desk
        desk.opened.connect(self._opened)
        desk.page_ready.connect(self._show_page)
        self.view.setContextMenuPolicy(Qt.ContextMenuPolicy.CustomContextMenu)
        self.view.customContextMenuRequested.connect(self._offer_here)
        desk.laid_out.connect(self._laid_out)
        desk.told.connect(self.slip.tell)
        self.cornering.offered.connect(self.slip.tell_after)
        self.cornering.began.connect(self._make_room)
        self.cornering.ended.connect(self.strip.show)
        desk.failed.connect(self.note.tell)
        desk.failed.connect(lambda _: self.slip.end_work())
        desk.work.stage.connect(self._stage)
        desk.work.idle.connect(self.slip.end_work)
        self.slip.stop.clicked.connect(self._stop)
        self.start.scan.connect(self.opening.choose_scan)
        self.start.job.connect(self.opening.choose_job)
        self.start.demo.connect(self.opening.open_demo)
        self.overlays.tinted.connect(self.on_sheet.show_tints)
        self.measuring.cautions_wanted.connect(self.ask_cautions)
        self.measuring.judged.connect(self.tone.sound)
        self.measuring.finished.connect(self.rails.show_end)
        self.cautions.accepted.connect(self.measuring.cautions_accepted)
        self.cautions.left.connect(self.measuring.cautions_left)
        self.measuring.causes_found.connect(self.causes.show_causes)
        self.causes.looked_at.connect(self.overlays.look_at)
        self.causes.taken.connect(self.measuring.take)
        self.causes.chosen.connect(self.measuring.settle)
        self.causes.say_points_with(self.measuring.say)
        self.strip.stepped.connect(self.causes.move_on)
        self.strip.keys_wanted.connect(lambda: self.keys.open())
        self.setting.contacts_wanted.connect(self.contacts.open)
        places = (self.overlays, self.drawer, self.lists, self.setting, self.contacts)
        self.finding = Finding(self.desk, self.view, *places)

    # -- following the desk --------------------------------------------------------------------------

    def _opened(self) -> None:
        self.note.hide()
        self.causes.hide()
        self._warned = ()
        self.stack.setCurrentWidget(self.start if self.desk.job is None else self.bench_page)
        self.slip.raise_()
        self.view.clear_page()
        self._retitle()

    def ask_cautions(self) -> None:
        """Ask the cautions, with what this set holds."""
        job = self.desk.job
        if job is not None:
            since = powered_since(cautions_shown(job), power_applied(job))
            self.cautions.show_set(
                reservoirs(as_fitted(tags(job), fitted_values(job))), since, self._unbled()
            )
        self.cautions.open()

    def _unbled(self) -> list[str]:
        """The large capacitors that no part bleeds as the set stands now."""
        laid = self.desk.laid
        return unbled(laid.bench.circuit, self.desk.state.setting) if laid is not None else []

    def switch_tone(self) -> None:
        self.tone.on = self.actions_by_name["tone"].isChecked()

    def switch_legend(self) -> None:
        self.on_sheet.want(self.actions_by_name["legend"].isChecked())

    def _offer_here(self, where: QPoint) -> None:
        """Offer, at the place under the pointer, what the menus have for a place."""
        if self.view.page_size is None:
            return
        self.hands.pick_spot(*self.view.page_at(QPointF(where)))
        place_menu(self, self.actions_by_name).popup(self.view.mapToGlobal(where))

    def _show_page(self, number: int) -> None:
        if number != self.desk.state.sheet or self.desk.job is None:
            return
        self.view.show_page(self.desk.page(number), self.overlays.dress)
        kept = keeping.kept_view(self.desk.job.path, number)
        if kept is not None:
            self.view.look_from(kept)
        self.overlays.refresh()
        # A sheet with parts is there to be measured, a bare one to be looked at.
        (self.strip.entry if self.desk.tags_in_view() else self.view).setFocus()
        self._retitle()

    def _strengthen(self, percent: int) -> None:
        self.view.set_strength(percent / 100)
        keeping.keep_strength(percent)

    def _name_edits(self) -> None:
        """Say in the menu what undo and redo would do."""
        job = self.desk.job
        if job is None:
            name_edits(self.actions_by_name, None, None)
        else:
            name_edits(self.actions_by_name, edits.can_undo(job), edits.can_redo(job))

    def _laid_out(self) -> None:
        lighting, laid = self.desk.lighting, self.desk.laid
        if lighting is None or laid is None:
            return
        self.slip.end_work()
        if not self.desk.tags_in_view():
            offered = len(self.overlays.proposals)
            self.slip.tell(words.READ_DONE.format(conductors=lighting.sheet.conductors, proposals=offered))
        elif laid.bench.warnings[:1] != self._warned and not self.card.isVisible():
            self._warned = laid.bench.warnings[:1]
            self.slip.tell_after(" ".join(self._warned))

    def _make_room(self) -> None:
        """Leave a low window to the sheet while its corners are put right."""
        self.strip.setVisible(self.height() >= LOW)
        layout = self.bench_page.layout()
        if layout is not None:
            layout.activate()

    def _stage(self, key: str, stage: str, share: float) -> None:
        if key in SHOWN and self.desk.work.is_busy(key):
            self.slip.show_work(stage, share)

    def _stop(self) -> None:
        for key in SHOWN:
            self.desk.work.cancel(key)

    def _retitle(self) -> None:
        self.setWindowTitle(title_of_window(self.desk.job, self.desk.state.sheet))

    def type_in(self, lead: int) -> None:
        self.strip.leads[lead].setFocus()
        self.strip.leads[lead].selectAll()

    def step_back(self) -> None:
        if self.causes.isVisible():
            self.causes.hide()
        else:
            self.hands.escape()

    def turn_whole_screen(self) -> None:
        if self.isFullScreen():
            self.showNormal()
        else:
            self.showFullScreen()

    # -- the window itself ---------------------------------------------------------------------------

    def open(self, path: Path) -> None:
        """Open a job or a scan."""
        self.opening.open(path)
        job = self.desk.job
        kept = keeping.kept_sheet(job.path) if job is not None else None
        if (
            job is not None
            and kept in [sheet.number for sheet in sheets(job)]
            and kept != self.desk.state.sheet
        ):
            self.desk.turn(kept)

    def restyle(self, look: Look) -> None:
        """Draw everything in other colours."""
        self.look = look
        QApplication.setPalette(as_palette(look))
        QApplication.setPalette(menu_palette(look), "QMenu")
        for part in (
            *(self.start, self.view, self.leaves, self.strip, self.card, self.slip, self.causes, self.note),
            *(self.drawer, self.rails, self.lists, self.legend, self.on_sheet),
            *(self.cautions, self.keys, self.contacts),
        ):
            part.restyle(look)

    def _follow_system(self) -> None:
        self.restyle(system_look())

    def resizeEvent(self, a0: QResizeEvent | None) -> None:
        """Leave the sheet its room in a low or a narrow window."""
        self.strip.fit_into(self.height())
        self.drawer.fit_into(self.width())
        super().resizeEvent(a0)

    def dragEnterEvent(self, a0: QDragEnterEvent | None) -> None:
        """Take files."""
        data = a0.mimeData() if a0 is not None else None
        if a0 is not None and data is not None and data.hasUrls():
            a0.acceptProposedAction()

    def dropEvent(self, a0: QDropEvent | None) -> None:
        """Take the files dropped: a job, or the scans of a set."""
        data = a0.mimeData() if a0 is not None else None
        if data is not None:
            self.opening.take([Path(url.toLocalFile()) for url in data.urls() if url.isLocalFile()])

    def closeEvent(self, a0: QCloseEvent | None) -> None:
        """Remember the view; the job needs no saving."""
        job = self.desk.job
        if job is not None and self.view.page_size is not None:
            keeping.keep_view(job.path, self.desk.state.sheet, self.view.view)
        drawer, legend = self.drawer.is_wanted, self.on_sheet.is_wanted
        keeping.keep_window(self.saveGeometry(), drawer, self.strip.magnify, self.tone.on, legend)
        # Work that stops at its next checkpoint may take a moment; nobody has to watch it.
        self.hide()
        self.watch.stop()
        self.desk.close()
        super().closeEvent(a0)

"""Putting the corners of a photographed sheet right, with the mouse or with keys alone."""

from __future__ import annotations

from PyQt6.QtCore import QEvent, QObject, QPointF, Qt, pyqtSignal
from PyQt6.QtGui import QKeyEvent, QMouseEvent, QPainter

from tracer.desk import words
from tracer.desk.corner_paint import paint_corners
from tracer.desk.corner_points import CornerPoints, begin, choose, moved, nearest, put
from tracer.desk.desk import Desk
from tracer.desk.sheet_view import SheetView
from tracer.desk.state import Hand, State
from tracer.desk.viewpoint import fit
from tracer.errors import BadConfirmation
from tracer.job.corners import set_sheet_corners, sheet_corners
from tracer.job.file import Job
from tracer.progress import Progress
from tracer.scan.corners import Corners, propose_corners

__all__ = ["AS_IT_LIES", "Cornering"]

AS_IT_LIES = "none"
"""What is kept of a page that is not to be laid flat."""

GRIP = 16.0
"""How near a press must be to a corner to take hold of it, screen px."""

ROOM = 0.16
"""Share of the view left free round the page, so that nothing lies over its corners."""

EDGE = 30
"""How near the edge of the view a corner may be and still be well in sight, screen px."""

FAR = 12
"""How many times farther an arrow moves a corner with Shift."""

STEPS = {Qt.Key.Key_Left: (-1, 0), Qt.Key.Key_Right: (1, 0), Qt.Key.Key_Up: (0, -1), Qt.Key.Key_Down: (0, 1)}
KEYS = frozenset(
    {*STEPS, Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Tab, Qt.Key.Key_Backtab, Qt.Key.Key_N}
    | {Qt.Key.Key_1, Qt.Key.Key_2, Qt.Key.Key_3, Qt.Key.Key_4}
)
"""Keys that mean the corners while these are asked about."""


class Cornering(QObject):
    """Shows the corners over the sheet and moves them.

    Signals: `found` tells that more is known of the corners of the sheet in view, `offered` carries a
    sentence for a person who has not been told of them. `began` and `ended` stand round the asking.
    """

    found = pyqtSignal()
    offered = pyqtSignal(str)
    began = pyqtSignal()
    ended = pyqtSignal()

    def __init__(self, desk: Desk, view: SheetView, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._desk, self._view = desk, view
        self._proposed: dict[int, Corners | None] = {}
        self._told: set[int] = set()
        self._held = False
        self.corners: CornerPoints | None = None
        view.overlays.append(self._paint)
        view.installEventFilter(self)
        view.pressed.connect(self._press)
        desk.opened.connect(self._forget)
        desk.page_ready.connect(self._look_for)
        desk.laid_out.connect(self._offer)
        desk.state_changed.connect(self._follow)

    # -- what is known of a sheet --------------------------------------------------------------------

    def given(self) -> str:
        """Return what a person said of the corners of the sheet in view, "" where nothing."""
        job = self._desk.job
        return sheet_corners(job, self._desk.state.sheet) if job is not None else ""

    def proposed(self) -> Corners | None:
        """Return the corners that the sheet in view seems to have, None where it seems to lie flat."""
        return self._proposed.get(self._desk.state.sheet)

    @property
    def is_open(self) -> bool:
        """Whether corners were found that nobody has confirmed."""
        return self.proposed() is not None and not self.given()

    def stands(self) -> str:
        """Return how the sheet in view is taken, a key of `words.CORNERS_STAND`."""
        given = self.given()
        return ("none" if given == AS_IT_LIES else "given") if given else "found" if self.is_open else ""

    def _forget(self) -> None:
        self._proposed, self._told = {}, set()

    def _offer(self) -> None:
        """Tell once of the corners by which a sheet was read."""
        number = self._desk.state.sheet
        if self._desk.laid is not None and self.is_open and number not in self._told:
            self._told.add(number)
            self.offered.emit(words.CORNERS_OFFERED)

    def _look_for(self, number: int) -> None:
        """Look for corners on a thread, as the reading does."""
        if number in self._proposed:
            self.found.emit()
            return
        grey = self._desk.page(number)[0]

        def look(_: Progress) -> Corners | None:
            return propose_corners(grey)

        def keep(found: Corners | None) -> None:
            self._proposed[number] = found
            self.found.emit()
            self._offer()

        self._desk.work.run(f"corners {number}", look, keep, self._desk.fail)

    # -- asking --------------------------------------------------------------------------------------

    def ask(self) -> None:
        """Show the corners of the sheet in view, to be moved."""
        shape = self._shape()
        if shape is None:
            self._desk.told.emit(words.NO_JOB)
            return
        self.corners = begin(self.given(), self.proposed(), shape)
        self._desk.pick(hand=Hand.CORNERS)
        self.began.emit()
        high, wide = shape
        self._view.look_from(fit(self._view.glass, (0, 0, wide, high), ROOM))
        self._view.setFocus()
        self._view.update()

    def keep(self) -> None:
        """Lay the sheet flat by the corners as they stand: an edit, and the sheet is read anew."""
        corners, shape = self.corners, self._shape()
        if corners is None or shape is None:
            return
        fault = corners.fault(shape)
        if fault:
            self._desk.fail(BadConfirmation(fault))
        else:
            self._store(corners.text)

    def keep_as_it_lies(self) -> None:
        """Take the page as it is, whatever corners it seems to have."""
        if self.corners is not None:
            self._store(AS_IT_LIES)

    def _store(self, text: str) -> None:
        number = self._desk.state.sheet

        def store(job: Job) -> bool:
            set_sheet_corners(job, number, text)
            return True

        if self._desk.edit(store):
            self._desk.pick(hand=Hand.LOOK)
            self._desk.told.emit(words.CORNERS_FLAT if text != AS_IT_LIES else words.CORNERS_NONE)
            self.found.emit()

    def _shape(self) -> tuple[int, int] | None:
        size = self._view.page_size
        return (size[1], size[0]) if size is not None and self._desk.job is not None else None

    def _follow(self, old: State, new: State) -> None:
        if old.hand is Hand.CORNERS and new.hand is not Hand.CORNERS:
            self.ended.emit()
            self.corners, self._held = None, False
            self._view.update()

    # -- hands ---------------------------------------------------------------------------------------

    def _change(self, corners: CornerPoints, *, bring_up: bool = False) -> None:
        self.corners = corners
        place = corners.points[corners.chosen]
        seen = self._view.rect().adjusted(EDGE, EDGE, -EDGE, -EDGE)
        if bring_up and not seen.contains(self._view.screen_at(*place).toPoint()):
            self._view.bring_up(*place)
        self._view.update()

    def _press(self, x: float, y: float) -> None:
        """Put the chosen corner where the sheet was pressed, and choose the next."""
        if self.corners is not None:
            self._change(choose(put(self.corners, x, y), self.corners.chosen + 1))

    def eventFilter(self, a0: QObject | None, a1: QEvent | None) -> bool:
        """Take hold of a corner, and take the keys, while corners are asked about."""
        if self.corners is None or a1 is None:
            return False
        if isinstance(a1, QKeyEvent) and Qt.Key(a1.key()) in KEYS:
            if a1.type() == QEvent.Type.ShortcutOverride:
                a1.accept()
            elif a1.type() == QEvent.Type.KeyPress:
                self._key(Qt.Key(a1.key()), bool(a1.modifiers() & Qt.KeyboardModifier.ShiftModifier))
            return True
        return self._grip(a1, self.corners) if isinstance(a1, QMouseEvent) else False

    def _key(self, key: Qt.Key, is_far: bool) -> None:
        corners = self.corners
        if corners is None:
            return
        if key in STEPS:
            # One screen px at a time, so that a nearer look moves it by less.
            step = (FAR if is_far else 1) / self._view.view.scale
            dx, dy = STEPS[key]
            self._change(moved(corners, dx * step, dy * step), bring_up=True)
        elif key in (Qt.Key.Key_Tab, Qt.Key.Key_Backtab):
            by = 1 if key == Qt.Key.Key_Tab else -1
            self._change(choose(corners, corners.chosen + by), bring_up=True)
        elif key == Qt.Key.Key_N:
            self.keep_as_it_lies()
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.keep()
        else:
            self._change(choose(corners, key - Qt.Key.Key_1), bring_up=True)

    def _grip(self, event: QMouseEvent, corners: CornerPoints) -> bool:
        """Move a corner with the mouse; a press elsewhere is the sheet's own."""
        x, y = self._view.page_at(event.position())
        if event.type() == QEvent.Type.MouseButtonPress and event.button() == Qt.MouseButton.LeftButton:
            at = nearest(corners.points, x, y, GRIP / self._view.view.scale)
            if at is None:
                return False
            self._held = True
            self._change(choose(corners, at))
        elif event.type() == QEvent.Type.MouseMove and self._held:
            self._change(put(corners, x, y))
        elif event.type() == QEvent.Type.MouseButtonRelease and self._held:
            self._held = False
        else:
            return False
        return True

    def _paint(self, painter: QPainter, view: SheetView) -> None:
        if self.corners is not None:
            places = [QPointF(view.screen_at(x, y)) for x, y in self.corners.points]
            paint_corners(painter, places, self.corners.chosen, view.look, view.rect())

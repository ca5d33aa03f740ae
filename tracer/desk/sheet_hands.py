"""What a press on the sheet means: a lead, a part, a proposal, a join's second place, or a flood."""

from __future__ import annotations

from dataclasses import replace

from PyQt6.QtCore import QObject, Qt

from tracer.circuit.elements import CHASSIS
from tracer.desk import words
from tracer.desk.desk import Desk
from tracer.desk.doubts import Doubts
from tracer.desk.measuring import Measuring
from tracer.desk.mending import Mending
from tracer.desk.overlays import Overlays
from tracer.desk.pointing import Found, find
from tracer.desk.sheet_view import SheetView
from tracer.desk.slip import Slip
from tracer.desk.spoken_points import end_in_words
from tracer.desk.state import Hand, State, flooded, hovered
from tracer.desk.tagging import Tagging

__all__ = ["SheetHands"]

REACH = 11.0
"""How near a press must be to a terminal, screen px."""


class SheetHands(QObject):
    """Listens to the sheet and moves the state."""

    def __init__(
        self,
        desk: Desk,
        view: SheetView,
        slip: Slip,
        overlays: Overlays,
        tagging: Tagging,
        measuring: Measuring,
        mending: Mending,
        doubts: Doubts,
    ) -> None:
        super().__init__(view)
        self._desk, self._view, self._slip, self._overlays = desk, view, slip, overlays
        self._tagging, self._measuring, self._mending = tagging, measuring, mending
        self._doubts = doubts
        self._corner: tuple[float, float] | None = None
        view.pressed.connect(self.press)
        view.double_pressed.connect(self.open_part)
        view.hovered.connect(self.hover)
        view.left.connect(lambda: desk.set_state(hovered(desk.state, None)))
        desk.state_changed.connect(self._follow)
        desk.laid_out.connect(self._light_again)

    def press(self, x: float, y: float) -> None:
        """Do what a press at page place (x, y) means just now."""
        self._view.setFocus()
        if self._desk.state.hand is Hand.CORNERS:
            return
        if self._desk.state.hand is Hand.JOIN:
            self._mending.join_to(x, y)
            return
        if self._desk.state.hand is Hand.BOX:
            self._corner_pressed(x, y)
            return
        if self._tagging.card.isVisible() and self._tagging.move_end(x, y):
            return
        self._tagging.leave()
        found = self._find(x, y)
        conductor = self._conductor(x, y)
        if found.tag is not None and found.tag.kind not in ("chassis", "label"):
            self._desk.set_state(replace(flooded(self._desk.state, None, (x, y)), tag=found.tag.id))
        elif found.proposal is not None:
            self._tagging.open_proposal(found.proposal)
        else:
            self._desk.set_state(flooded(self._desk.state, conductor, (x, y)))
            point = self._sign(found) or found.point
            if point is not None:
                self._measuring.put_lead(point)
            elif conductor is None:
                self._desk.told.emit(words.NO_CONDUCTOR if self._desk.lighting is not None else words.UNREAD)

    def _corner_pressed(self, x: float, y: float) -> None:
        """Take two presses for a drag, for those who work with keys alone."""
        first, self._corner = self._corner, None
        if first is None:
            self._corner = (x, y)
            self._desk.pick(spot=(x, y))
            self._desk.told.emit(words.BOX_CORNER)
        else:
            self._view.boxed.emit(min(first[0], x), min(first[1], y), max(first[0], x), max(first[1], y))

    def pick_spot(self, x: float, y: float) -> None:
        """Pick the place at (x, y), and the part there, for what a menu offers; no lead moves."""
        found = self._find(x, y)
        conductor = None if found.tag is not None else self._conductor(x, y)
        state = flooded(self._desk.state, conductor, (x, y))
        self._desk.set_state(replace(state, tag=found.tag.id if found.tag is not None else None))

    def open_part(self, x: float, y: float) -> None:
        """Show the part at (x, y) for changing."""
        found = self._find(x, y)
        if found.tag is not None:
            self._tagging.open_tag(found.tag)

    def hover(self, x: float, y: float) -> None:
        """Light what lies under the pointer."""
        found = self._find(x, y)
        self._desk.set_state(hovered(self._desk.state, None if found.tag else self._conductor(x, y)))
        hand = Qt.CursorShape.PointingHandCursor if found != Found() else Qt.CursorShape.OpenHandCursor
        if self._desk.state.hand is not Hand.LOOK:
            hand = Qt.CursorShape.CrossCursor
        self._view.setCursor(hand)

    def escape(self) -> None:
        """Leave what was begun: the card, a box, a join, then what is lit, then the leads."""
        state = self._desk.state
        if self._tagging.card.isVisible():
            self._tagging.leave()
        elif state.hand is not Hand.LOOK:
            self._desk.pick(hand=Hand.LOOK)
        elif state.conductor is not None or state.tag is not None or state.spot is not None:
            self._desk.pick(conductor=None, tag=None, spot=None)
        else:
            self._measuring.lift()
        self._view.setFocus()

    def _find(self, x: float, y: float) -> Found:
        laid = self._desk.laid
        points = laid.bench.point_places if laid is not None else {}
        reach = REACH / self._view.view.scale
        return find(
            x, y, reach, self._desk.state.sheet, self._overlays.tags, self._overlays.proposals, points
        )

    def _conductor(self, x: float, y: float) -> int | None:
        lighting = self._desk.lighting
        if lighting is None:
            return None
        # Far out a stroke is thinner than a pointer is sure: look a few screen px about.
        within = max(2.0, 6.0 / (self._view.view.scale * lighting.sheet.stroke))
        return lighting.conductor_at(x, y, within)

    def _sign(self, found: Found) -> str | None:
        """A press inside a chassis sign or a label stands for what it names."""
        tag = found.tag
        if tag is None:
            return None
        return CHASSIS if tag.kind == "chassis" else tag.value or tag.reference

    def _follow(self, old: State, new: State) -> None:
        self._view.boxing = new.hand is Hand.BOX
        if new.hand is not Hand.BOX:
            self._corner = None
        if old.hand != new.hand and new.hand is not Hand.LOOK:
            self._view.setCursor(Qt.CursorShape.CrossCursor)
        if (old.conductor, old.sheet, old.tag, old.hand) != (new.conductor, new.sheet, new.tag, new.hand):
            self._say()

    def _light_again(self) -> None:
        """Conductors have other numbers in a new tracing: light the one at the same place."""
        state = self._desk.state
        lit = None
        if state.conductor is not None and state.spot is not None:
            lit = self._conductor(*state.spot)
        self._desk.pick(conductor=lit, hover=None)
        self._say()

    def _say(self) -> None:
        """List the terminals on the lit conductor, and what else is on its net."""
        state, laid = self._desk.state, self._desk.laid
        if state.hand is Hand.CORNERS:
            self._slip.last(words.CORNERS_KEYS)
            return
        if state.tag is not None:
            tag = next((tag for tag in self._overlays.tags if tag.id == state.tag), None)
            self._slip.last(
                "" if tag is None else " · ".join(filter(None, (tag.reference, tag.kind, tag.value)))
            )
            return
        if state.conductor is None or laid is None:
            self._slip.last("")
            return
        here, elsewhere = _terminals_on(self._desk, state.conductor)
        if not here:
            self._slip.last(words.CONDUCTOR_BARE.format(number=state.conductor))
            return
        text = words.CONDUCTOR.format(number=state.conductor, terminals=" · ".join(here[:10]))
        joins, doubted = self._doubts.joins_of(state.conductor)
        if joins:
            said = words.CONDUCTOR_DOUBTS if doubted else words.CONDUCTOR_JOINS
            text += " · " + said.format(count=joins, doubted=doubted)
        if elsewhere:
            text += " · " + words.ON_NET.format(points=", ".join(elsewhere[:6]))
        self._slip.last(text)


def _terminals_on(desk: Desk, conductor: int) -> tuple[list[str], list[str]]:
    """Return the points that lie on a conductor of the sheet in view, and those that its net names beside."""
    laid, sheet = desk.laid, desk.state.sheet
    if laid is None:
        return [], []
    lighting = laid.lightings.get(sheet)
    nodes = set(laid.bench.conductor_nodes.get((sheet, conductor), ()))
    here = []
    for tag in desk.tags_in_view():
        for terminal in tag.terminals:
            found = lighting.conductor_at(terminal.x, terminal.y, 2.5) if lighting is not None else None
            if found == conductor:
                here.append(end_in_words(tag, terminal))
    rails = laid.bench.circuit.rails
    return here, [name for name in (*rails, CHASSIS) if name in nodes]

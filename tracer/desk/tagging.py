"""Confirming, changing and removing parts: between the sheet, the card and the job."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from PyQt6.QtCore import QObject, QPoint, QRectF, pyqtSignal

from tracer.desk import words
from tracer.desk.asking import is_as_sure
from tracer.desk.confirming import change_part, confirm_tags
from tracer.desk.desk import Desk
from tracer.desk.draft import Draft, fitted_of, from_box, from_proposal, from_tag, to_tag, turned, with_kind
from tracer.desk.pinning import keep_pins, kept_pins, with_ends_alike, with_pins
from tracer.desk.sheet_view import SheetView
from tracer.desk.state import Hand
from tracer.desk.tag_card import TagCard
from tracer.errors import TracerError
from tracer.job.fitted import fitted_values, ruling
from tracer.job.records import Tag, TagTerminal
from tracer.job.tags import remove_tag, tags
from tracer.trace.sheet import Proposal

__all__ = ["Tagging"]

NEAR = 2.5
"""Stroke widths round a terminal in which its conductor is looked for."""


class Tagging(QObject):
    """Runs the card. `answered` carries the box of a proposal that was just confirmed."""

    answered = pyqtSignal(object)

    def __init__(self, desk: Desk, view: SheetView, card: TagCard, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._desk, self._view, self.card = desk, view, card
        self._proposal: Proposal | None = None
        card.confirmed.connect(self._confirm)
        card.kind_chosen.connect(self._rename)
        card.removed.connect(self._remove)
        card.left.connect(self.leave)
        card.resized.connect(self._follow)
        card.retouched.connect(view.update)
        view.boxed.connect(self._boxed)
        view.moved.connect(self._follow)
        desk.opened.connect(self.leave)

    # -- beginning -----------------------------------------------------------------------------------

    def open_tag(self, tag: Tag) -> None:
        """Show a confirmed part for changing."""
        self._desk.pick(tag=tag.id)
        rules = ruling(fitted_values(self._desk.job)) if self._desk.job is not None else {}
        self._ask(from_tag(tag, rules.get(tag.id) if tag.id is not None else None))

    def open_proposal(self, proposal: Proposal, *, takes_keys: bool = True) -> None:
        """Ask whether a proposal is right; the sheet keeps the keys where the card does not take them."""
        self._desk.pick(tag=None)
        self._proposal = proposal
        stored = tags(self._desk.job) if self._desk.job is not None else ()
        draft = from_proposal(proposal, self._desk.state.sheet, self._taken())
        draft = with_ends_alike(with_pins(draft, kept_pins(draft.value)), stored)
        self._ask(draft, fresh=takes_keys)
        if not takes_keys:
            self.card.say_keys(words.WALK_KEYS.format(count=self._like(proposal)))

    def asked_proposal(self) -> Proposal | None:
        """Return the proposal that the card asks about."""
        draft = self.card.draft if self.card.isVisible() else None
        return self._proposal if draft is not None and draft.proposal is not None else None

    def _like(self, asked: Proposal) -> int:
        return sum(is_as_sure(proposal, asked) for proposal in self._desk.proposals_in_view())

    def confirm(self) -> None:
        """Confirm what the card asks, as it stands there; an unknown value is asked for first."""
        draft = self.card.draft if self.card.isVisible() else None
        if draft is None:
            return
        if self.card.lacks_value:
            self.card.say(words.PART_NO_VALUE)
            self.card.take_value()
            self._follow()
        else:
            self._confirm(draft)

    def turn_ends(self) -> None:
        """Turn the ends of what the card asks about round."""
        draft = self.card.draft if self.card.isVisible() else None
        if draft is not None:
            self._ask(turned(draft), fresh=False)
            self.card.say_keys(words.TURN_KEYS)

    def begin_box(self) -> None:
        """Let the next drag draw a box."""
        if self._desk.job is None:
            self._desk.told.emit(words.NO_JOB)
            return
        self._desk.pick(hand=Hand.BOX)
        self._desk.told.emit(words.BOX_HINT)

    def edit_picked(self) -> None:
        """Show the picked part for changing, or give the keys to the card that is there already."""
        if self.card.isVisible():
            self.card.take_keys()
            return
        for tag in self._desk.tags_in_view():
            if tag.id == self._desk.state.tag:
                self.open_tag(tag)

    def remove_picked(self) -> None:
        """Remove the picked part."""
        picked = self._desk.state.tag
        if picked is not None:
            self._desk.edit(lambda job: remove_tag(job, picked))
            self._desk.pick(tag=None)
            self.leave()

    def move_end(self, x: float, y: float) -> bool:
        """Move the end that is being named on the card to page place (x, y), if one is."""
        moved = self.card.move_end(x, y)
        if moved:
            self._view.update()
        return moved

    # -- the card ------------------------------------------------------------------------------------

    def leave(self) -> None:
        """Put the card away and forget what was typed."""
        if self.card.isVisible():
            self.card.hide()
            self._view.setFocus()
            self._view.update()

    def _ask(self, draft: Draft, *, fresh: bool = True) -> None:
        self.card.ask(draft, self._conductor_of, fresh=fresh)
        self._follow()
        self._view.update()

    def _confirm(self, draft: Draft) -> None:
        draft = with_pins(draft, kept_pins(draft.value))
        try:
            tag = to_tag(draft)
            fitted = fitted_of(draft)
        except TracerError as error:
            self.card.say(str(error))
            self.card.take_keys()
            self._follow()
            return
        if tag.id is None:
            stored = self._desk.edit(
                lambda job: confirm_tags(job, [tag], fitted=(*fitted, draft.fitted_source))
            )
            if stored is None:
                return
        else:
            self._desk.edit(lambda job: change_part(job, tag, (*fitted, draft.fitted_source)))
        told = words.PART_CONFIRMED.format(reference=tag.reference)
        if tag.kind == "valve" and keep_pins(tag.value, tag.terminals):
            told += " " + words.PINS_KEPT.format(type=tag.value)
        self._desk.told.emit(told)
        self.leave()
        if draft.proposal is not None:
            self.answered.emit(draft.box)

    def _rename(self, kind: str) -> None:
        draft, asked = self.card.draft, self.card.asked
        if draft is not None and asked is not None:
            self._ask(with_kind(replace(draft, kind=asked.kind), kind, self._taken()), fresh=False)

    def _remove(self) -> None:
        draft = self.card.draft
        if draft is not None and draft.tag is not None:
            number = draft.tag
            self._desk.edit(lambda job: remove_tag(job, number))
        self._desk.pick(tag=None)
        self.leave()

    def _boxed(self, x0: float, y0: float, x1: float, y1: float) -> None:
        self._desk.pick(hand=Hand.LOOK)
        size = self._view.page_size
        if size is None:
            return
        box = (
            max(0, math.floor(x0)),
            max(0, math.floor(y0)),
            min(size[0], math.ceil(x1)),
            min(size[1], math.ceil(y1)),
        )
        if box[2] - box[0] < 3 or box[3] - box[1] < 3:
            return
        lighting = self._desk.lighting
        traced = lighting.sheet if lighting is not None else None
        self._ask(from_box(box, self._desk.state.sheet, traced, self._taken()))

    def _taken(self) -> Iterable[str]:
        return [] if self._desk.job is None else [tag.reference for tag in tags(self._desk.job)]

    def _conductor_of(self, terminal: TagTerminal) -> int | None:
        lighting = self._desk.lighting
        return None if lighting is None else lighting.conductor_at(terminal.x, terminal.y, NEAR)

    def _follow(self) -> None:
        """Keep the card beside its box, whole within the view."""
        draft = self.card.draft if self.card.isVisible() else None
        if draft is None:
            return
        near = self._view.screen_at(draft.box[2], draft.box[1])
        far = self._view.screen_at(draft.box[0], draft.box[3])
        box = QRectF(far, near).normalized()
        size = self.card.size_needed()
        # The card may lie over the strip and the drawer, so that it is whole in a low window too and hides
        # no part that it asks about.
        around = self.card.parentWidget() or self._view
        left = box.right() + 24
        if left + size.width() > self._view.width() - 8 and box.left() - 24 - size.width() >= 8:
            left = box.left() - 24 - size.width()
        left = min(max(8.0, left), max(8.0, around.width() - size.width() - 8.0))
        corner = self._view.mapTo(around, QPoint(round(left), round(box.top() - 20)))
        size = size.boundedTo(around.size())
        self.card.resize(size)
        self.card.move(corner.x(), min(max(4, corner.y()), around.height() - size.height() - 4))

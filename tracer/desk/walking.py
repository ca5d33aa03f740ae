"""Going through the proposals one by one, one key each: yes, not a part, next, yes to all like it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from PyQt6.QtCore import QObject

from tracer.bench.offered import walking_order
from tracer.desk import words
from tracer.desk.asking import is_as_sure, lacks_value
from tracer.desk.confirming import confirm_tags
from tracer.desk.desk import Desk
from tracer.desk.draft import from_proposal, next_reference, to_tag
from tracer.desk.sheet_view import SheetView
from tracer.desk.tagging import Tagging
from tracer.desk.viewpoint import Viewpoint
from tracer.errors import TracerError
from tracer.job.dismissals import dismiss
from tracer.job.file import Job, transaction
from tracer.job.records import Dismissal, Tag
from tracer.job.tags import tags
from tracer.trace.sheet import Proposal

__all__ = ["Walking", "tags_of"]

TELLING_STROKE, ROOMY = 4.5, 0.45
"""Screen px that a stroke has for a part to be told at a glance, and how much of the view a part may take."""


class Walking(QObject):
    """Steps through the proposals of the sheet in view; the card shows each, the sheet keeps the keys."""

    def __init__(self, desk: Desk, view: SheetView, tagging: Tagging, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._desk, self._view, self._tagging = desk, view, tagging
        self._at: Proposal | None = None
        tagging.answered.connect(self._go_on)

    def step(self, by: int = 1) -> None:
        """Show the next proposal, kind by kind and the least sure first, or the one before."""
        left = self._desk.proposals_in_view()
        if not left:
            self._at = None
            self._tagging.leave()
            self._desk.told.emit(words.NO_MORE_PROPOSALS)
            return
        here = self._tagging.asked_proposal() or self._at
        lighting = self._desk.lighting
        every = lighting.sheet.proposals if lighting is not None else left
        ordered = walking_order({p.box: p for p in (*left, *((here,) if here else ()))}.values(), every)
        at = next((n for n, p in enumerate(ordered) if here is not None and p.box == here.box), None)
        boxes = {p.box for p in left}
        places = range(len(ordered)) if at is None else range(at + 1, at + 1 + len(ordered))
        if by < 0:
            places = (
                range(len(ordered) - 1, -1, -1) if at is None else range(at - 1, at - 1 - len(ordered), -1)
            )
        following = (ordered[n % len(ordered)] for n in places)
        self._show(next(p for p in following if p.box in boxes))

    def yes(self) -> None:
        """Confirm what the card asks, as it stands there, and go on."""
        if self._tagging.asked_proposal() is None:
            self.step()
        else:
            self._tagging.confirm()

    def no(self) -> None:
        """Say that no part is there, and go on."""
        proposal = self._tagging.asked_proposal()
        if proposal is None:
            self._desk.told.emit(words.WALK_FIRST)
            return
        said = Dismissal(self._desk.state.sheet, proposal.box, proposal.kind)
        if self._desk.edit(lambda job: _dismissed(job, said)):
            self._at = proposal
            self._desk.told.emit(words.DISMISSED.format(kind=proposal.kind))
            self.step()

    def all_like_it(self) -> None:
        """Confirm every proposal of the same kind that is at least as sure as the one asked about."""
        asked = self._tagging.asked_proposal()
        if asked is None:
            self._desk.told.emit(words.WALK_FIRST)
            return
        like = [p for p in self._desk.proposals_in_view() if is_as_sure(p, asked)]
        sheet = self._desk.state.sheet
        stored = self._desk.edit(lambda job: _confirm_all(job, like, sheet, asked))
        if stored is None:
            return
        self._at = asked
        said = words.ALL_CONFIRMED.format(
            count=stored, kind=asked.kind, share=round(100 * asked.score), left=len(like) - stored
        )
        self.step()
        self._desk.told.emit(said)

    def _show(self, proposal: Proposal) -> None:
        self._at = proposal
        x0, y0, x1, y1 = proposal.box
        lighting = self._desk.lighting
        stroke = lighting.sheet.stroke if lighting is not None else 3.0
        # One scale for all parts that have room in it: the eye need not find its way anew at each step.
        scale = min(TELLING_STROKE / stroke, ROOMY * min(self._view.glass) / max(x1 - x0, y1 - y0))
        if 0.6 < self._view.view.scale / scale < 1.7:
            self._view.bring_up((x0 + x1) / 2, (y0 + y1) / 2)
        else:
            self._view.look_from(Viewpoint((x0 + x1) / 2, (y0 + y1) / 2, scale))
        self._tagging.open_proposal(proposal, takes_keys=False)
        self._view.setFocus()

    def _go_on(self, box: object) -> None:
        """Go on to the next once a proposal that this walk showed is confirmed."""
        if self._at is not None and self._at.box == box:
            self.step()


def tags_of(proposals: Iterable[Proposal], sheet: int, taken: Iterable[str]) -> tuple[Tag, ...]:
    """Return the tags that proposals make as they stand, leaving out those that need a person's word.

    A reference that was read and is free is kept; the others are numbered where nothing is read or taken.
    """
    proposals = tuple(proposals)
    used = {reference.upper() for reference in taken}
    first: dict[str, Proposal] = {}
    for proposal in proposals:
        if proposal.reference and proposal.reference.upper() not in used:
            first.setdefault(proposal.reference.upper(), proposal)
    used |= set(first)
    made = []
    for proposal in proposals:
        own = proposal.reference is not None and first.get(proposal.reference.upper()) is proposal
        if lacks_value(proposal.kind, proposal.value or ""):
            continue
        draft = from_proposal(proposal, sheet, used)
        reference = draft.reference if own else next_reference(proposal.kind, used)
        if draft.kind == "label":
            reference = draft.reference
        try:
            made.append(to_tag(replace(draft, reference=reference)))
        except TracerError:
            continue
        used.add(reference.upper())
    return tuple(made)


def _confirm_all(job: Job, like: Iterable[Proposal], sheet: int, asked: Proposal) -> int:
    """Store all that can be as one edit; return how many."""
    with transaction(job):
        made = tags_of(like, sheet, [tag.reference for tag in tags(job)])
        if made:
            said = words.SAID_ALL.format(count=len(made), kind=asked.kind, share=round(100 * asked.score))
            confirm_tags(job, made, said)
    return len(made)


def _dismissed(job: Job, said: Dismissal) -> bool:
    dismiss(job, [said])
    return True

"""Tags: the parts that a person confirmed."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import replace

from tracer.errors import BadConfirmation
from tracer.job.edits import Change, next_id, perform
from tracer.job.file import Job, transaction
from tracer.job.records import Tag, TagTerminal

__all__ = ["add_tag", "change_tag", "change_tags", "changed_tag", "remove_tag", "tag_changes", "tags"]

_COLUMNS = "id, sheet, box, kind, reference, value, terminals, options"
_Row = dict[str, str | int | float | None]


def tags(job: Job, sheet: int | None = None) -> tuple[Tag, ...]:
    """Return the tags of one sheet, or of all, in the order they were made."""
    rows = job.connection.execute(f"SELECT {_COLUMNS} FROM tags ORDER BY id")
    return tuple(tag for row in rows if (tag := _from_row(row)).sheet == sheet or sheet is None)


def add_tag(job: Job, tag: Tag) -> Tag:
    """Store a confirmed part as one undoable edit and return it with its id."""
    with transaction(job):
        changes = tag_changes(job, [tag])
        perform(job, f"tag {tag.reference}", changes)
        return replace(tag, id=_id_of(changes[0]))


def change_tag(job: Job, tag: Tag) -> None:
    """Put `tag` in place of the stored tag of the same id, as one undoable edit."""
    with transaction(job):
        before = _find(job, tag.id)
        words = f"change {before.reference}"
        if tag.reference != before.reference:
            words += f" to {tag.reference}"
        perform(job, words, [Change("tags", _to_row(before), _to_row(tag))])


def changed_tag(before: Tag, after: Tag) -> list[Change]:
    """Return the change that puts `after` in place of the stored `before`, for an edit of several things."""
    return [Change("tags", _to_row(before), _to_row(after))]


def change_tags(job: Job, new: Iterable[Tag], words: str) -> None:
    """Put each of `new` in place of the stored tag of its id, all as one undoable edit."""
    with transaction(job):
        changes = [Change("tags", _to_row(_find(job, tag.id)), _to_row(tag)) for tag in new]
        perform(job, words, changes)


def remove_tag(job: Job, id: int) -> None:
    """Remove the tag of that id, as one undoable edit."""
    with transaction(job):
        before = _find(job, id)
        perform(job, f"remove the tag {before.reference}", [Change("tags", _to_row(before), None)])


def tag_changes(job: Job, new: Iterable[Tag]) -> list[Change]:
    """Return the changes that add `new`, for an edit of several parts; ids are given here."""
    first = next_id(job.connection, "tags")
    return [Change("tags", None, _to_row(replace(tag, id=first + n))) for n, tag in enumerate(new)]


def _id_of(change: Change) -> int:
    assert change.after is not None
    return int(change.after["id"] or 0)


def _find(job: Job, id: int | None) -> Tag:
    row = job.connection.execute(f"SELECT {_COLUMNS} FROM tags WHERE id = ?", (id,)).fetchone()
    if row is None:
        raise BadConfirmation(f"The job {job.path} has no tag with the id {id}; it may have been removed.")
    return _from_row(row)


def _to_row(tag: Tag) -> _Row:
    return {
        "id": tag.id,
        "sheet": tag.sheet,
        "box": json.dumps([int(edge) for edge in tag.box]),
        "kind": tag.kind,
        "reference": tag.reference,
        "value": tag.value,
        "terminals": json.dumps([[t.name, float(t.x), float(t.y)] for t in tag.terminals]),
        "options": json.dumps([list(option) for option in tag.options]),
    }


def _from_row(row: tuple[int, int, str, str, str, str | None, str, str]) -> Tag:
    id, sheet, box, kind, reference, value, terminals, options = row
    x0, y0, x1, y1 = json.loads(box)
    return Tag(
        sheet,
        (x0, y0, x1, y1),
        kind,
        reference,
        value,
        tuple(TagTerminal(*terminal) for terminal in json.loads(terminals)),
        tuple((name, text) for name, text in json.loads(options)),
        id,
    )

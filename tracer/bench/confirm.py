"""Confirmations from a JSON file: tags in pixels (never nodes), banks and rails, applied as one edit."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

from tracer.bench.check import fault_of_tag
from tracer.circuit.elements import Bank, BankStyle
from tracer.errors import BadConfirmation, FileMissing
from tracer.job.banks import bank_changes, rail_changes
from tracer.job.edits import perform
from tracer.job.file import Job, transaction
from tracer.job.mends import mend_changes
from tracer.job.records import Rail, Tag, TagTerminal
from tracer.job.tags import tag_changes, tags
from tracer.trace.mend import Mend, MendKind

__all__ = ["Confirmations", "apply_confirmations", "load_confirmations", "parse_confirmations"]

_Made = TypeVar("_Made")


@dataclass(frozen=True, slots=True)
class Confirmations:
    """What a confirmations file holds; ``shared/schemas/confirmations.schema.json`` describes it."""

    tags: tuple[Tag, ...]
    banks: tuple[Bank, ...] = ()
    rails: tuple[Rail, ...] = ()
    mends: tuple[Mend, ...] = ()


def load_confirmations(path: Path) -> Confirmations:
    """Read a confirmations file.

    Raises
    ------
    FileMissing
        When it cannot be read.
    BadConfirmation
        When it is no JSON, or an entry is wrong; the message names the entry.
    """
    try:
        text = Path(path).read_text("utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise FileMissing(f"The confirmations {path} cannot be read ({error}). Check the name.") from error
    try:
        data = json.loads(text)
    except json.JSONDecodeError as error:
        raise BadConfirmation(f"{path} is no JSON: {error}.") from error
    return parse_confirmations(data, str(path))


def parse_confirmations(data: Any, source: str = "confirmations") -> Confirmations:
    """Read confirmations from parsed JSON.

    Examples
    --------
    >>> entry = {"sheet": 1, "box": [10, 20, 30, 28], "kind": "resistor", "reference": "R12", "value": "4k7",
    ...          "terminals": [{"name": "1", "x": 10, "y": 24}, {"name": "2", "x": 30, "y": 24}]}
    >>> parse_confirmations({"tags": [entry], "rails": [{"name": "HT1"}]}).tags[0].reference
    'R12'
    """
    if not isinstance(data, dict):
        raise BadConfirmation(f"{source} must be an object with tags, banks, rails and mends.")
    unknown = set(data) - {"$schema", "title", "tags", "banks", "rails", "mends"}
    if unknown:
        raise BadConfirmation(f"{source} has {sorted(unknown)}, which is not known; see the schema.")
    found = Confirmations(
        _each(data, "tags", _tag, source),
        _each(data, "banks", _bank, source),
        _each(data, "rails", _rail, source),
        _each(data, "mends", _mend, source),
    )
    for place, tag in enumerate(found.tags, start=1):
        fault = fault_of_tag(tag, banks=found.banks)
        if fault:
            raise BadConfirmation(f"{source}, tag {place} ({tag.reference}): {fault}.")
    return found


def apply_confirmations(job: Job, confirmations: Confirmations) -> str:
    """Store all of it as one undoable edit and return the edit in words.

    Raises
    ------
    BadConfirmation
        When the job has a part of the same reference, kind and box already: applying twice would double it.
    """
    with transaction(job):
        known = {(tag.sheet, tag.box, tag.kind, tag.reference) for tag in tags(job)}
        for tag in confirmations.tags:
            if (tag.sheet, tag.box, tag.kind, tag.reference) in known:
                raise BadConfirmation(
                    f"{tag.reference} on sheet {tag.sheet} is confirmed already. Undo that edit first, "
                    "or leave it out of the file. Nothing was stored."
                )
        count = len(confirmations.tags)
        words = f"confirm {count} part{'' if count == 1 else 's'} from a file"
        changes = [
            *tag_changes(job, confirmations.tags),
            *bank_changes(job, confirmations.banks),
            *rail_changes(job, confirmations.rails),
            *mend_changes(job, confirmations.mends),
        ]
        perform(job, words, changes)
        return words


def _each(
    data: Mapping[str, Any], name: str, make: Callable[[Mapping[str, Any]], _Made], source: str
) -> tuple[_Made, ...]:
    entries = data.get(name, [])
    if not isinstance(entries, Sequence) or isinstance(entries, str):
        raise BadConfirmation(f"{source}: {name} must be a list.")
    made = []
    for place, entry in enumerate(entries, start=1):
        label = f"{source}, {name[:-1]} {place}"
        try:
            made.append(make(entry))
        except KeyError as error:
            raise BadConfirmation(f"{label} lacks {error}.") from error
        except (TypeError, ValueError, AttributeError) as error:
            raise BadConfirmation(f"{label} cannot be understood ({error}).") from error
    return tuple(made)


def _tag(entry: Mapping[str, Any]) -> Tag:
    x0, y0, x1, y1 = (int(edge) for edge in entry["box"])
    terminals = tuple(TagTerminal(str(t["name"]), float(t["x"]), float(t["y"])) for t in entry["terminals"])
    options = entry.get("options", {})
    value = entry.get("value")
    return Tag(
        int(entry.get("sheet", 1)),
        (x0, y0, x1, y1),
        str(entry["kind"]),
        str(entry["reference"]),
        None if value is None else str(value),
        terminals,
        tuple((str(name), str(content)) for name, content in options.items()),
    )


def _bank(entry: Mapping[str, Any]) -> Bank:
    positions = tuple(str(position) for position in entry["positions"])
    return Bank(str(entry["name"]), positions, BankStyle(entry.get("style", "rotary")))


def _rail(entry: Mapping[str, Any]) -> Rail:
    at = entry.get("at")
    return Rail(str(entry["name"]), None if at is None else str(at))


def _mend(entry: Mapping[str, Any]) -> Mend:
    x2, y2 = entry.get("x2"), entry.get("y2")
    return Mend(
        MendKind(entry["kind"]),
        float(entry["x"]),
        float(entry["y"]),
        None if x2 is None else float(x2),
        None if y2 is None else float(y2),
        int(entry.get("sheet", 1)),
    )

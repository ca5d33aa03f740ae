"""Which pin each electrode of a valve type is on: typed once, kept in the user's own data, used again."""

from __future__ import annotations

import json
import math
import os
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path

from platformdirs import user_data_path

from tracer.desk import words
from tracer.desk.draft import PIN, Draft
from tracer.job.records import Tag, TagTerminal

__all__ = [
    "Pins",
    "all_pins",
    "ends_hint",
    "forget_pins",
    "keep_pins",
    "kept_pins",
    "with_ends_alike",
    "with_pins",
]

ALIKE = 0.2
"""How far ends may stand apart within their boxes, as a share of the box, to be drawn alike."""


Pins = Mapping[str, str]
"""Pin to electrode, as ``{"6": "a", "4": "h", "5": "h"}``: an electrode may have several pins."""


def kept_pins(valve_type: str | None, place: Path | None = None) -> dict[str, str]:
    """Return the pins kept for a type; none for a type that is not known.

    Parameters
    ----------
    valve_type : str or None
        As printed; capitals, spaces and hyphens make no difference.
    place : Path, optional
        The file; the one in the user's data folder if not given.
    """
    return dict(_load(place or _place()).get(_key(valve_type), {})) if _key(valve_type) else {}


def all_pins(place: Path | None = None) -> dict[str, dict[str, str]]:
    """Return the pins of every type that is kept, by type."""
    return _load(place or _place())


def forget_pins(valve_type: str, place: Path | None = None) -> None:
    """Forget the pins of one type; those in jobs stay."""
    place = place or _place()
    known = _load(place)
    if known.pop(_key(valve_type), None) is not None:
        _store(known, place)


def ends_hint(kind: str, value: str) -> str:
    """Return how the ends of a part are named, and for a valve whose type is known its pins."""
    if kind != "valve":
        return words.PART_TERMINALS_HINT
    pins = kept_pins(value)
    if not pins:
        return words.PART_PINS_HINT
    named = " ".join(f"{electrode}{PIN}{pin}" for pin, electrode in pins.items())
    return words.PART_PINS_KNOWN.format(type=value, pins=named)


def keep_pins(valve_type: str | None, terminals: Iterable[TagTerminal], place: Path | None = None) -> int:
    """Keep what the names of a confirmed valve's ends say, ``a/6``, beside what is kept; return how many.

    A pin typed anew takes the place of the old one. A file that cannot be read is put aside, not lost.
    """
    place, key = place or _place(), _key(valve_type)
    parted = (terminal.name.partition("/") for terminal in terminals)
    said = {pin: electrode for electrode, _, pin in parted if electrode and pin}
    if not key or not said:
        return 0
    known = _load(place)
    before = known.get(key, {})
    after = {**before, **said}
    if after == before:
        return 0
    try:
        place.parent.mkdir(parents=True, exist_ok=True)
        if place.exists() and not known:
            os.replace(place, place.with_suffix(".unread"))
        _store({**known, key: after}, place)
    except OSError:
        return 0  # a help for the next valve only; the part itself is in the job
    return len(said)


def with_pins(draft: Draft, pins: Pins) -> Draft:
    """Return the draft with pins added to bare electrodes that have one pin, and electrodes to bare pins.

    Examples
    --------
    >>> ends = (TagTerminal("a", 0, 0), TagTerminal("2", 0, 9), TagTerminal("k", 0, 5))
    >>> draft = Draft(1, (0, 0, 9, 9), "valve", "V1", terminals=ends)
    >>> [end.name for end in with_pins(draft, {"6": "a", "2": "g1"}).terminals]
    ['a/6', 'g1/2', 'k']
    """
    if draft.kind != "valve" or not pins:
        return draft
    several = Counter(pins.values())
    whole = {pin: f"{electrode}/{pin}" for pin, electrode in pins.items()}
    whole |= {PIN + pin: f"{electrode}/{pin}" for pin, electrode in pins.items()}
    whole |= {electrode: f"{electrode}/{pin}" for pin, electrode in pins.items() if several[electrode] == 1}
    ends = tuple(replace(end, name=whole.get(end.name.strip(), end.name)) for end in draft.terminals)
    return replace(draft, terminals=ends)


def with_ends_alike(draft: Draft, tags: Iterable[Tag]) -> Draft:
    """Return the draft of a valve with electrodes named as on the last valve drawn like it.

    Two are drawn alike where as many ends stand at the same places of their boxes. A pin that was read
    beside an end stays, and so does an end that has its electrode. Of one reference, it is the other half
    of a double valve. A person is to confirm the whole.

    Examples
    --------
    >>> ends = (TagTerminal("a/7", 5, 0), TagTerminal("k/3", 5, 10))
    >>> known = Tag(1, (0, 0, 10, 10), "valve", "V3", None, ends)
    >>> bare = (TagTerminal("/1", 105, 1), TagTerminal("/8", 105, 9))
    >>> draft = Draft(1, (100, 0, 110, 10), "valve", "V4", terminals=bare)
    >>> [end.name for end in with_ends_alike(draft, [known]).terminals]
    ['a/1', 'k/8']
    """
    if draft.kind != "valve" or all(end.name and not end.name.startswith(PIN) for end in draft.terminals):
        return draft
    for tag in reversed([tag for tag in tags if tag.kind == "valve"]):
        pairs = _paired(draft, tag)
        if pairs is None:
            continue
        ends = []
        for end, other in zip(draft.terminals, pairs, strict=True):
            electrode, _, pin = other.name.partition(PIN)
            if tag.reference == draft.reference:
                electrode = _of_other_half(electrode)
            read = end.name.startswith(PIN)
            name = (
                electrode + end.name if read else end.name or (f"{electrode}{PIN}{pin}" if pin else electrode)
            )
            ends.append(replace(end, name=name))
        return replace(draft, terminals=tuple(ends))
    return draft


def _of_other_half(electrode: str) -> str:
    """Return what an electrode of one half of a double valve is called in the other: ``a1`` and ``a2``."""
    if electrode.endswith(("1", "2")):
        return electrode[:-1] + ("2" if electrode.endswith("1") else "1")
    return f"{electrode}2"


def _paired(draft: Draft, tag: Tag) -> tuple[TagTerminal, ...] | None:
    """Return the ends of `tag` in the order of the draft's, or None where the two are not drawn alike."""
    if len(draft.terminals) != len(tag.terminals) or not draft.terminals:
        return None
    left = list(tag.terminals)
    found = []
    for end in draft.terminals:
        x, y = _within(draft.box, end)
        near = min(left, key=lambda other: math.dist((x, y), _within(tag.box, other)))
        if math.dist((x, y), _within(tag.box, near)) > ALIKE:
            return None
        left.remove(near)
        found.append(near)
    return tuple(found)


def _within(box: tuple[int, int, int, int], end: TagTerminal) -> tuple[float, float]:
    return (end.x - box[0]) / max(1, box[2] - box[0]), (end.y - box[1]) / max(1, box[3] - box[1])


def _key(valve_type: str | None) -> str:
    return "".join(letter for letter in (valve_type or "").upper() if letter.isalnum())


def _store(known: Mapping[str, Mapping[str, str]], place: Path) -> None:
    part = place.with_suffix(".part")
    text = json.dumps({"pins": known}, indent=1, sort_keys=True)
    part.write_text(text + "\n", encoding="utf-8")
    os.replace(part, place)


def _place() -> Path:
    return user_data_path("tracer", appauthor=False) / "valve_pins.json"


def _load(place: Path) -> dict[str, dict[str, str]]:
    try:
        data = json.loads(place.read_text(encoding="utf-8"))
        return {
            str(key): {str(pin): str(electrode) for pin, electrode in pins.items()}
            for key, pins in data["pins"].items()
        }
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return {}

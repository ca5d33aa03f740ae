"""A part while it is being confirmed: prefilled from a proposal, a box or a tag, checked at the end."""

from __future__ import annotations

import re
import shlex
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from tracer.circuit.kinds import Kind, TerminalStyle, kinds
from tracer.circuit.values import parse_printed, parse_tolerance
from tracer.errors import BadConfirmation
from tracer.job.records import FittedValue, Tag, TagTerminal, ValueSource
from tracer.trace.sheet import Proposal, TracedSheet

__all__ = [
    "Draft",
    "entering",
    "fitted_of",
    "from_box",
    "from_proposal",
    "from_tag",
    "kind_of_reference",
    "next_reference",
    "to_tag",
    "turned",
    "usual_names",
    "whole_name",
    "with_kind",
]

Box = tuple[int, int, int, int]

PIN = "/"
"""What parts an electrode from its pin; an end of which the pin alone is known begins with it."""


@dataclass(frozen=True, slots=True)
class Draft:
    """A part as far as it is known; `tag` is the id of the stored tag it will replace.

    `read_reference` and `read_value` are what the reader read beside it, for a person to check, with how
    sure of each it is (0 to 1), and `sureness` how sure it is of the kind.
    `tolerance` and `options` are texts as typed; options are words such as ``ohms=250 out``. `fitted` is
    what is in the set in place of the print, its own tolerance behind it: ``512k 2%``.
    """

    sheet: int
    box: Box
    kind: str
    reference: str
    value: str = ""
    tolerance: str = ""
    options: str = ""
    terminals: tuple[TagTerminal, ...] = ()
    tag: int | None = None
    proposal: int | None = None
    read_reference: str = ""
    read_value: str = ""
    reference_sureness: float = 0.0
    value_sureness: float = 0.0
    sureness: float = 0.0
    fitted: str = ""
    fitted_source: ValueSource = ValueSource.MEASURED


def from_proposal(proposal: Proposal, sheet: int, taken: Iterable[str]) -> Draft:
    """Return the draft that a proposal suggests."""
    own = kinds()[proposal.kind].style in (TerminalStyle.FIXED, TerminalStyle.NUMBERED)
    pins = proposal.kind == "valve" and _are_pins([end.name for end in proposal.terminals])
    names = [end.name if own else f"{PIN}{end.name}" if pins else "" for end in proposal.terminals]
    terminals = tuple(
        TagTerminal(name, end.x, end.y) for name, end in zip(names, proposal.terminals, strict=True)
    )
    reference = proposal.reference or next_reference(proposal.kind, taken)
    if proposal.kind == "label" and proposal.value:
        reference = _free_label(proposal.value, taken)
    value, _, ohms = (
        (proposal.value or "").partition(" ") if proposal.kind == "coil" else (proposal.value or "", "", "")
    )
    draft = Draft(
        sheet,
        proposal.box,
        proposal.kind,
        reference,
        value,
        options=f"ohms={ohms}" if ohms else "",
        proposal=proposal.id,
        read_reference=proposal.reference or "",
        read_value=proposal.value or "",
        reference_sureness=proposal.reference_confidence,
        value_sureness=proposal.value_confidence,
        sureness=proposal.score,
    )
    return replace(draft, terminals=named(terminals, kinds()[proposal.kind]))


def from_box(
    box: Box, sheet: int, traced: TracedSheet | None, taken: Iterable[str], kind: str = "resistor"
) -> Draft:
    """Return a draft for a box drawn by hand, with an end wherever a conductor enters it."""
    places = entering(traced, box) if traced is not None else ()
    least = len(kinds()[kind].terminals)
    if len(places) < least:
        places = tuple(_ends_of(box)[:least])
    terminals = tuple(TagTerminal("", x, y) for x, y in places)
    draft = Draft(sheet, box, kind, next_reference(kind, taken))
    return replace(draft, terminals=named(terminals, kinds()[kind]))


def from_tag(tag: Tag, fitted: FittedValue | None = None) -> Draft:
    """Return a stored tag as a draft, with what is fitted in its place."""
    options = dict(tag.options)
    tolerance = options.pop("tol", "")
    words = " ".join(shlex.quote(f"{name}={text}" if text else name) for name, text in options.items())
    draft = Draft(
        tag.sheet, tag.box, tag.kind, tag.reference, tag.value or "", tolerance, words, tag.terminals, tag.id
    )
    if fitted is None:
        return draft
    return replace(draft, fitted=f"{fitted.value} {fitted.tolerance}".strip(), fitted_source=fitted.source)


def fitted_of(draft: Draft) -> tuple[str, str]:
    """Return value and tolerance of what is fitted, "" and "" where the print rules.

    Raises
    ------
    BadValue
        One of them cannot be understood.
    BadConfirmation
        The kind has no value that an ohmmeter could tell.
    """
    text = draft.fitted.strip()
    if not text:
        return "", ""
    kind = kinds().get(draft.kind)
    if kind is None or kind.unit is None:
        raise BadConfirmation(
            f"{draft.reference}: a {draft.kind} has no value that could be fitted otherwise."
        )
    value, _, tolerance = text.rpartition(" ") if text.endswith("%") and " " in text else (text, "", "")
    parse_printed(value, kind.unit)
    if tolerance:
        parse_tolerance(tolerance)
    return value.strip(), tolerance.strip()


def to_tag(draft: Draft) -> Tag:
    """Return the tag to store.

    Raises
    ------
    BadConfirmation
        No reference, an unknown kind, or terminals that do not fit it.
    BadValue
        The value or the tolerance cannot be understood.
    """
    kind = kinds().get(draft.kind)
    if kind is None:
        raise BadConfirmation(f"There is no kind {draft.kind!r}. The kinds are {', '.join(kinds())}.")
    reference = draft.reference.strip()
    if not reference or re.search(r"[\s:=;]", reference):
        raise BadConfirmation(
            f"{draft.reference!r} is no reference. Every part needs one, without spaces, such as R12."
        )
    bare = next((end.name for end in draft.terminals if end.name.startswith(PIN)), None)
    if bare is not None:
        raise BadConfirmation(
            f"{reference}: write which electrode stands on pin {bare[1:]}, such as a{bare}."
        )
    fault = kind.fault_of_terminals([terminal.name for terminal in draft.terminals])
    if fault:
        raise BadConfirmation(f"{reference}: {fault}.")
    if draft.value.strip() and kind.unit is not None:
        parse_printed(draft.value, kind.unit)
    if kind.name == "label" and not draft.value.strip():
        raise BadConfirmation(f"{reference} is a label: write what it names, such as HT1, as its value.")
    options: list[tuple[str, str]] = []
    if draft.tolerance.strip():
        parse_tolerance(draft.tolerance)
        options.append(("tol", draft.tolerance.strip()))
    options += _options(draft.options)
    value = draft.value.strip() or None
    return Tag(
        draft.sheet, draft.box, kind.name, reference, value, draft.terminals, tuple(options), draft.tag
    )


def with_kind(draft: Draft, kind: str, taken: Iterable[str]) -> Draft:
    """Return the draft as another kind: its ends renamed, and its reference if that was only suggested."""
    old, new = kinds().get(draft.kind), kinds().get(kind)
    if new is None or old is None or old is new:
        return draft
    suggested = draft.tag is None and draft.reference.rstrip("0123456789") == _prefix(old)
    reference = next_reference(kind, taken) if suggested else draft.reference
    places = list(draft.terminals)
    spare = _ends_of(draft.box)
    while len(places) < len(new.terminals):
        x, y = spare[len(places) % len(spare)]
        places.append(TagTerminal("", x, y))
    if new.style is TerminalStyle.FIXED:
        places = places[: len(new.terminals)]
    bare = tuple(replace(terminal, name="") for terminal in places)
    return replace(draft, kind=kind, reference=reference, terminals=named(bare, new))


def named(terminals: Sequence[TagTerminal], kind: Kind) -> tuple[TagTerminal, ...]:
    """Return the terminals with a name for each that has none, where the kind itself tells the names.

    Electrodes, windings and named contacts are the person's to name: a guess could be taken for a pin.
    """
    free = [name for name in kind.terminals if name not in {t.name for t in terminals}]
    result = []
    for number, terminal in enumerate(terminals, start=1):
        name = terminal.name
        if not name and kind.style is TerminalStyle.FIXED:
            name = free.pop(0) if free else ""
        elif not name and kind.style is TerminalStyle.NUMBERED:
            name = str(number)
        result.append(replace(terminal, name=name))
    return tuple(result)


def turned(draft: Draft) -> Draft:
    """Return the draft with its two ends the other way round; a capacitor's go from bare to polar first.

    Examples
    --------
    >>> ends = (TagTerminal("1", 0, 9), TagTerminal("2", 0, 0))
    >>> bare = Draft(1, (0, 0, 9, 9), "capacitor", "C1", terminals=ends)
    >>> [[end.name for end in d.terminals] for d in (turned(bare), turned(turned(bare)))]
    [['-', '+'], ['+', '-']]
    """
    names = [end.name for end in draft.terminals]
    if len(names) != 2 or kinds()[draft.kind].style is not TerminalStyle.FIXED:
        return draft
    if set(names) == {"1", "2"} and draft.kind == "capacitor":
        first = min(range(2), key=lambda n: (draft.terminals[n].y, draft.terminals[n].x))
        names = ["-", "-"]
        names[first] = "+"
    else:
        names.reverse()
    ends = zip(draft.terminals, names, strict=True)
    return replace(draft, terminals=tuple(replace(end, name=name) for end, name in ends))


def whole_name(text: str, kind: Kind, others: Iterable[str]) -> str:
    """Return an end's name written out: a winding's next end, or the only usual name that begins so.

    Examples
    --------
    >>> whole_name("pri", kinds()["transformer"], ["pri.1", "sec.1"])
    'pri.2'
    >>> whole_name("s", kinds()["jack"], ["tip"])
    'sleeve'
    """
    text, others = text.strip(), list(others)
    if not text or text in others:
        return text
    if kind.style is TerminalStyle.WINDINGS:
        numbers = [
            int(n) for w, _, n in (name.partition(".") for name in others) if w == text and n.isdecimal()
        ]
        return text if "." in text else f"{text}.{max(numbers, default=0) + 1}"
    begun = [name for name in usual_names(kind) if name.startswith(text.casefold()) and name not in others]
    return begun[0] if kind.style is TerminalStyle.NAMED and len(begun) == 1 else text


def usual_names(kind: Kind) -> tuple[str, ...]:
    """Return names that ends of this kind often have, for completion.

    Examples
    --------
    >>> usual_names(kinds()["jack"])
    ('tip', 'sleeve', 'break')
    """
    _, _, line = kind.example.partition(":")
    shown = tuple(re.findall(r"(\S+)=", line.partition(";")[0]))
    return tuple(dict.fromkeys((*kind.terminals, *kind.alternative_terminals, *shown)))


def kind_of_reference(reference: str) -> str | None:
    """Return the kind whose references usually begin with the letters of `reference`, or None.

    Examples
    --------
    >>> kind_of_reference("C12"), kind_of_reference("V3"), kind_of_reference("12")
    ('capacitor', 'valve', None)
    """
    letters = re.match(r"[A-Za-z]*", reference.strip())
    prefix = letters[0].upper() if letters else ""
    return next((name for name, kind in kinds().items() if prefix and _prefix(kind) == prefix), None)


def next_reference(kind: str, taken: Iterable[str]) -> str:
    """Return the first free reference of a kind.

    Examples
    --------
    >>> next_reference("resistor", ["R1", "R2", "C1"])
    'R3'
    """
    prefix = _prefix(kinds()[kind])
    used = {reference.upper() for reference in taken}
    number = 1
    while f"{prefix}{number}".upper() in used:
        number += 1
    return f"{prefix}{number}"


def entering(sheet: TracedSheet, box: Box) -> tuple[tuple[float, float], ...]:
    """Return where conductors enter `box` (page px), top to bottom and left to right, one place each.

    A wire that only ends at the edge counts as entering; places within 2 stroke widths are one.
    """
    x0, y0, x1, y1 = box
    near = 2.0 * sheet.stroke
    places: list[tuple[float, float]] = []
    for segment in sheet.segments:
        x, y = segment.line[:, 0], segment.line[:, 1]
        inside = (x >= x0) & (x < x1) & (y >= y0) & (y < y1)
        turns = np.flatnonzero(inside[1:] != inside[:-1])
        found = [_on_edge(segment.line[t], segment.line[t + 1], box) for t in turns]
        for end in (segment.line[0], segment.line[-1]):
            away = max(x0 - end[0], end[0] - x1, y0 - end[1], end[1] - y1)
            if -near < away < near and not inside.any():
                found.append((float(end[0]), float(end[1])))
        places += found
    kept: list[tuple[float, float]] = []
    for place in places:
        if all(max(abs(place[0] - k[0]), abs(place[1] - k[1])) > near for k in kept):
            kept.append(place)
    wide = (x1 - x0) >= (y1 - y0)
    return tuple(sorted(kept, key=lambda p: p if wide else (p[1], p[0])))


def _are_pins(names: Sequence[str]) -> bool:
    """Whether a proposed valve's ends bear the numbers lettered beside them, and no mere count."""
    counted = [str(number) for number in range(1, len(names) + 1)]
    return list(names) != counted and all(name.isdecimal() for name in names)


def _free_label(name: str, taken: Iterable[str]) -> str:
    """Return the first free reference of a label that carries `name`."""
    used, number = {reference.upper() for reference in taken}, 1
    while f"{name}@{number}".upper() in used:
        number += 1
    return f"{name}@{number}"


def _on_edge(a: NDArray[np.float32], b: NDArray[np.float32], box: Box) -> tuple[float, float]:
    """Where the straight line between `a` and `b`, one of them inside `box`, meets its edge."""
    inside, outside = (a, b) if box[0] <= a[0] < box[2] and box[1] <= a[1] < box[3] else (b, a)
    share = 1.0
    for axis in (0, 1):
        step = float(outside[axis] - inside[axis])
        for edge in (box[axis], box[axis + 2]):
            if step and 0.0 <= (edge - float(inside[axis])) / step < share:
                share = (edge - float(inside[axis])) / step
    x, y = inside + share * (outside - inside)
    return float(x), float(y)


def _ends_of(box: Box) -> list[tuple[float, float]]:
    """The middles of a box's sides, the short ones first."""
    x0, y0, x1, y1 = box
    across = [(float(x0), (y0 + y1) / 2), (float(x1), (y0 + y1) / 2)]
    down = [((x0 + x1) / 2, float(y0)), ((x0 + x1) / 2, float(y1))]
    return across + down if (x1 - x0) >= (y1 - y0) else down + across


def _prefix(kind: Kind) -> str:
    """The letters that the kind's own example begins its reference with."""
    match = re.match(rf"{re.escape(kind.name)} ([A-Za-z]+)", kind.example)
    return match[1] if match else "X"


def _options(text: str) -> list[tuple[str, str]]:
    try:
        pieces = shlex.split(text)
    except ValueError as error:
        raise BadConfirmation(
            f"{text!r} cannot be read ({error}). Write words such as ohms=250 out."
        ) from error
    options = []
    for piece in pieces:
        name, _, value = piece.partition("=")
        options.append((name, value))
    return options

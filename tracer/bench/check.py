"""Whether a tag can be part of a circuit, said before it is stored rather than after."""

from __future__ import annotations

from collections.abc import Iterable

from tracer.circuit.elements import CHASSIS, Bank, Circuit, Element
from tracer.circuit.kinds import TerminalStyle, kinds
from tracer.circuit.wiring import parse_wiring, print_wiring
from tracer.errors import BadWiring
from tracer.job.records import Tag

__all__ = ["PIECEWISE", "element_of", "fault_of_tag", "merged"]

PIECEWISE = frozenset({"valve", "contact", "transformer", "block", "jack", "plug", "other"})
"""Kinds that a sheet may draw in several pieces under one reference: a double triode's halves."""


def fault_of_tag(tag: Tag, shape: tuple[int, int] | None = None, banks: Iterable[Bank] = ()) -> str | None:
    """Say what is wrong with a tag, or return None where it can be part of a circuit.

    Parameters
    ----------
    tag : Tag
    shape : (int, int), optional
        Page height and width, px, that box and terminals must lie in.
    banks : iterable of Bank
        The job's switch banks, which a contact's ``closed`` may name.

    Examples
    --------
    >>> from tracer.job.records import TagTerminal
    >>> fault_of_tag(Tag(1, (0, 0, 9, 9), "resistor", "R1", "1k", (TagTerminal("1", 0, 4),)))
    "terminal '2' is missing; a resistor has 1, 2"
    """
    if tag.kind not in kinds():
        return f"there is no kind {tag.kind!r}; the kinds are {', '.join(kinds())}"
    x0, y0, x1, y1 = tag.box
    if x1 <= x0 or y1 <= y0:
        return f"its box {list(tag.box)} is empty"
    if shape is not None:
        height, width = shape
        if x0 < 0 or y0 < 0 or x1 > width or y1 > height:
            return f"its box {list(tag.box)} leaves the page of {width} by {height} px"
        for terminal in tag.terminals:
            if not (-0.5 <= terminal.x <= width - 0.5 and -0.5 <= terminal.y <= height - 0.5):
                return f"terminal {terminal.name} at ({terminal.x:g}, {terminal.y:g}) lies off the page"
    names = [terminal.name for terminal in tag.terminals]
    # A piece of a part may lack what another piece has; `merged` checks the whole.
    if tag.kind not in PIECEWISE or kinds()[tag.kind].style is not TerminalStyle.FIXED or not names:
        fault = kinds()[tag.kind].fault_of_terminals(names)
        if fault:
            return fault
    return _fault_of_line(tag, tuple(banks))


def _fault_of_line(tag: Tag, banks: tuple[Bank, ...]) -> str | None:
    """Print the tag as a line of a wiring list and read it back, which checks names, value and options."""
    element = element_of(tag, {terminal.name: CHASSIS for terminal in tag.terminals})
    try:
        parse_wiring(print_wiring(Circuit((element,), banks)), "the tag")
    except BadWiring as error:
        return str(error).partition(": ")[2].rpartition(". The line is:")[0] or str(error)
    return None


def element_of(tag: Tag, nodes: dict[str, str]) -> Element:
    """Return the element of a tag, its terminals on `nodes` by name, in the kind's order."""
    kind = kinds()[tag.kind]
    listed = kind.terminals + kind.alternative_terminals
    order = {name: place for place, name in enumerate(listed)}
    pairs = [(terminal.name, nodes[terminal.name]) for terminal in tag.terminals]
    pairs.sort(key=lambda pair: order.get(pair[0], 0))
    return Element(tag.reference, tag.kind, tuple(pairs), tag.value, tag.options)


def merged(first: Element, other: Element) -> Element | None:
    """Return two pieces of one part as one element, or None where they are no pieces of one part."""
    if first.kind != other.kind or first.kind not in PIECEWISE:
        return None
    if {name for name, _ in first.terminals} & {name for name, _ in other.terminals}:
        return None
    options = {**dict(first.options), **dict(other.options)}
    terminals = first.terminals + other.terminals
    return Element(first.reference, first.kind, terminals, first.value or other.value, tuple(options.items()))

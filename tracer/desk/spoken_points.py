"""Points as a person at the bench says them: ``V3 pin 6``, ``R12 left``, ``C8 top``; and back again."""

from __future__ import annotations

from collections.abc import Iterable

from tracer.bench.spoken import is_traced, nodes_in_words
from tracer.circuit.elements import CHASSIS, Circuit
from tracer.circuit.points import find_terminal, nodes_of, resolve_point
from tracer.desk import words
from tracer.errors import TracerError
from tracer.job.records import Tag, TagTerminal

__all__ = ["end_in_words", "leads_in_text", "point_in_words", "point_of_words", "side_of"]


def point_in_words(point: str, tags: Iterable[Tag]) -> str:
    """Return a point as it is said; what is no terminal of `tags` stays as it is.

    Examples
    --------
    >>> ends = (TagTerminal("a/6", 5, 0), TagTerminal("k", 5, 9))
    >>> valve = Tag(1, (0, 0, 9, 9), "valve", "V3", None, ends)
    >>> point_in_words("V3.6", [valve]), point_in_words("V3.a", [valve]), point_in_words("HT1", [valve])
    ('V3 pin 6', 'V3 pin 6', 'HT1')
    """
    reference, _, name = point.partition(".")
    for tag in tags:
        for terminal in tag.terminals if tag.reference == reference and name else ():
            if name == terminal.name or name in terminal.name.split("/"):
                return end_in_words(tag, terminal)
    return point


def end_in_words(tag: Tag, terminal: TagTerminal) -> str:
    """Return an end of a part as it is said; a sign or a label stands for what it names."""
    if tag.kind == "chassis":
        return CHASSIS
    if tag.kind == "label" and tag.value:
        return tag.value
    electrode, slash, pin = terminal.name.partition("/")
    if tag.kind == "valve" and slash:
        return words.POINT_PIN.format(reference=tag.reference, pin=pin)
    side = side_of(tag, terminal)
    return f"{tag.reference} {side or electrode}"


def side_of(tag: Tag, terminal: TagTerminal) -> str:
    """Return on which side of a part with two bare ends an end is drawn, or "" where that tells nothing."""
    names = {end.name for end in tag.terminals}
    if len(tag.terminals) != 2 or not names <= {"1", "2"}:
        return ""
    (x0, y0), (x1, y1) = ((end.x, end.y) for end in tag.terminals)
    other = next(end for end in tag.terminals if end.name != terminal.name)
    if abs(x1 - x0) >= abs(y1 - y0):
        return words.SIDES[0] if terminal.x < other.x else words.SIDES[1]
    return words.SIDES[2] if terminal.y < other.y else words.SIDES[3]


def point_of_words(text: str, circuit: Circuit, tags: Iterable[Tag]) -> str | None:
    """Return the point that `text` means, or None: a name of the circuit, or as `point_in_words` says it.

    Capitals, spaces and the word pin make no difference: ``v3 6`` and ``V3 pin 6`` are ``V3.6``.
    """
    text = " ".join(text.split())
    if not text:
        return None
    if " " not in text:
        return _known(text, circuit)
    reference, *rest = text.split(" ")
    if rest[0].casefold() == words.PIN:
        rest = rest[1:]
    if len(rest) != 1:
        return None
    for tag in tags:
        if tag.reference.casefold() == reference.casefold():
            for terminal in tag.terminals:
                if side_of(tag, terminal) == rest[0].casefold():
                    return f"{tag.reference}.{terminal.name}"
    return _known(f"{reference}.{rest[0]}", circuit)


def leads_in_text(text: str, circuit: Circuit, tags: Iterable[Tag]) -> tuple[str, str] | None:
    """Return the two points that one line names, the red lead's first, or None."""
    pieces, tags = text.split(), tuple(tags)
    for cut in range(1, len(pieces)):
        first = point_of_words(" ".join(pieces[:cut]), circuit, tags)
        second = point_of_words(" ".join(pieces[cut:]), circuit, tags) if first is not None else None
        if first is not None and second is not None:
            return first, second
    return None


def _known(name: str, circuit: Circuit) -> str | None:
    """Return a point as the circuit writes it; a tracing's own node by a terminal that lies on it.

    A node's name holds for one tracing only: a lead that stood on it would move with the next.
    """
    try:
        node = resolve_point(circuit, name)
    except TracerError:
        return None
    try:
        element, terminal = find_terminal(circuit, name)
        return f"{element.reference}.{terminal.rpartition('/')[2]}"
    except TracerError:
        pass
    if is_traced(name):
        return nodes_in_words(circuit).get(node)
    places = (*nodes_of(circuit), *(point for point, _ in circuit.points))
    return next((each for each in places if each.casefold() == name.casefold()), None)

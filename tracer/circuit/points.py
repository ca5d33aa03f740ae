"""Where a lead goes: terminals, rails, nodes and the chassis by name."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator

from tracer.circuit.elements import CHASSIS, Circuit, Element
from tracer.errors import UnknownPoint

__all__ = ["find_terminal", "is_terminal", "named_points", "nodes_of", "resolve_point", "terminal_points"]

_MADE_UP = re.compile(r"[A-Za-z]{0,2}\d+([._]\d+)*|[A-Za-z]")
"""Names that a tracing or a hurried hand gives a node (``n12``, ``1.7``); a person looks for none."""

_NOT_PARTS = frozenset({"wire", "bond", "link", "chassis", "label"})


def resolve_point(circuit: Circuit, name: str) -> str:
    """Return the node that a point lies on.

    Parameters
    ----------
    circuit : Circuit
    name : str
        A terminal (``R12.1``), a pin or electrode of a valve (``V2.6``, ``V2.g1``), a winding's end
        (``T1.sec.tap``), a node, a rail, a point of the list, or ``chassis``. Upper and lower case are told
        apart only where two names differ by it.

    Raises
    ------
    UnknownPoint
        There is no such point; the message lists near names.

    Examples
    --------
    >>> from tracer.circuit.wiring import parse_wiring
    >>> resolve_point(parse_wiring("valve V2: a/1=HT1 g1/6=N1"), "V2.6")
    'N1'
    """
    wanted = name.strip()
    named = dict(circuit.points)
    if wanted in named or _is_node(circuit, wanted):
        return named.get(wanted, wanted)
    element, _, node = _terminal_or_none(circuit, wanted)
    if element is not None and node is not None:
        return node
    places = {**{node: node for node in nodes_of(circuit)}, **named}
    alike = [node for key, node in places.items() if key.casefold() == wanted.casefold()]
    if len(alike) == 1:
        return alike[0]
    raise UnknownPoint(_unknown(circuit, wanted))


def _is_node(circuit: Circuit, name: str) -> bool:
    if name == CHASSIS or name in circuit.rails:
        return True
    if any(name == node for element in circuit.elements for _, node in element.terminals):
        return True
    labels = any(element.kind == "label" and element.value == name for element in circuit.elements)
    return labels or any(name == node for _, node in circuit.points)


def find_terminal(circuit: Circuit, name: str) -> tuple[Element, str]:
    """Return the element and its full terminal name for ``"R7.1"``, ``"V2.6"`` or ``"V2.g1"``.

    Raises
    ------
    UnknownPoint
        There is no such terminal; the message lists near names.
    """
    element, terminal, _ = _terminal_or_none(circuit, name.strip())
    if element is None or terminal is None:
        raise UnknownPoint(_unknown(circuit, name.strip()))
    return element, terminal


def is_terminal(circuit: Circuit, name: str) -> bool:
    """Tell whether `find_terminal` would find a terminal of this name."""
    return _terminal_or_none(circuit, name.strip())[0] is not None


def _terminal_or_none(circuit: Circuit, name: str) -> tuple[Element | None, str | None, str | None]:
    """Split at each dot in turn, longest reference first, as references and terminals may hold dots."""
    for dot in reversed([place for place, sign in enumerate(name) if sign == "."]):
        head, tail = name[:dot], name[dot + 1 :]
        found = _element(circuit, head)
        if found is None:
            continue
        matches = _matching(found, tail)
        nodes = {node for _, node in matches}
        if len(nodes) > 1:
            listed = ", ".join(f"{found.reference}.{_pin(terminal)}" for terminal, _ in matches)
            raise UnknownPoint(f"{name} may be any of {listed}; say which.")
        if matches:
            return found, *matches[0]
    return None, None, None


def _element(circuit: Circuit, name: str) -> Element | None:
    """Return the element of a reference; in other letters only where it is the only one."""
    for element in circuit.elements:
        if element.reference == name:
            return element
    folded = name.casefold()
    same = [element for element in circuit.elements if element.reference.casefold() == folded]
    return same[0] if len(same) == 1 else None


def _matching(element: Element, tail: str) -> list[tuple[str, str]]:
    """Return the terminals that `tail` may mean: by full name, then by pin or electrode, then in any case."""
    exact = [pair for pair in element.terminals if pair[0] == tail]
    if exact:
        return exact
    pins = [pair for pair in element.terminals if _pin(pair[0]) == tail and "/" in pair[0]]
    if pins:
        return pins
    wanted = tail.casefold()
    return [
        pair
        for pair in element.terminals
        if pair[0].casefold() == wanted or ("/" in pair[0] and pair[0].partition("/")[0].casefold() == wanted)
    ]


def _pin(terminal: str) -> str:
    return terminal.rpartition("/")[2]


def nodes_of(circuit: Circuit) -> tuple[str, ...]:
    """Return every node once: the chassis, the rails, then the others as the elements name them."""
    nodes = dict.fromkeys([CHASSIS, *circuit.rails])
    for element in circuit.elements:
        nodes.update(dict.fromkeys(node for _, node in element.terminals))
        if element.kind == "label" and element.value:
            nodes.setdefault(element.value)
    nodes.update(dict.fromkeys(node for _, node in circuit.points))
    return tuple(nodes)


def terminal_points(circuit: Circuit) -> tuple[tuple[str, str], ...]:
    """Return every terminal that a lead can touch, as name and node; a valve's by its pins.

    Wires, bonds and signs are left away: their ends lie on the terminals of parts.
    """
    return tuple(
        (f"{element.reference}.{_pin(terminal)}", node)
        for element in circuit.elements
        if element.kind not in _NOT_PARTS
        for terminal, node in element.terminals
    )


def named_points(circuit: Circuit) -> tuple[tuple[str, str], ...]:
    """Return points in the order a person looks for them, as name and node.

    The chassis and rails, then nodes and points with a name of their own, then terminals, pins of valves
    first.
    """
    return tuple(dict.fromkeys(_in_order(circuit)))


def _in_order(circuit: Circuit) -> Iterator[tuple[str, str]]:
    yield CHASSIS, CHASSIS
    for rail in circuit.rails:
        yield rail, rail
    yield from circuit.points
    for node in nodes_of(circuit):
        if not _MADE_UP.fullmatch(node):
            yield node, node
    valves = {element.reference for element in circuit.elements if element.kind == "valve"}
    terminals = terminal_points(circuit)
    yield from (pair for pair in terminals if pair[0].rpartition(".")[0] in valves)
    yield from terminals


def _unknown(circuit: Circuit, name: str) -> str:
    known = [point for point, _ in named_points(circuit)]
    known += [node for node in nodes_of(circuit) if node not in known]
    folded = {point.casefold(): point for point in reversed(known)}
    near = [folded[key] for key in difflib.get_close_matches(name.casefold(), folded, n=5, cutoff=0.5)]
    hint = f"Near it: {', '.join(near)}." if near else f"There are {', '.join(known[:8])} and others."
    return f"No point {name!r} in this circuit. {hint}"

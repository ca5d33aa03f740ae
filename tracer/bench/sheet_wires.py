"""One sheet's terminals and wires as named nodes and elements."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from tracer.bench.doubts import doubtful_crossings, doubtful_joins
from tracer.bench.records import Place, PointPlace
from tracer.bench.snap import WITHIN, Snap, snap
from tracer.bench.stretches import Stretch, Vertex, stretches_of
from tracer.circuit.elements import Element
from tracer.job.records import Tag, TagTerminal
from tracer.trace.flood import FloodIndex
from tracer.trace.sheet import Segment, TracedSheet

__all__ = ["SheetWires", "wires_of_sheet"]

_Foot = tuple[int, str]
"""A tag by its place in the list, and the name of one of its terminals."""


@dataclass(frozen=True, slots=True, eq=False)
class SheetWires:
    """What one sheet gives the circuit.

    Attributes
    ----------
    nodes : mapping of (int, str) to str
        The node of each terminal, by the tag's place in the list and the terminal's name.
    wires : tuple of (Element, Place)
        Stretches of wire.
    node_places : mapping of str to PointPlace
    conductor_nodes : mapping of int to tuple of str
    loose : tuple of (Tag, TagTerminal)
        Terminals that lie on no conductor.
    bridged : tuple of Tag
        Parts of two terminals that both lie on one conductor: wire was traced through the body, or round it.
    doubtful : tuple of (str, str, float)
        Pairs of nodes that the tracing was less than sure of joining, or of keeping apart, and how sure.
    """

    nodes: Mapping[_Foot, str]
    wires: tuple[tuple[Element, Place], ...]
    node_places: Mapping[str, PointPlace]
    conductor_nodes: Mapping[int, tuple[str, ...]]
    loose: tuple[tuple[Tag, TagTerminal], ...]
    bridged: tuple[Tag, ...]
    doubtful: tuple[tuple[str, str, float], ...]


def wires_of_sheet(
    number: int, sheet: TracedSheet, tags: Sequence[Tag], prefixes: tuple[str, str]
) -> SheetWires:
    """Snap the terminals of `tags` to the sheet's conductors and divide those between them.

    Parameters
    ----------
    number : int
        The sheet's number in the job.
    sheet : TracedSheet
    tags : sequence of Tag
        The sheet's confirmed parts.
    prefixes : (str, str)
        What node names and wire references start with: ``("N", "W")``.
    """
    snaps, loose = _snap_all(sheet, tags)
    by_conductor: dict[int, list[_Foot]] = {}
    for foot, found_at in snaps.items():
        by_conductor.setdefault(found_at.conductor, []).append(foot)
    segments: dict[int, list[Segment]] = {conductor: [] for conductor in by_conductor}
    for segment in sheet.segments:
        if segment.conductor in segments and len(segment.line) > 1:
            segments[segment.conductor].append(segment)
    nodes: dict[_Foot, str] = {}
    wires: list[tuple[Element, Place]] = []
    doubtful: list[tuple[str, str, float]] = []
    node_places: dict[str, PointPlace] = {}
    conductor_nodes: dict[int, tuple[str, ...]] = {}
    node_prefix, wire_prefix = (f"{prefix}{number}." for prefix in prefixes)
    for conductor in sorted(by_conductor):
        feet = by_conductor[conductor]
        found = stretches_of(sheet, segments[conductor], [snaps[foot].attachment for foot in feet])
        vertices, stretches, places = found
        names = _names(f"{node_prefix}{conductor}", vertices, places)
        nodes.update({foot: names[vertex] for foot, vertex in zip(feet, vertices, strict=True)})
        node_places.update({names[v]: PointPlace(number, *places[v]) for v in names})
        conductor_nodes[conductor] = tuple(names.values())
        doubtful += doubtful_joins(sheet, stretches, names)
        for stretch in stretches:
            wires.append(_wire(f"{wire_prefix}{len(wires) + 1}", number, stretch, names))
    _name_loose(nodes, node_places, number, tags, loose, f"{node_prefix}0", sheet.stroke)
    ends = tuple((tags[place], terminal) for place, terminal in loose)
    bridged = tuple(tag for place, tag in enumerate(tags) if _is_bridged(place, tag, snaps))
    doubtful += doubtful_crossings(sheet, conductor_nodes, node_places)
    return SheetWires(nodes, tuple(wires), node_places, conductor_nodes, ends, bridged, tuple(doubtful))


def _is_bridged(place: int, tag: Tag, snaps: Mapping[_Foot, Snap]) -> bool:
    found = {snaps[place, t.name].conductor for t in tag.terminals if (place, t.name) in snaps}
    return (
        len(tag.terminals) == 2 and len(found) == 1 and all((place, t.name) in snaps for t in tag.terminals)
    )


def _snap_all(
    sheet: TracedSheet, tags: Sequence[Tag]
) -> tuple[dict[_Foot, Snap], list[tuple[int, TagTerminal]]]:
    index = FloodIndex(sheet)
    snaps: dict[_Foot, Snap] = {}
    loose: list[tuple[int, TagTerminal]] = []
    for place, tag in enumerate(tags):
        for terminal in tag.terminals:
            within = WITHIN + _depth(tag.box, terminal) / sheet.stroke
            foot = snap(index, terminal.x, terminal.y, within)
            if foot is None:
                loose.append((place, terminal))
            else:
                snaps[place, terminal.name] = foot
    return snaps, loose


def _depth(box: tuple[int, int, int, int], terminal: TagTerminal) -> float:
    """How deep in its part's box a terminal lies, px: conductors end at the box, not at the symbol."""
    x0, y0, x1, y1 = box
    return max(0.0, min(terminal.x - x0, x1 - terminal.x, terminal.y - y0, y1 - terminal.y))


def _names(
    stem: str, vertices: Iterable[Vertex], places: Mapping[Vertex, tuple[float, float]]
) -> dict[Vertex, str]:
    """Name a conductor's vertices: those with terminals first, then its branches, each from top to bottom."""
    attached = set(vertices)
    order = sorted(places, key=lambda v: (v not in attached, places[v][1], places[v][0], v))
    return {v: stem if count == 1 else f"{stem}_{count}" for count, v in enumerate(order, start=1)}


def _wire(
    reference: str, number: int, stretch: Stretch, names: Mapping[Vertex, str]
) -> tuple[Element, Place]:
    terminals = (("1", names[stretch.start]), ("2", names[stretch.end]))
    segments = tuple(piece.segment for piece in stretch.pieces)
    place = Place(number, None, segments, tuple(piece.line for piece in stretch.pieces))
    return Element(reference, "wire", terminals), place


def _name_loose(
    nodes: dict[_Foot, str],
    node_places: dict[str, PointPlace],
    number: int,
    tags: Sequence[Tag],
    loose: Sequence[tuple[int, TagTerminal]],
    stem: str,
    stroke: float,
) -> None:
    """Give terminals off every conductor a node; those of two parts that touch each other share one."""
    made: list[tuple[str, int, float, float]] = []
    for place, terminal in loose:
        name = next(
            (
                node
                for node, other, x, y in made
                if other != place and (x - terminal.x) ** 2 + (y - terminal.y) ** 2 <= (WITHIN * stroke) ** 2
            ),
            f"{stem}_{len(made) + 1}",
        )
        made.append((name, place, terminal.x, terminal.y))
        nodes[place, terminal.name] = name
        node_places.setdefault(name, PointPlace(number, terminal.x, terminal.y))

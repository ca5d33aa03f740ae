"""From tags and traced sheets to a circuit whose every element has a place on paper."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from tracer.bench.check import element_of, fault_of_tag, merged
from tracer.bench.offered import offered
from tracer.bench.records import Bench, Place, PointPlace
from tracer.bench.sheet_wires import SheetWires, wires_of_sheet
from tracer.circuit.elements import CHASSIS, Bank, Circuit, Element
from tracer.circuit.kinds import kinds
from tracer.circuit.points import nodes_of, resolve_point
from tracer.errors import BadConfirmation, UnknownPoint
from tracer.job.records import Dismissal, Rail, Tag
from tracer.trace.sheet import TracedSheet

__all__ = ["lay_out"]


@dataclass(slots=True)
class _Table:
    """The bench as it is being laid; frozen into a `Bench` at the end."""

    strict: bool
    elements: dict[str, Element] = field(default_factory=dict)
    places: dict[str, tuple[Place, ...]] = field(default_factory=dict)
    points: dict[str, PointPlace] = field(default_factory=dict)
    conductor_nodes: dict[tuple[int, int], tuple[str, ...]] = field(default_factory=dict)
    warnings: list[str] = field(default_factory=list)
    joins: list[tuple[str, str, float]] = field(default_factory=list)

    def warn(self, sentence: str) -> None:
        if self.strict:
            raise BadConfirmation(sentence)
        self.warnings.append(sentence)


def lay_out(
    sheets: Mapping[int, TracedSheet],
    tags: Iterable[Tag],
    banks: Sequence[Bank] = (),
    rails: Sequence[Rail] = (),
    *,
    strict: bool = False,
    dismissed: Iterable[Dismissal] = (),
) -> Bench:
    """Build the circuit of confirmed tags on traced sheets.

    Parameters
    ----------
    sheets : mapping of int to TracedSheet
        By sheet number.
    tags : iterable of Tag
        Confirmed parts; those on a sheet that is not in `sheets` are left out with a warning.
    banks, rails : sequences
        The set's switch banks and supply lines.
    strict : bool
        Raise at the first thing that would be a warning about a tag.
    dismissed : iterable of Dismissal
        Proposals of which a person said that they are no parts.

    Raises
    ------
    BadConfirmation
        When `strict` and a tag does not fit.
    """
    table = _Table(strict)
    good = _good_tags(table, sheets, tags, banks)
    prefixes = _free_prefixes(good)
    for number, sheet in sorted(sheets.items()):
        here = [tag for tag in good if tag.sheet == number]
        wires = wires_of_sheet(number, sheet, here, prefixes)
        _add_parts(table, number, here, wires)
        _add_wires(table, number, wires)
    _drop_unfinished(table)
    _add_rails(table, rails)
    _count_proposals(table, sheets, good, tuple(dismissed))
    circuit = Circuit(tuple(table.elements.values()), tuple(banks), tuple(rail.name for rail in rails))
    return Bench(
        circuit,
        dict(sheets),
        table.places,
        table.points,
        table.conductor_nodes,
        tuple(table.warnings),
        tuple(table.joins),
    )


def _good_tags(
    table: _Table, sheets: Mapping[int, TracedSheet], tags: Iterable[Tag], banks: Sequence[Bank]
) -> list[Tag]:
    good = []
    for tag in tags:
        if tag.sheet not in sheets:
            table.warn(f"{tag.reference} lies on sheet {tag.sheet}, which the job does not have.")
            continue
        fault = fault_of_tag(tag, sheets[tag.sheet].shape, banks)
        if fault:
            table.warn(f"{tag.reference} on sheet {tag.sheet} is left out: {fault}.")
            continue
        good.append(tag)
    return good


def _free_prefixes(tags: Iterable[Tag]) -> tuple[str, str]:
    """Return prefixes for nodes and wires that no part uses: a part W1 may have a terminal W1.4."""
    taken = {match[1] for tag in tags if (match := re.fullmatch(r"([NW]{1,2})\d+", tag.reference))}
    return ("NN" if "N" in taken else "N", "WW" if "W" in taken else "W")


def _add_parts(table: _Table, number: int, tags: Sequence[Tag], wires: SheetWires) -> None:
    for place, tag in enumerate(tags):
        element = element_of(tag, {t.name: wires.nodes[place, t.name] for t in tag.terminals})
        known = table.elements.get(tag.reference)
        if known is not None:
            whole = merged(known, element)
            if whole is None:
                table.warn(
                    f"{tag.reference} is tagged twice, and that on sheet {number} at {list(tag.box)} is no "
                    "further piece of the other; it is left out. Give one of them another reference."
                )
                continue
            element = whole
        table.elements[tag.reference] = element
        boxes = table.places.get(tag.reference, ())
        table.places[tag.reference] = (*boxes, Place(number, tag.box))
        _add_points(table, tag)
    for tag, terminal in wires.loose:
        table.warn(
            f"{tag.reference}.{terminal.name} on sheet {number} at ({terminal.x:.0f}, {terminal.y:.0f}) lies "
            "on no conductor and is taken as not connected. Move it onto its wire, or mend the wire."
        )

    for tag in wires.bridged:
        table.warnings.append(
            f"Both terminals of {tag.reference} on sheet {number} lie on one conductor, as if wire ran round "
            "it. Look whether its box covers its whole body, and whether two wires were joined there."
        )


def _add_points(table: _Table, tag: Tag) -> None:
    """Note where a lead goes for each name of a terminal: ``V2.g1/6``, ``V2.g1``, ``V2.6``; rail; chassis."""
    for terminal in tag.terminals:
        where = PointPlace(tag.sheet, terminal.x, terminal.y)
        for name in (terminal.name, *reversed(terminal.name.split("/"))):
            table.points.setdefault(f"{tag.reference}.{name}", where)
        if tag.kind == "label" and tag.value:
            table.points.setdefault(tag.value, where)
        if tag.kind == "chassis":
            table.points.setdefault(CHASSIS, where)


def _add_wires(table: _Table, number: int, wires: SheetWires) -> None:
    for element, place in wires.wires:
        table.elements[element.reference] = element
        table.places[element.reference] = (place,)
    table.joins += wires.doubtful
    for name, where in wires.node_places.items():
        table.points.setdefault(name, where)
    for conductor, nodes in wires.conductor_nodes.items():
        table.conductor_nodes[number, conductor] = nodes


def _drop_unfinished(table: _Table) -> None:
    """Leave out parts whose pieces together still lack a terminal."""
    for reference, element in list(table.elements.items()):
        fault = kinds()[element.kind].fault_of_terminals([name for name, _ in element.terminals])
        if fault:
            del table.elements[reference], table.places[reference]
            table.warn(f"{reference} is left out: {fault}.")


def _add_rails(table: _Table, rails: Iterable[Rail]) -> None:
    """Bond each rail that names a point to it, and say of a rail that nothing on the sheets reaches."""
    for count, rail in enumerate(rails, start=1):
        circuit = Circuit(tuple(table.elements.values()))
        if rail.at is not None:
            try:
                node = resolve_point(circuit, rail.at)
            except UnknownPoint as error:
                table.warn(f"The rail {rail.name} starts from {rail.at}, which is not there. {error}")
                continue
            reference = f"B0.{count}"
            terminals = (("1", node), ("2", rail.name))
            table.elements[reference] = Element(reference, "bond", terminals)
            where = table.points.get(rail.at) or table.points.get(node)
            if where is not None:
                table.points.setdefault(rail.name, where)
        elif rail.name not in nodes_of(circuit):
            table.warnings.append(
                f"No label on a sheet names the rail {rail.name}: nothing is joined to it yet."
            )


def _count_proposals(
    table: _Table, sheets: Mapping[int, TracedSheet], tags: Sequence[Tag], dismissed: Sequence[Dismissal]
) -> None:
    """Say how many proposed parts nobody confirmed: what is not confirmed enters no expected value."""
    for number, sheet in sorted(sheets.items()):
        boxes = [tag.box for tag in tags if tag.sheet == number]
        no_parts = [each.box for each in dismissed if each.sheet == number]
        waiting = len(offered(sheet.proposals, boxes, no_parts))
        if waiting:
            parts = "1 proposed part is" if waiting == 1 else f"{waiting} proposed parts are"
            table.warnings.append(f"Sheet {number}: {parts} not confirmed and in no expected value.")

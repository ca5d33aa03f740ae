"""What the lettering says of a coil beside its value: the ohms of its winding, which a meter sees."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from tracer.circuit.values import parse_printed
from tracer.errors import BadValue
from tracer.reader.text_line import TextLine
from tracer.trace.sheet import TracedSheet

__all__ = ["with_winding_ohms"]


def with_winding_ohms(sheet: TracedSheet, lines: Iterable[TextLine]) -> TracedSheet:
    """Return the sheet with the ohms behind a coil's value where one line has both: ``10H 220R``.

    Parameters
    ----------
    sheet : TracedSheet
        With references and values, as `tracer.trace.naming` leaves it.
    lines : iterable of TextLine
        The lettering of the same page.
    """
    said = [line.text.split() for line in lines]
    proposals = tuple(
        replace(each, value=_with_ohms(each.value, said)) if each.kind == "coil" and each.value else each
        for each in sheet.proposals
    )
    return replace(sheet, proposals=proposals)


def _with_ohms(value: str, said: Iterable[list[str]]) -> str:
    for pieces in said:
        if value in pieces[:-1]:
            behind = pieces[pieces.index(value) + 1]
            try:
                parse_printed(behind, "ohm")
            except BadValue:
                continue
            return f"{value} {behind}"
    return value

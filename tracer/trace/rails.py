"""Supply rails by their names: +5, -15V, HT1, lettered at the end of a wire.

Only a name that can be nothing else is taken (`tracer.reader.letters_grammar.as_rail`), and only where one
wire ends: voltages lettered along a circuit are measurements, not rails.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

import numpy as np
from scipy.spatial import cKDTree

from tracer.reader.letters_grammar import Fit, as_rail
from tracer.trace.naming_costs import LEAST_SURE
from tracer.trace.naming_texts import Text, gap
from tracer.trace.sheet import Join, JoinKind, Proposal, Terminal, TracedSheet

__all__ = ["rails_at_ends", "rails_for_parts"]

_MISTAKEN: Final = frozenset({"contact", "jack", "plug", "other"})
"""What a circle, an arrow or a bar at a wire's end may be taken for."""

_NEAR_PART: Final = 1.2  # letter heights
_NEAR_END: Final = 1.6
_ARROW: Final = 1.0  # letter heights that an arrow's head may go on
_BOX: Final = 2.0  # strokes from a free end to the edges of the box proposed there


def rails_for_parts(parts: Sequence[Proposal], texts: Sequence[Text]) -> list[Proposal]:
    """Make labels of parts that stand at one wire with a rail's name beside them and no name of their own."""
    rails = [text for text in texts if _rail(text) is not None]
    found = list(parts)
    for row, part in enumerate(parts):
        joined = {end.conductor for end in part.terminals if end.conductor is not None}
        if part.kind not in _MISTAKEN or part.reference or part.value or len(joined) != 1:
            continue
        if any(gap(part.box, text.box) <= _NEAR_PART * text.height for text in rails):
            end = next(end for end in part.terminals if end.conductor is not None)
            found[row] = replace(part, kind="label", terminals=(replace(end, name="1"),))
    return found


def rails_at_ends(
    sheet: TracedSheet, parts: Sequence[Proposal], texts: Sequence[Text]
) -> list[tuple[Proposal, frozenset[tuple[int, int]]]]:
    """Propose a label at each free end of a wire that has a rail's name beside it and no part on it.

    Returns
    -------
    list of (Proposal, frozenset)
        With the words that each proposal takes; ids go on from those of `parts`.
    """
    ends = [join for join in sheet.joins if join.kind is JoinKind.END and len(join.segments) == 1]
    if not ends:
        return []
    tree = cKDTree(np.array([(end.x, end.y) for end in ends]))
    pairs = []
    for number, text in enumerate(texts):
        fit = _rail(text)
        if fit is None:
            continue
        middle = ((text.box[0] + text.box[2]) / 2, (text.box[1] + text.box[3]) / 2)
        reach = (_NEAR_END + _ARROW) * text.height + (
            text.box[2] - text.box[0] + text.box[3] - text.box[1]
        ) / 2
        for index in tree.query_ball_point(middle, reach):
            far = _distance(sheet, ends[index], text) / text.height
            if far <= _NEAR_END and not _at_part(ends[index], parts, sheet.stroke):
                pairs.append((far - 0.1 * len(text.words), number, int(index), fit.text))
    found: list[tuple[Proposal, frozenset[tuple[int, int]]]] = []
    taken: set[tuple[int, int]] = set()
    used: set[int] = set()
    for _, number, index, name in sorted(pairs):
        text = texts[number]
        if index not in used and not text.words & taken:
            used.add(index)
            taken |= text.words
            found.append((_label(sheet, ends[index], name, text, len(parts) + len(found)), text.words))
    return found


def _rail(text: Text) -> Fit | None:
    """The name of a rail; a voltage without its sign is as likely what a capacitor stands."""
    fit = as_rail(text.text) if text.confidence >= LEAST_SURE else None
    return None if fit is None or (fit.text[0] in "123456789") else fit


def _distance(sheet: TracedSheet, end: Join, text: Text) -> float:
    """From a free end to a text, or from the tip of an arrow that may go on from there."""
    line = sheet.segments[end.segments[0]].line
    if float(np.hypot(*(line[0] - (end.x, end.y)))) < float(np.hypot(*(line[-1] - (end.x, end.y)))):
        line = line[::-1]
    run = np.hypot(*(line - line[-1]).T)
    back = line[int(np.nonzero(run >= min(text.height, float(run.max())))[0][-1])]
    way = line[-1] - back
    tip = np.array([end.x, end.y]) + way / max(float(np.hypot(*way)), 1.0) * _ARROW * text.height
    return min(gap((x, y, x, y), text.box) for x, y in ((end.x, end.y), (float(tip[0]), float(tip[1]))))


def _at_part(end: Join, parts: Sequence[Proposal], stroke: float) -> bool:
    point = (end.x, end.y, end.x, end.y)
    return any(gap(point, part.box) <= 2.5 * stroke for part in parts)


def _label(sheet: TracedSheet, end: Join, name: str, text: Text, number: int) -> Proposal:
    reach = max(_BOX * sheet.stroke, 2.0)
    height, width = sheet.shape
    x0, y0 = max(round(end.x - reach), 0), max(round(end.y - reach), 0)
    box = (
        x0,
        y0,
        min(max(round(end.x + reach) + 1, x0 + 1), width),
        min(max(round(end.y + reach) + 1, y0 + 1), height),
    )
    terminal = Terminal("1", end.x, end.y, sheet.segments[end.segments[0]].conductor)
    sure = round(text.confidence, 3)
    return Proposal(number, box, "label", sure, (terminal,), value=name, value_confidence=sure)

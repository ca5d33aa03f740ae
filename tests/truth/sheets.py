"""The sheets that the reader is judged on: which there are, and how each is drawn and spoilt.

Groups: ``another hand`` (old service sheets with a kit, an alphabet and an ageing of their own),
``independent`` (drawn by schemdraw), ``held out`` (this project's pen with symbols, faces and layouts
that the training never sees) and ``drawn`` (the training's own random sheets, with seeds never trained on).
A fifth, ``scans``, are real sheets labelled by eye, where a folder of them is given.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from another_sheets import SHEETS, draw_another
from held_out import LAYOUTS, draw_held_out
from held_out_pen import MANNERS
from independent import Independent
from independent_amplifiers import AMPLIFIERS
from independent_filters import FILTERS
from independent_networks import NETWORKS
from scans import labelled_scan, labels_in

from tracer.training.layout import draw_sheet
from tracer.training.spoil import spoil
from tracer.training.truth import SheetTruth

__all__ = ["SETS", "SheetOrder", "draw", "orders"]

SETS = ("small", "standard", "full")

_PENS = ((1.5, "cmss10", 11.0, 150), (1.0, "STIXGeneral", 12.0, 200), (2.4, "cmtt10", 11.0, 120))
"""Weight in points, face, size in points, dpi: strokes of 3.1, 2.8 and 4.0 px."""
_INDEPENDENT = {**NETWORKS, **AMPLIFIERS, **FILTERS}
_COPIES, _THINNEST_COPIED = 2, 2.0
"""From this level on, thinner strokes (px) than this are no more to be read by eye."""
_DRAWN_SEEDS = range(8200, 8206)


@dataclass(frozen=True, slots=True, order=True)
class SheetOrder:
    """One sheet to draw: its group, name, manner (0 on) and level of spoiling."""

    group: str
    name: str
    manner: int
    level: int


def orders(which: str, scans: Path | None = None) -> list[SheetOrder]:
    """List the sheets of a set, and the labelled scans in a folder.

    ``small`` is a third of ``standard`` at two levels; ``full`` draws every sheet in every manner.
    """
    found: list[SheetOrder] = []
    for level in range(4):
        for place, name in enumerate(_INDEPENDENT):
            manners = range(len(_PENS))
            if which != "full":
                manners = manners[place % len(_PENS) :][:1]
            found += [SheetOrder("independent", name, manner, level) for manner in manners]
        found += [SheetOrder("another hand", name, 0, level) for name in SHEETS]
        for place, name in enumerate(LAYOUTS):
            manners = range(len(MANNERS))
            if which != "full":
                manners = manners[place % 3 :: 3]
            found += [
                SheetOrder("held out", name, manner, level)
                for manner in manners
                if level < _COPIES or MANNERS[manner].stroke >= _THINNEST_COPIED
            ]
        seeds = _DRAWN_SEEDS if which == "full" else _DRAWN_SEEDS[:2]
        found += [SheetOrder("drawn", str(seed), 0, level) for seed in seeds]
    if which == "small":
        groups = dict.fromkeys(order.group for order in found)
        few = [[each for each in found if each.group == group and each.level in (0, 2)] for group in groups]
        found = [order for group in few for order in group[::3]]
    if scans is not None:
        found += [SheetOrder("scans", str(path), 0, 0) for path in labels_in(scans)]
    return found


def draw(order: SheetOrder) -> SheetTruth:
    """Draw and spoil one sheet; the same order gives the same sheet."""
    if order.group == "scans":
        return labelled_scan(Path(order.name))
    if order.group == "another hand":
        return draw_another(order.name, order.level)
    if order.group == "independent":
        weight, font, size, dpi = _PENS[order.manner]
        pen = Independent(weight, font, size)
        _INDEPENDENT[order.name](pen)
        truth = pen.finish(dpi)
        seed = 100 * list(_INDEPENDENT).index(order.name) + order.manner
    elif order.group == "held out":
        truth = draw_held_out(order.name, order.manner).finish()
        seed = 1000 + 10 * list(LAYOUTS).index(order.name) + order.manner
    else:
        truth = draw_sheet(int(order.name))
        seed = int(order.name)
    return spoil(truth, order.level, seed)

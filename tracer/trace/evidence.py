"""What speaks for and against each decision of the tracing, as numbers for the model of how sure it is."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tracer.reader.layers import Pixel
from tracer.trace.blobs import Labels
from tracer.trace.bodies import BodyMap
from tracer.trace.ends import Ends
from tracer.trace.grid import Grid, pixels_of
from tracer.trace.mask import Inked
from tracer.trace.meeting import Meeting
from tracer.trace.sheet import DrawingHabits, JoinKind
from tracer.trace.skeleton import Strokes

__all__ = ["FEATURES", "gather"]

FEATURES: Final = (
    "rule",  # logit of what the rule that decided gave
    "sure near",  # the reader's mean sureness of the ink within two and a half strokes
    "unsure near",  # share of that ink below 0.6
    "dot near",  # shares of the neighbourhood, by class
    "crossing near",
    "body near",
    "lettering near",
    "furniture near",
    "three arms",
    "many arms",  # five or more
    "shortest arm",  # log of its length in strokes
    "widths",  # log of the widest arm's to the narrowest arm's
    "least sure arm",  # the reader's mean sureness along it
    "sheet sets dots",
    "sheet sets none",
    "sheet is broken",
    "body ahead",  # of an end: what lies within six strokes in its line
    "lettering ahead",
    "furniture ahead",
    "wire ahead",
    "disc size",  # log of the radius of the crossing's disc in strokes, if there is one
    "dot size",
    "bare",  # stroke widths of bare paper bridged
    "body score",  # of a terminal
    "body size",  # log of its longer side in strokes
)

_NEAR = 2.5  # stroke widths
_AHEAD = 6.0  # stroke widths
_UNSURE = 0.6 * 255
_CONDUCTING = (Pixel.WIRE, Pixel.DOT, Pixel.CROSSING)
_SHARES = (Pixel.DOT, Pixel.CROSSING, Pixel.BODY, Pixel.LETTERING, Pixel.FURNITURE)


def gather(
    meetings: Sequence[Meeting],
    strokes: Strokes,
    half: NDArray[np.float32],
    ends: Ends,
    inked: Inked,
    grid: Grid,
    bodies: BodyMap,
    habits: DrawingHabits,
) -> NDArray[np.float64]:
    """Return one row of `FEATURES` for each meeting; what has no meaning for its kind is 0."""
    count = len(meetings)
    table = np.zeros((count, len(FEATURES)))
    if not count:
        return table
    rule = np.clip([meeting.score for meeting in meetings], 0.02, 0.98)
    table[:, 0] = np.log(rule / (1 - rule))
    places = np.array([meeting.at for meeting in meetings])
    table[:, 1:8] = _near(places, grid)
    table[:, 8:13] = _of_arms([meeting.arms for meeting in meetings], strokes, half, grid)
    table[:, 13:16] = habits.dots is True, habits.dots is False, habits.broken is True
    loose = [place for place, meeting in enumerate(meetings) if meeting.kind is JoinKind.END]
    if loose:
        arms = [ends.arms[meetings[place].arms[0]] for place in loose]
        at, way = np.array([arm.at for arm in arms]), np.array([arm.way for arm in arms])
        table[loose, 16:20] = _ahead(at, way, grid)
    table[:, 20:22] = np.column_stack(
        [_size(labels, places, grid) for labels in (inked.crossings, inked.dots)]
    )
    table[:, 22] = [meeting.bare for meeting in meetings]
    for place, meeting in enumerate(meetings):
        if meeting.body:
            x0, y0, x1, y1 = bodies.boxes[meeting.body - 1]
            table[place, 23] = bodies.scores[meeting.body - 1]
            table[place, 24] = np.log(max(x1 - x0, y1 - y0, 1.0) / grid.stroke)
    return table


def _near(places: NDArray[np.float64], grid: Grid) -> NDArray[np.float64]:
    """Return mean sureness, share of unsure ink and shares of classes around each place, (N, 7)."""
    reach = np.arange(-_NEAR, _NEAR + 0.1, 0.5) * grid.stroke
    offsets = np.array([(x, y) for y in reach for x in reach if np.hypot(x, y) <= _NEAR * grid.stroke])
    x, y = pixels_of((places[:, None] + offsets).reshape(-1, 2), grid.classes.shape)
    classes = grid.classes[y, x].reshape(len(places), -1)
    sure = grid.sureness[y, x].reshape(len(places), -1)
    ink = np.isin(classes, _CONDUCTING)
    inky = np.maximum(ink.sum(axis=1), 1)
    found = [(sure * ink).sum(axis=1) / inky / 255.0, ((sure < _UNSURE) & ink).sum(axis=1) / inky]
    return np.column_stack(found + [(classes == pixel).mean(axis=1) for pixel in _SHARES])


def _size(labels: Labels, places: NDArray[np.float64], grid: Grid) -> NDArray[np.float64]:
    """Return the log of the radius, in strokes, of the blob at each place; 0 for none."""
    x, y = pixels_of(places, labels.shape)
    area = np.bincount(labels[labels > 0], minlength=1)
    radius = np.sqrt(np.maximum(area[labels[y, x]], 1) / np.pi) / grid.stroke
    return np.where(labels[y, x] > 0, np.log(radius), 0.0)


def _of_arms(
    arms: Sequence[Sequence[int]], strokes: Strokes, half: NDArray[np.float32], grid: Grid
) -> NDArray[np.float64]:
    """Return the features of the lines that meet, (N, 5): their number, lengths, widths and sureness."""
    points = np.concatenate(strokes.lines)
    starts = np.cumsum([0] + [len(line) for line in strokes.lines])
    counts = np.diff(starts)
    x, y = pixels_of(points, half.shape)
    width = np.add.reduceat(half[y, x].astype(np.float64), starts[:-1]) / counts
    sure = np.add.reduceat(grid.sureness[y, x].astype(np.float64), starts[:-1]) / counts / 255.0
    owner = np.repeat(np.arange(len(arms)), [len(each) for each in arms])
    line = np.array([arm // 2 for each in arms for arm in each], np.intp)
    first = np.searchsorted(owner, np.arange(len(arms)))
    number = np.bincount(owner, minlength=len(arms))
    shortest = np.minimum.reduceat(counts[line] / grid.stroke, first)
    spread = np.maximum.reduceat(width[line], first) / np.minimum.reduceat(
        np.maximum(width[line], 0.5), first
    )
    return np.column_stack(
        [
            number == 3,
            number >= 5,
            np.log(np.clip(shortest, 0.5, 20.0)),
            np.log(np.maximum(spread, 1.0)),
            np.minimum.reduceat(sure[line], first),
        ]
    )


def _ahead(at: NDArray[np.float64], way: NDArray[np.float64], grid: Grid) -> NDArray[np.float64]:
    """Say of each end whether a body, lettering, furniture or a wire lies in its line, (N, 4)."""
    steps = np.arange(1.0, _AHEAD, 0.5) * grid.stroke
    x, y = pixels_of((at[:, None] - steps[:, None] * way[:, None]).reshape(-1, 2), grid.classes.shape)
    classes = grid.classes[y, x].reshape(len(at), -1)
    found = [(classes == pixel).any(axis=1) for pixel in (Pixel.BODY, Pixel.LETTERING, Pixel.FURNITURE)]
    return np.column_stack([*found, np.isin(classes, _CONDUCTING).any(axis=1)]).astype(np.float64)

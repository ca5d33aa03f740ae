"""The tracing as a whole: the reader's class map in, conductors and part proposals out."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from tracer.progress import NullProgress, Progress, checkpoint
from tracer.reader.layers import Layers
from tracer.trace.bodies import find_bodies
from tracer.trace.conductors import to_segments
from tracer.trace.ends import sort_ends
from tracer.trace.evidence import gather
from tracer.trace.gaps import facing_gaps
from tracer.trace.grid import Grid, Nearby, make_grid, nearby
from tracer.trace.habits import drawing_habits, overruled
from tracer.trace.join_model import join_model, weighed
from tracer.trace.links import links_across, links_to_bodies, links_to_dots
from tracer.trace.mask import Inked, make_inked
from tracer.trace.meets import decide, lower_touched
from tracer.trace.mend import Body, Mend
from tracer.trace.mending import link_by_hand, mend_mask, not_wire
from tracer.trace.proposals import propose
from tracer.trace.prune import half_widths, prune_spurs, rub_out, stretch_points
from tracer.trace.sheet import DrawingHabits, Join, TracedSheet
from tracer.trace.skeleton import Strokes, thin, trace_strokes
from tracer.trace.touches import Touch, touches

__all__ = ["trace"]


def trace(
    layers: Layers,
    shape: tuple[int, int],
    *,
    bodies: Sequence[Body] = (),
    mends: Sequence[Mend] = (),
    habits: DrawingHabits | None = None,
    witness: Callable[[Sequence[Join], NDArray[np.float64]], None] | None = None,
    progress: Progress | None = None,
) -> TracedSheet:
    """Trace the conductors of a sheet.

    The conductor ink is thinned to centre lines. Discs of crossings are cut out and the arms at each are
    paired so that they bend least; dots and T-joins join; ends that face each other over a small break are
    bridged; conductors end at bodies.

    Parameters
    ----------
    layers : Layers
        The reader's answer.
    shape : (int, int)
        Page height and width, px.
    bodies : sequence of Body
        Bodies given by hand, page px.
    mends : sequence of Mend
        Changes made by hand, page px.
    habits : DrawingHabits, optional
        What a person knows of the sheet; what is None in it is told from the sheet itself.
    witness : callable, optional
        Handed the joins and the evidence for each, (N, F); the model of their scores is fitted with it.
    progress : Progress, optional
        Watches, and may cancel.

    Returns
    -------
    TracedSheet
        In page px.

    Raises
    ------
    Cancelled
        When `progress` says so.

    Notes
    -----
    Thinning after Zhang and Suen (1984); the pairing is a minimum-weight matching.

    Examples
    --------
    >>> classes = np.zeros((40, 40), np.uint8)
    >>> classes[19:22, 5:35] = 1
    >>> cells = np.zeros((10, 10), np.uint8)
    >>> page = np.array([[2.0, 0, 0.5], [0, 2.0, 0.5]])
    >>> layers = Layers(classes, classes * 255, cells, cells, ("none",), page, 6.0, "")
    >>> trace(layers, (80, 80)).conductors
    1
    """
    progress = progress or NullProgress()
    checkpoint(progress, "finding the bodies", 0.0)
    grid = make_grid(layers, bodies)
    body_map = find_bodies(layers, grid)
    inked = mend_mask(make_inked(grid, body_map), grid, mends)
    checkpoint(progress, "thinning the conductors", 0.3)
    at_bodies, at_crossings, at_dots = (
        nearby(labels) for labels in (inked.bodies, inked.crossings, inked.dots)
    )
    half = half_widths(inked.wire)
    skeleton = thin(inked.wire)
    strokes = _bare_lines(skeleton, half, inked, grid, (at_bodies, at_crossings), mends)
    strokes, touched, habits = _closed_lines(
        skeleton, strokes, half, inked, grid, (at_bodies, at_crossings), at_dots, habits
    )
    checkpoint(progress, "following the conductors", 0.6)
    strokes = link_by_hand(strokes, grid, mends)
    ends = sort_ends(strokes, half, at_bodies, at_crossings, grid.stroke)
    meetings = lower_touched(decide(strokes, ends, grid, inked, at_dots, habits), touched, grid.stroke)
    evidence = gather(meetings.meetings, strokes, half, ends, inked, grid, body_map, habits)
    meetings.meetings = weighed(meetings.meetings, evidence, join_model())
    segments, joins, body_of_join, meeting_of_join = to_segments(strokes, meetings, half, grid)
    if witness is not None:
        witness(joins, evidence[meeting_of_join])
    checkpoint(progress, "proposing parts", 0.9)
    proposals = propose(body_map, grid, segments, joins, body_of_join, shape)
    conductors = max((segment.conductor for segment in segments), default=0)
    checkpoint(progress, "tracing", 1.0)
    return TracedSheet(
        shape,
        layers.stroke,
        segments,
        joins,
        proposals,
        conductors,
        layers.reader_sha256,
        habits=habits,
    )


def _bare_lines(
    skeleton: NDArray[np.bool_],
    half: NDArray[np.float32],
    inked: Inked,
    grid: Grid,
    targets: tuple[Nearby, Nearby],
    mends: Sequence[Mend],
) -> Strokes:
    """Prune the skeleton (in place), and take out of it what is no wire by hand."""
    strokes = prune_spurs(skeleton, half, inked.dots, targets, grid.stroke)
    unwanted = not_wire(strokes, grid, mends)
    if unwanted:
        degree = np.bincount(strokes.ends.ravel(), minlength=len(strokes.nodes))
        rub_out(skeleton, strokes, unwanted, degree[strokes.ends] == 1)
        strokes = trace_strokes(skeleton)
    return strokes


def _closed_lines(
    skeleton: NDArray[np.bool_],
    strokes: Strokes,
    half: NDArray[np.float32],
    inked: Inked,
    grid: Grid,
    targets: tuple[Nearby, Nearby],
    dots: Nearby,
    given: DrawingHabits | None,
) -> tuple[Strokes, list[Touch], DrawingHabits]:
    """Close ends that stop just short of a wire, and draw the leads that thinning lost.

    Also return where an end was so closed and how sure that is, and the sheet's habits.
    """
    ends = sort_ends(strokes, half, *targets, grid.stroke)
    free = {arm: ends.arms[arm] for arm in ends.free}
    gaps = facing_gaps(free, inked, grid.stroke)
    for gap in gaps:
        free.pop(gap.first)
        free.pop(gap.second)
    habits = overruled(drawing_habits(strokes, gaps, inked, grid.stroke), given)
    closed = touches(free, inked, skeleton, grid.stroke, habits.broken)
    links = links_to_dots(strokes, ends, inked, dots, grid)
    links += links_to_bodies(skeleton, inked, dots, targets[0], grid.stroke)
    links += links_across(strokes, ends, inked, grid.stroke)
    for pixels in [touch.pixels for touch in closed] + links:
        skeleton[pixels[:, 1], pixels[:, 0]] = True
    if closed or links:
        strokes = trace_strokes(thin(skeleton))
    strokes = stretch_points(strokes, targets, grid.stroke)
    return strokes, closed, habits

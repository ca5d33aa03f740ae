"""Moving a sheet as a crooked, unevenly fed page moves: the picture and all its truth together."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from tracer.training.classes import BACKGROUND, KIND_CELL
from tracer.training.strokes import Points
from tracer.training.truth import Conductor, DrawnPart, SheetTruth

__all__ = ["Skew", "move_sheet"]


@dataclass(frozen=True, slots=True)
class Skew:
    """A page laid crookedly and fed unevenly: its turn changes down the page.

    Attributes
    ----------
    width, height : int
        Of the page, px.
    turn : float
        Radians at the top of the page.
    twist : float
        Change of the turn from top to bottom, radians.
    stretch : float
        Extra length in the direction of feed, as a part of it.
    """

    width: int
    height: int
    turn: float = 0.0
    twist: float = 0.0
    stretch: float = 0.0

    def move(self, points: Points) -> Points:
        """Where (n, 2) px of the clean page lie on the spoilt one."""
        middle = np.array([self.width / 2, self.height / 2])
        rest = points - middle
        turn = self.turn + self.twist * (points[:, 1] / self.height - 0.5)
        moved = np.stack(
            [rest[:, 0] - turn * rest[:, 1], (rest[:, 1] + turn * rest[:, 0]) * (1 + self.stretch)], axis=1
        )
        result: Points = moved + middle
        return result

    def back(self, points: Points) -> Points:
        """The inverse of `move`, by repeated correction."""
        guess = points.copy()
        for _ in range(6):
            guess = guess + (points - self.move(guess))
        return guess


def move_sheet(sheet: SheetTruth, skew: Skew) -> SheetTruth:
    """Move picture, class map, kind map, points, boxes and terminals together."""
    parts = tuple(_move_part(part, skew) for part in sheet.parts)
    conductors = tuple(_move_conductor(conductor, skew) for conductor in sheet.conductors)

    def one(x: float, y: float) -> tuple[float, float]:
        ((mx, my),) = skew.move(np.array([(x, y)]))
        return float(mx), float(my)

    crossings = []
    for crossing in sheet.crossings:
        x, y = one(crossing.x, crossing.y)
        crossings.append(replace(crossing, x=x, y=y))
    smooth, nearest = Image.Resampling.BILINEAR, Image.Resampling.NEAREST
    return replace(
        sheet,
        image=_resample(sheet.image, skew, 1.0, smooth, 255),
        classes=_resample(sheet.classes, skew, 1.0, nearest, BACKGROUND),
        kinds=_resample(sheet.kinds, skew, float(KIND_CELL), nearest, 0),
        conductors=conductors,
        parts=parts,
        joins=tuple((*one(x, y), dotted) for x, y, dotted in sheet.joins),
        crossings=tuple(crossings),
    )


def _move_part(part: DrawnPart, skew: Skew) -> DrawnPart:
    x0, y0, x1, y1 = part.box
    corners = skew.move(np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)]))
    (bx0, by0), (bx1, by1) = corners.min(axis=0), corners.max(axis=0)
    terminals = []
    for terminal in part.terminals:
        ((x, y),) = skew.move(np.array([(terminal.x, terminal.y)]))
        terminals.append(replace(terminal, x=float(x), y=float(y)))
    return replace(part, box=(float(bx0), float(by0), float(bx1), float(by1)), terminals=tuple(terminals))


def _move_conductor(conductor: Conductor, skew: Skew) -> Conductor:
    ends = []
    for end in conductor.ends:
        ((x, y),) = skew.move(np.array([(end.x, end.y)]))
        ends.append(replace(end, x=float(x), y=float(y)))
    points, track = skew.move(conductor.points), skew.move(conductor.track)
    return replace(conductor, ends=tuple(ends), points=points, track=track)


def _resample(
    array: NDArray[np.uint8], skew: Skew, cell: float, how: Image.Resampling, outside: int
) -> NDArray[np.uint8]:
    """Draw the moved array, quadrilateral by quadrilateral; `cell` is page px per array px."""
    height, width = array.shape
    step = max(8, int(96 / cell))
    xs = [*range(0, width, step), width]
    ys = [*range(0, height, step), height]
    grid = np.array([(x, y) for y in ys for x in xs], dtype=np.float64)
    source = ((skew.back(grid * cell - 0.5) + 0.5) / cell).reshape(len(ys), len(xs), 2)
    mesh = []
    for row in range(len(ys) - 1):
        for column in range(len(xs) - 1):
            corners = (
                source[row, column],
                source[row + 1, column],
                source[row + 1, column + 1],
                source[row, column + 1],
            )
            quad = tuple(float(value) for corner in corners for value in corner)
            mesh.append(((xs[column], ys[row], xs[column + 1], ys[row + 1]), quad))
    padded = Image.fromarray(array)
    moved = padded.transform(padded.size, Image.Transform.MESH, mesh, how, fillcolor=outside)
    return np.asarray(moved)

"""The four corners of a sheet that was photographed, and the sheet laid flat from them."""

from __future__ import annotations

from dataclasses import astuple, dataclass
from math import hypot
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.errors import BadConfirmation
from tracer.scan.straighten import fetch
from tracer.scan.transform import PlaneMap

__all__ = ["Corners", "lay_flat", "parse_corners", "propose_corners"]

Point = tuple[float, float]

_SIDE: Final = 900  # px of the reduced picture the sheet is looked for in
_LEAST_SHARE: Final = 0.2  # of the picture; a smaller bright thing is no sheet
_MOST_SHARE: Final = 0.985  # above it nothing is seen of what the sheet lies on
_LEAST_STEP: Final = 25  # grey steps from the sheet to what it lies on
_MOST_AT_THE_RIM: Final = 0.1  # of the outline; more is a shadow over the picture, or half a sheet
_ROUNDNESS: Final = 0.94  # a sheet fills this much of its own four corners
_SQUARE_WITHIN: Final = 0.012  # of a side; a quadrangle nearer to an upright rectangle was no photograph


@dataclass(frozen=True, slots=True)
class Corners:
    """Corners of a sheet as (x, y) in page px, clockwise from the one that reads as top left.

    Examples
    --------
    >>> Corners((10, 12), (480, 30), (470, 300), (25, 310)).size()
    (458, 284)
    """

    top_left: Point
    top_right: Point
    bottom_right: Point
    bottom_left: Point

    def __str__(self) -> str:
        """As `parse_corners` takes them.

        Examples
        --------
        >>> str(Corners((10, 12), (480, 30), (470, 300), (25.4, 310)))
        '10,12 480,30 470,300 25,310'
        """
        return " ".join(f"{x:.0f},{y:.0f}" for x, y in astuple(self))

    def size(self) -> tuple[int, int]:
        """Width and height of the sheet laid flat, px: the means of opposite sides."""
        a, b, c, d = astuple(self)
        wide = (hypot(b[0] - a[0], b[1] - a[1]) + hypot(c[0] - d[0], c[1] - d[1])) / 2
        high = (hypot(d[0] - a[0], d[1] - a[1]) + hypot(c[0] - b[0], c[1] - b[1])) / 2
        return max(1, round(wide)), max(1, round(high))


def propose_corners(grey: NDArray[np.uint8]) -> Corners | None:
    """Look for a sheet of paper that lies at an angle on something darker.

    Parameters
    ----------
    grey : (H, W) uint8

    Returns
    -------
    Corners or None
        None where the page fills the picture, or lies upright in it as on a scanner: then nothing needs
        straightening.

    Notes
    -----
    The paper is the largest bright area (Otsu's threshold on the smoothed picture). Each side is fitted to
    the outline between two corners, so that a bent or torn corner does not draw it away.

    Examples
    --------
    >>> table = np.full((600, 800), 40, np.uint8)
    >>> _ = cv2.fillConvexPoly(table, np.array([(100, 80), (700, 120), (660, 540), (130, 500)]), 230)
    >>> [tuple(round(v, -1) for v in corner) for corner in astuple(propose_corners(table))]
    [(100.0, 80.0), (700.0, 120.0), (660.0, 540.0), (130.0, 500.0)]
    >>> propose_corners(np.full((600, 800), 230, np.uint8)) is None
    True
    """
    height, width = grey.shape
    shrink = min(1.0, _SIDE / max(height, width))
    small = np.asarray(cv2.resize(grey, None, fx=shrink, fy=shrink, interpolation=cv2.INTER_AREA))
    outline = _paper(np.asarray(cv2.GaussianBlur(small, (0, 0), 2.0), dtype=np.uint8))
    if outline is None:
        return None
    rough = _four_corners(outline)
    if rough is None:
        return None
    quad = _sharpened(outline, rough)
    if quad is None or _lies_upright(quad):
        return None
    placed = (quad + 0.5) / shrink - 0.5
    a, b, c, d = ((float(x), float(y)) for x, y in placed)
    return Corners(a, b, c, d)


def parse_corners(text: str, shape: tuple[int, int]) -> Corners | None:
    """Read corners as a person types them, on a page of `shape` (H, W); None for ``"none"``.

    Raises
    ------
    BadConfirmation
        When they are not four points of a page that go clockwise round a sheet.

    Examples
    --------
    >>> parse_corners("10,12 480,30 470,300 25,310", (400, 500)).top_right
    (480.0, 30.0)
    """
    if text.strip().lower() == "none":
        return None
    try:
        a, b, c, d = ((float(x), float(y)) for x, y in (pair.split(",") for pair in text.split()))
    except ValueError as error:
        raise BadConfirmation(
            f"“{text}” is not four corners. Write x,y of each in page pixels, clockwise from the top left: "
            "'212,130 1490,205 1432,1080 120,1010'; or none."
        ) from error
    height, width = shape
    if not all(-width <= x <= 2 * width and -height <= y <= 2 * height for x, y in (a, b, c, d)):
        raise BadConfirmation(
            f"The corners {text} lie far off the page, which is {width} by {height} pixels."
        )
    around = ((a, b, c), (b, c, d), (c, d, a), (d, a, b))
    turns = [(q[0] - p[0]) * (r[1] - q[1]) - (q[1] - p[1]) * (r[0] - q[0]) for p, q, r in around]
    if min(turns) <= 0:
        raise BadConfirmation(f"The corners {text} do not go clockwise round a sheet from its top left.")
    return Corners(a, b, c, d)


def lay_flat(grey: NDArray[np.uint8], corners: Corners) -> tuple[NDArray[np.uint8], PlaneMap]:
    """Lay a photographed sheet flat.

    Parameters
    ----------
    grey : (H, W) uint8
    corners : Corners

    Returns
    -------
    (h, w) uint8, and the map from it to the page, (3, 3).
    """
    width, height = corners.size()
    flat = np.array([(0, 0), (width - 1, 0), (width - 1, height - 1), (0, height - 1)], np.float32)
    placed = np.array(astuple(corners), np.float32)
    there = np.asarray(cv2.getPerspectiveTransform(flat, placed), dtype=np.float64)
    return fetch(grey, there, (height, width)), there


def _paper(smooth: NDArray[np.uint8]) -> NDArray[np.float64] | None:
    """Outline (N, 2) of the largest bright area, if what lies around it is plainly darker."""
    _, bright = cv2.threshold(smooth, 0, 255, cv2.THRESH_BINARY | cv2.THRESH_OTSU)
    reach = max(3, min(smooth.shape) // 60) | 1  # odd, so that the outline does not shift
    bright = cv2.morphologyEx(bright, cv2.MORPH_CLOSE, np.ones((reach, reach), np.uint8))
    bright = cv2.morphologyEx(bright, cv2.MORPH_OPEN, np.ones((reach, reach), np.uint8))
    found, _ = cv2.findContours(bright, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    if not found:
        return None
    largest = max(found, key=cv2.contourArea)
    if not _LEAST_SHARE <= cv2.contourArea(largest) / smooth.size <= _MOST_SHARE:
        return None
    inside = np.zeros_like(smooth)
    cv2.drawContours(inside, [largest], -1, 255, cv2.FILLED)
    height, width = smooth.shape
    x, y = largest[:, 0].T
    if ((x < 1) | (y < 1) | (x > width - 2) | (y > height - 2)).mean() > _MOST_AT_THE_RIM:
        return None
    step = float(np.median(smooth[inside > 0])) - float(np.median(smooth[inside == 0]))
    return largest[:, 0].astype(np.float64) if step >= _LEAST_STEP else None


def _four_corners(outline: NDArray[np.float64]) -> NDArray[np.float64] | None:
    """The outline's hull as four corners, clockwise from the top left; None where it is no quadrangle."""
    hull = cv2.convexHull(outline.astype(np.float32))
    around = cv2.arcLength(hull, closed=True)
    for tolerance in np.linspace(0.01, 0.08, 15):
        corners = cv2.approxPolyDP(hull, float(tolerance * around), closed=True)[:, 0]
        if len(corners) <= 4:
            break
    area = cv2.contourArea(outline.astype(np.float32))
    if len(corners) != 4 or area < _ROUNDNESS * cv2.contourArea(corners):
        return None
    quad = np.asarray(corners, np.float64)
    (ax, ay), (bx, by) = quad[1] - quad[0], quad[2] - quad[1]
    turn = ax * by - ay * bx
    quad = quad if turn > 0 else quad[::-1]
    return np.roll(quad, -int(quad.sum(axis=1).argmin()), axis=0)


def _sharpened(outline: NDArray[np.float64], rough: NDArray[np.float64]) -> NDArray[np.float64] | None:
    """Corners where lines fitted to the middle of each side meet."""
    lines = []
    for start, end in zip(rough, np.roll(rough, -1, axis=0), strict=True):
        along = end - start
        length = float(np.hypot(*along))
        along = along / length
        far = (outline - start) @ along
        off = np.abs((outline - start) @ np.array([-along[1], along[0]]))
        near = (far > 0.1 * length) & (far < 0.9 * length) & (off < 0.03 * length + 2)
        if near.sum() < 10:
            return None
        vx, vy, x, y = cv2.fitLine(outline[near].astype(np.float32), cv2.DIST_HUBER, 0, 0.01, 0.01).ravel()
        lines.append(np.cross((x, y, 1.0), (x + vx, y + vy, 1.0)))
    meetings = [np.cross(lines[side - 1], lines[side]) for side in range(4)]
    if min(abs(meeting[2]) for meeting in meetings) < 1e-9:
        return None
    return np.array([meeting[:2] / meeting[2] for meeting in meetings])


def _lies_upright(quad: NDArray[np.float64]) -> bool:
    """Whether straightening would do next to nothing: sides level and upright within a small share."""
    for start, end in zip(quad, np.roll(quad, -1, axis=0), strict=True):
        along = np.abs(end - start)
        if along.min() > _SQUARE_WITHIN * along.max():
            return False
    return True

"""Maps between a page and the grids made from it.

A map is a (2, 3) float64 matrix ``m`` with ``(x', y') = m @ (x, y, 1)`` where parallels stay parallel, and a
(3, 3) one with ``(x', y', 1) ~ m @ (x, y, 1)`` for a page that was photographed: x right, y down, (0, 0) the
centre of the top-left pixel.
"""

from __future__ import annotations

from math import cos, radians, sin, sqrt

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["PlaneMap", "apply", "chain", "identity", "inverse", "scale_at", "scaling", "turning"]

PlaneMap = NDArray[np.float64]


def identity() -> PlaneMap:
    """Give the map that leaves points where they are."""
    return np.eye(2, 3)


def scaling(x_scale: float, y_scale: float) -> PlaneMap:
    """Give the map of a resize that keeps pixel edges on pixel edges.

    Examples
    --------
    >>> apply(scaling(2.0, 2.0), [(0.0, 0.0)]).tolist()
    [[0.5, 0.5]]
    """
    return np.array([[x_scale, 0.0, (x_scale - 1) / 2], [0.0, y_scale, (y_scale - 1) / 2]])


def turning(degrees: float, centre: tuple[float, float], new_centre: tuple[float, float]) -> PlaneMap:
    """Give the map that turns clockwise on the screen about `centre` and moves that to `new_centre`."""
    c, s = cos(radians(degrees)), sin(radians(degrees))
    turn = np.array([[c, -s], [s, c]])
    return np.column_stack([turn, np.array(new_centre) - turn @ np.array(centre)])


def chain(*maps: PlaneMap) -> PlaneMap:
    """Give the map that applies all of `maps`, the first one first; (2, 3) if all of them are."""
    whole = np.eye(3)
    for one in maps:
        whole = _square(one) @ whole
    return _plain(whole)


def inverse(there: PlaneMap) -> PlaneMap:
    """Give the map that undoes `there`.

    Examples
    --------
    >>> there = chain(scaling(3.0, 2.0), turning(30.0, (0.0, 0.0), (5.0, 7.0)))
    >>> bool(np.allclose(chain(there, inverse(there)), identity()))
    True
    """
    return _plain(np.asarray(np.linalg.inv(_square(there)), dtype=np.float64))


def apply(there: PlaneMap, points: ArrayLike) -> NDArray[np.float64]:
    """Map points.

    Parameters
    ----------
    there : (2, 3) or (3, 3) float64
    points : (N, 2) float
        x, y.

    Returns
    -------
    (N, 2) float64
    """
    moved = np.asarray(points, dtype=np.float64) @ there[:, :2].T + there[:, 2]
    return np.asarray(moved if len(there) == 2 else moved[:, :2] / moved[:, 2:])


def scale_at(there: PlaneMap, x: float, y: float) -> float:
    """How much larger things about (x, y) become: the root of the map's change of area there.

    Examples
    --------
    >>> scale_at(scaling(2.0, 2.0), 10.0, 10.0)
    2.0
    >>> tapering = np.array([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.001, 0.0, 1.0]])
    >>> round(scale_at(tapering, 0.0, 0.0), 3), round(scale_at(tapering, 1000.0, 0.0), 3)
    (1.0, 0.354)
    """
    square = _square(there)
    depth = float(square[2] @ (x, y, 1.0))
    return sqrt(abs(float(np.linalg.det(square)) / depth**3))


def _square(there: PlaneMap) -> PlaneMap:
    return np.vstack([there, (0.0, 0.0, 1.0)]) if len(there) == 2 else there


def _plain(square: PlaneMap) -> PlaneMap:
    square = square / square[2, 2]
    affine = abs(square[2, 0]) < 1e-15 and abs(square[2, 1]) < 1e-15
    return np.asarray(square[:2] if affine else square, dtype=np.float64)

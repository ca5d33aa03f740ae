"""Affine maps between a page and the grids made from it.

A map is a (2, 3) float64 matrix ``m`` with ``(x', y') = m @ (x, y, 1)``: x right, y down,
(0, 0) the centre of the top-left pixel.
"""

from __future__ import annotations

from math import cos, radians, sin

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["Affine", "apply", "chain", "identity", "inverse", "scaling", "turning"]

Affine = NDArray[np.float64]


def identity() -> Affine:
    """Give the map that leaves points where they are."""
    return np.eye(2, 3)


def scaling(x_scale: float, y_scale: float) -> Affine:
    """Give the map of a resize that keeps pixel edges on pixel edges.

    Examples
    --------
    >>> apply(scaling(2.0, 2.0), [(0.0, 0.0)]).tolist()
    [[0.5, 0.5]]
    """
    return np.array([[x_scale, 0.0, (x_scale - 1) / 2], [0.0, y_scale, (y_scale - 1) / 2]])


def turning(degrees: float, centre: tuple[float, float], new_centre: tuple[float, float]) -> Affine:
    """Give the map that turns clockwise on the screen about `centre` and moves that to `new_centre`."""
    c, s = cos(radians(degrees)), sin(radians(degrees))
    turn = np.array([[c, -s], [s, c]])
    return np.column_stack([turn, np.array(new_centre) - turn @ np.array(centre)])


def chain(*maps: Affine) -> Affine:
    """Give the map that applies all of `maps`, the first one first."""
    whole = np.eye(3)
    for one in maps:
        whole = np.vstack([one, (0.0, 0.0, 1.0)]) @ whole
    return whole[:2]


def inverse(affine: Affine) -> Affine:
    """Give the map that undoes `affine`.

    Examples
    --------
    >>> there = chain(scaling(3.0, 2.0), turning(30.0, (0.0, 0.0), (5.0, 7.0)))
    >>> bool(np.allclose(chain(there, inverse(there)), identity()))
    True
    """
    return np.asarray(np.linalg.inv(np.vstack([affine, (0.0, 0.0, 1.0)]))[:2])


def apply(affine: Affine, points: ArrayLike) -> NDArray[np.float64]:
    """Map points.

    Parameters
    ----------
    affine : (2, 3) float64
    points : (N, 2) float
        x, y.

    Returns
    -------
    (N, 2) float64
    """
    return np.asarray(np.asarray(points, dtype=np.float64) @ affine[:, :2].T + affine[:, 2])

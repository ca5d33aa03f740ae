"""How sheets of another hand age and are copied: made for them, and shared with no training.

The order is that of life: paper and print first, then the copier's drum and light, then the scanner's. Level
0 is a clean print, 1 an office scan of an old sheet, 2 a photocopy, 3 a copy of a copy sent through the mail
of years, scanned at little resolution.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.training.truth import Conductor, ConductorEnd, DrawnPart, PartTerminal, SheetTruth

__all__ = ["wear"]

Grey = NDArray[Any]
Points = NDArray[np.float64]
Move = Callable[[Points], Points]

_FEWEST = 150 / 25.4  # px a mm that the poorest scan still has


def wear(truth: SheetTruth, level: int, seed: int, scale: float) -> SheetTruth:
    """Age a drawn sheet; its places move with the paper. `scale` is its px a mm."""
    rng = np.random.default_rng([seed, level, 77])
    grey = truth.image.astype(np.float32) / 255
    if level == 0:
        return truth
    size = grey.shape
    curl = _curl(rng, size, (0.0, 0.35, 0.6, 1.0)[level] * scale, (0.0, 0.2, 0.6, 1.1)[level], level == 3)
    grey = _moved(grey, curl)
    move: Move = curl
    grey = _print(rng, grey, level, truth.stroke)
    if level == 3 and scale > 1.15 * _FEWEST and truth.stroke > 2.4:
        by = max(_FEWEST / scale, 2.0 / truth.stroke)
        shrunk = (round(size[1] * by), round(size[0] * by))
        grey = cv2.resize(grey, shrunk, interpolation=cv2.INTER_AREA).astype(np.float32)

        def move(places: Points, before: Move = curl, by: float = by) -> Points:
            return (before(places) + 0.5) * by - 0.5
    else:
        by = 1.0
    grey = _scan(rng, grey, level)
    image = np.clip(grey * 255, 0, 255).astype(np.uint8)
    if level == 1 or (level == 3 and rng.random() < 0.5):
        quality = int(rng.integers(35, 75))
        coded = cv2.imencode(".jpg", image, [cv2.IMWRITE_JPEG_QUALITY, quality])[1]
        image = np.asarray(cv2.imdecode(coded, cv2.IMREAD_GRAYSCALE), np.uint8)
    return _follow(truth, image, move, by)


def _curl(rng: np.random.Generator, size: tuple[int, ...], bulge: float, degrees: float, torn: bool) -> Move:
    """A lean that changes along the page, a bulge, and for a sheet of two halves a step at the seam."""
    high, wide = size[0], size[1]
    lean = np.radians(rng.uniform(-degrees, degrees, 2))
    bends = rng.uniform(-bulge, bulge, (2, 2))
    turns = rng.uniform(0.5, 1.4, (2, 2))
    phases = rng.uniform(0, 6.3, (2, 2))
    seam = rng.uniform(0.35, 0.65) * wide if torn and rng.random() < 0.6 else 2.0 * wide
    step = rng.uniform(-0.4, 0.4) * bulge

    def move(places: Points) -> Points:
        x, y = places[:, 0], places[:, 1]
        run = x / wide
        slope = np.tan(lean[0]) * (run - 0.5) + np.tan(lean[1] - lean[0]) * (run - 0.5) * run
        dy = slope * wide * 0.5 + bends[0, 0] * np.sin(turns[0, 0] * 6.3 * run + phases[0, 0])
        dy = dy + bends[0, 1] * np.sin(turns[0, 1] * 6.3 * y / high + phases[0, 1])
        dx = (
            bends[1, 0] * np.sin(turns[1, 0] * 6.3 * y / high + phases[1, 0])
            - np.tan(lean[0]) * (y - high / 2) * 0.4
        )
        dx = dx + bends[1, 1] * np.sin(turns[1, 1] * 6.3 * run + phases[1, 1])
        # a ramp three px wide: a step that lines still bridge
        dy = dy + step * np.clip((x - seam) / 3 + 0.5, 0, 1)
        return np.stack([x + dx, y + dy], axis=1)

    return move


def _moved(grey: Grey, move: Move) -> Grey:
    """Warp a picture by a map that is nearly the identity (inverted by repeating)."""
    high, wide = grey.shape
    rows, columns = np.mgrid[0:high:8, 0:wide:8]
    wanted = np.stack([columns.ravel(), rows.ravel()], axis=1).astype(np.float64)
    found = wanted.copy()
    for _ in range(6):
        found += wanted - move(found)
    shape = (*rows.shape, 2)
    coarse = found.reshape(shape).astype(np.float32)
    # pixel centres of a field sampled every eighth pixel
    ys, xs = np.mgrid[0:high, 0:wide].astype(np.float32) / 8
    field = [
        cv2.remap(
            np.ascontiguousarray(coarse[..., axis]), xs, ys, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
        )
        for axis in (0, 1)
    ]
    return cv2.remap(grey, field[0], field[1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE).astype(
        np.float32
    )


def _cloud(rng: np.random.Generator, size: tuple[int, ...], cell: float) -> Grey:
    """Slow noise from -1 to 1."""
    small = rng.normal(0, 1, (max(2, round(size[0] / cell)), max(2, round(size[1] / cell)))).astype(
        np.float32
    )
    cloud = cv2.resize(small, (size[1], size[0]), interpolation=cv2.INTER_CUBIC)
    slow: Grey = np.clip(cloud / 1.6, -1, 1).astype(np.float32)
    return slow


def _print(rng: np.random.Generator, grey: Grey, level: int, stroke: float) -> Grey:
    """What the press and the years do to ink: spread, starved lines, streaks, print that shows through."""
    size = grey.shape
    spread = (0, 0.5, 0.8, 1.0)[level] * min(1.0, stroke / 3)
    grey = cv2.GaussianBlur(grey, (0, 0), 0.3 + spread).astype(np.float32)
    grain = cv2.GaussianBlur(rng.normal(0, 1, size).astype(np.float32), (0, 0), 0.8)
    toner = 0.5 + 0.09 * level * _cloud(rng, size, 220) * min(1.0, stroke / 3)
    grey = 1 / (1 + np.exp(-(grey - toner + (0.05 + 0.09 * level) * grain) * 12))
    if level >= 2:
        streaks = np.zeros(size, np.float32)
        for _ in range(int(rng.integers(1, 3 * level))):
            x, wide = int(rng.integers(0, size[1])), int(rng.integers(1, 4))
            streaks[:, x : x + wide] = rng.uniform(0.2, 0.55)
        ragged = (rng.random(size) < 0.5).astype(np.float32)
        grey = np.maximum(grey, streaks * ragged)
        if rng.random() < 0.7:
            ghost = cv2.GaussianBlur(grey[:, ::-1], (0, 0), 2.5)
            grey = grey - 0.16 * (1 - ghost)
    return grey.astype(np.float32)


def _scan(rng: np.random.Generator, grey: Grey, level: int) -> Grey:
    """What the copier and the scanner add: uneven light, specks, edges, holes, black and white."""
    size = grey.shape
    light = 1 - (0.04, 0.07, 0.10, 0.12)[level] * (1 + _cloud(rng, size, 500)) / 2
    paper = rng.uniform(0.86, 0.98)
    grey = grey * light * paper + rng.normal(0, 0.012 * (1 + level), size).astype(np.float32)
    if level >= 2:
        for sign, share in ((0.0, 6e-6 * 4**level), (1.0, 4e-6 * 4**level)):
            count = int(share * grey.size)
            for x, y, across in zip(
                rng.integers(0, size[1], count),
                rng.integers(0, size[0], count),
                rng.exponential(0.9, count),
                strict=True,
            ):
                cv2.circle(grey, (int(x), int(y)), int(min(across, 2)), float(sign), -1)
        band = int(rng.integers(4, 26))
        edge = rng.random(band) < 0.8
        grey[:band][edge] = np.minimum(grey[:band][edge], rng.uniform(0, 0.6, (int(edge.sum()), size[1])))
        for place in (0.2, 0.5, 0.8):
            if rng.random() < 0.5:
                cv2.circle(grey, (int(rng.integers(16, 26)), int(place * size[0])), 14, 0.25, -1)
    if level == 3 or (level == 2 and rng.random() < 0.5):
        cut = 0.47 + 0.05 * _cloud(rng, size, 300)
        grey = (cv2.GaussianBlur(grey, (0, 0), 0.7) > cut * paper).astype(np.float32)
    return grey.astype(np.float32)


def _follow(truth: SheetTruth, image: NDArray[np.uint8], move: Move, by: float) -> SheetTruth:
    """Take every known place along."""

    def one(x: float, y: float) -> tuple[float, float]:
        ((mx, my),) = move(np.array([[x, y]], np.float64))
        return float(mx), float(my)

    parts = []
    for part in truth.parts:
        x0, y0, x1, y1 = part.box
        moved = move(np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)]))
        (bx0, by0), (bx1, by1) = moved.min(axis=0), moved.max(axis=0)
        terminals = tuple(PartTerminal(t.name, *one(t.x, t.y), t.dx, t.dy) for t in part.terminals)
        box = (float(bx0), float(by0), float(bx1), float(by1))
        parts.append(
            DrawnPart(part.number, part.kind, part.symbol, part.reference, part.value, box, terminals)
        )
    conductors = tuple(
        Conductor(
            each.number,
            tuple(ConductorEnd(end.part, end.terminal, *one(end.x, end.y)) for end in each.ends),
            move(each.points) if len(each.points) else each.points,
        )
        for each in truth.conductors
    )
    marks = tuple(replace(m, x=one(m.x, m.y)[0], y=one(m.x, m.y)[1]) for m in truth.crossings)
    plain = np.zeros_like(image)
    kinds = np.zeros((-(-image.shape[0] // 4), -(-image.shape[1] // 4)), np.uint8)
    return SheetTruth(image, plain, kinds, ("none",), truth.stroke * by, conductors, tuple(parts), (), marks)

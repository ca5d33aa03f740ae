"""One trouble at a time, as single scans show it: to see which of them a reader stumbles over.

`spoil` mixes many small troubles by level; here each comes alone and strong, its truth kept to what an eye
can still read.
"""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import replace
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFilter

from tracer.training.classes import BACKGROUND, FURNITURE, KIND_CELL
from tracer.training.legible import legible
from tracer.training.truth import Conductor, DrawnPart, PartTerminal, SheetTruth

__all__ = ["TROUBLES", "trouble"]

Rng: TypeAlias = np.random.Generator
Grey: TypeAlias = NDArray[np.float64]
_STEPS: Final = (
    8,
    12,
    16,
    20,
)  # px by which the halves of a sheet miss each other; whole cells of the kind map


def _image(page: Grey) -> Image.Image:
    return Image.fromarray(np.clip(page, 0, 255).astype(np.uint8))


def _one_bit(page: Grey, stroke: float, rng: Rng) -> Grey:
    """Scanned black or white at about half the fineness: stair-steps, nothing between."""
    coarse = max(1.0, stroke / float(rng.uniform(1.6, 2.4)))
    size = (max(1, round(page.shape[1] / coarse)), max(1, round(page.shape[0] / coarse)))
    small = np.asarray(_image(page).resize(size, Image.Resampling.BOX), dtype=np.float64)
    hard = np.where(small + rng.normal(0, 12, small.shape) < rng.uniform(130, 190), 0, 255).astype(np.uint8)
    grown = Image.fromarray(hard).resize((page.shape[1], page.shape[0]), Image.Resampling.NEAREST)
    return np.asarray(grown, dtype=np.float64)


def _fax(page: Grey, stroke: float, rng: Rng) -> Grey:
    """Every second line sent, lines shifted and lost."""
    sent = page[(np.arange(page.shape[0]) // 2) * 2].copy()
    for row in np.flatnonzero(rng.random(page.shape[0]) < 0.06):
        sent[row] = np.roll(sent[row], int(rng.integers(-2, 3)))
    sent[rng.random(page.shape[0]) < 0.006] = 255
    return np.where(sent < 128, 0.0, 255.0)


def _fat(page: Grey, stroke: float, rng: Rng) -> Grey:
    """A heavy copy: every stroke grown by half its width each way, counters closed."""
    size = 2 * max(1, round(0.35 * stroke)) + 1
    grown = _image(page).filter(ImageFilter.MinFilter(size)).filter(ImageFilter.GaussianBlur(0.7))
    return np.where(np.asarray(grown) + rng.normal(0, 20, page.shape) < 140, 10.0, 250.0)


def _thin(page: Grey, stroke: float, rng: Rng) -> Grey:
    """A pale copy: strokes thinned until some break."""
    soft = np.asarray(_image(page).filter(ImageFilter.GaussianBlur(0.42 * stroke)), dtype=np.float64)
    edge = 112 + 14 * _cloud(page.shape, 45.0, rng) + rng.normal(0, 16, page.shape)
    return np.where(soft < edge, 0.0, 255.0)


def _dotted(page: Grey, stroke: float, rng: Rng) -> Grey:
    """Patches in which the print took only here and there."""
    pitch = stroke * rng.uniform(1.8, 3.2)
    rows, columns = np.mgrid[: page.shape[0], : page.shape[1]] * (2 * np.pi / pitch)
    lost = (np.cos(rows) + np.cos(columns) > 0.2) & (_cloud(page.shape, 80.0, rng) > 0.7)
    bare: Grey = np.where(lost, 255.0, page)
    return bare


def _squared(page: Grey, stroke: float, rng: Rng) -> Grey:
    """Squared paper, its lines paler than the drawing."""
    pitch = float(rng.uniform(4, 12)) * stroke
    rows, columns = np.mgrid[: page.shape[0], : page.shape[1]] % pitch < 0.5 * stroke
    ruled: Grey = np.where(rows | columns, np.minimum(page, rng.uniform(150, 215)), page)
    return ruled


def _bound(page: Grey, stroke: float, rng: Rng) -> Grey:
    """The shadow of the binding down one side, and its black bar."""
    run = np.arange(page.shape[1], dtype=np.float64)
    shade = 1 - 0.7 * np.exp(-((run / (0.08 * page.shape[1])) ** 2))
    dark: Grey = page * shade[None, :]
    dark[:, : int(rng.uniform(1.0, 4.0) * stroke)] = 5.0
    return dark


def _ringing(page: Grey, stroke: float, rng: Rng) -> Grey:
    """Stored as a JPEG of low quality."""
    store = io.BytesIO()
    _image(page).save(store, "JPEG", quality=int(rng.integers(8, 22)))
    return np.asarray(Image.open(store).convert("L"), dtype=np.float64)


def _cloud(shape: tuple[int, int], size: float, rng: Rng) -> Grey:
    """Smooth noise of about unit size, its lumps `size` px across."""
    rows, columns = int(shape[0] / size) + 3, int(shape[1] / size) + 3
    coarse = Image.fromarray(rng.normal(0.0, 1.0, (rows, columns)).astype(np.float32), mode="F")
    grown = coarse.resize((int(columns * size), int(rows * size)), Image.Resampling.BICUBIC)
    return np.asarray(grown, dtype=np.float64)[: shape[0], : shape[1]]


_PLAIN: Final[dict[str, Callable[[Grey, float, Rng], Grey]]] = {
    "one bit": _one_bit,
    "fax": _fax,
    "fat": _fat,
    "thin": _thin,
    "dotted": _dotted,
    "squared paper": _squared,
    "bound edge": _bound,
    "ringing": _ringing,
}
TROUBLES: Final = (*_PLAIN, "scribbles", "seam")


def trouble(sheet: SheetTruth, name: str, seed: int) -> SheetTruth:
    """Give `sheet` the trouble called `name`, one of `TROUBLES`.

    Raises
    ------
    ValueError
        No such trouble.

    Examples
    --------
    >>> from tracer.training.layout import draw_sheet
    >>> fax = trouble(draw_sheet(5, 320, 320), "fax", seed=1)
    >>> sorted(set(fax.image.ravel().tolist()))
    [0, 255]
    """
    rng = np.random.default_rng(seed)
    if name == "scribbles":
        return _scribbled(sheet, rng)
    if name == "seam":
        return _seamed(sheet, rng)
    if name not in _PLAIN:
        raise ValueError(f"no trouble is called {name}; there are {', '.join(TROUBLES)}")
    page = _PLAIN[name](sheet.image.astype(np.float64), sheet.stroke, rng)
    return legible(sheet, replace(sheet, image=np.clip(page, 0, 255).astype(np.uint8)))


def _scribbled(sheet: SheetTruth, rng: Rng) -> SheetTruth:
    """Pencil loops and stamps' frames over whatever is drawn; on bare paper they are furniture."""
    height, width = sheet.image.shape
    mask = Image.new("L", (width, height))
    pen = ImageDraw.Draw(mask)
    for _ in range(int(rng.integers(4, 9))):
        x, y = float(rng.uniform(0, width)), float(rng.uniform(0, height))
        long, short = (float(value) * sheet.stroke for value in rng.uniform(8, 30, size=2))
        thick = max(1, round(sheet.stroke * float(rng.uniform(0.4, 0.9))))
        box = (x - long, y - short, x + long, y + short)
        if rng.random() < 0.7:
            pen.ellipse(box, outline=255, width=thick)
        else:
            pen.rectangle(box, outline=255, width=thick)
    marked = np.asarray(mask) > 0
    grey = np.uint8(rng.integers(60, 150))
    bare = marked & (sheet.classes == BACKGROUND) & (sheet.image > 200)
    image = np.where(marked, np.minimum(sheet.image, grey), sheet.image)
    return replace(sheet, image=image, classes=np.where(bare, np.uint8(FURNITURE), sheet.classes))


def _seamed(sheet: SheetTruth, rng: Rng) -> SheetTruth:
    """Two pages side by side that miss each other by some px; what runs over the seam is not asked about."""
    width = sheet.image.shape[1]
    seam = KIND_CELL * int(rng.uniform(0.35, 0.65) * width / KIND_CELL)
    step = int(rng.choice(_STEPS)) * int(rng.choice([-1, 1]))

    def shifted(array: NDArray[np.uint8], cell: int, outside: int) -> NDArray[np.uint8]:
        moved = array.copy()
        by, at = step // cell, seam // cell
        right = np.full_like(array[:, at:], outside)
        if by > 0:
            right[by:] = array[:-by, at:]
        else:
            right[:by] = array[-by:, at:]
        moved[:, at:] = right
        return moved

    def spot(x: float, y: float) -> tuple[float, float]:
        return x, y + (step if x >= seam else 0)

    parts = tuple(
        _moved_part(part, spot) for part in sheet.parts if part.box[2] < seam or part.box[0] >= seam
    )
    kept = {part.number for part in parts}
    conductors = tuple(
        _moved_conductor(each, spot, kept) for each in sheet.conductors if _on_one_side(each, seam)
    )
    known = {each.number for each in conductors}
    joins = tuple((*spot(x, y), dotted) for x, y, dotted in sheet.joins)
    crossings = []
    for mark in sheet.crossings:
        x, y = spot(mark.x, mark.y)
        if set(mark.conductors) <= known:
            crossings.append(replace(mark, x=x, y=y))
    return replace(
        sheet,
        image=shifted(sheet.image, 1, 255),
        classes=shifted(sheet.classes, 1, BACKGROUND),
        kinds=shifted(sheet.kinds, KIND_CELL, 0),
        parts=parts,
        conductors=conductors,
        joins=joins,
        crossings=tuple(crossings),
    )


Spot: TypeAlias = Callable[[float, float], tuple[float, float]]


def _on_one_side(conductor: Conductor, seam: int) -> bool:
    right = np.concatenate([conductor.points, conductor.track])[:, 0] >= seam
    return bool(right.all() or not right.any())


def _moved_part(part: DrawnPart, spot: Spot) -> DrawnPart:
    x0, y0 = spot(part.box[0], part.box[1])
    x1, y1 = spot(part.box[2], part.box[3])
    ends = tuple(PartTerminal(t.name, *spot(t.x, t.y), t.dx, t.dy) for t in part.terminals)
    return replace(part, box=(x0, y0, x1, y1), terminals=ends)


def _moved_conductor(conductor: Conductor, spot: Spot, kept: set[int]) -> Conductor:
    ends = []
    for end in conductor.ends:
        x, y = spot(end.x, end.y)
        if end.part in kept:
            ends.append(replace(end, x=x, y=y))
    points = np.array([spot(x, y) for x, y in conductor.points]).reshape(-1, 2)
    track = np.array([spot(x, y) for x, y in conductor.track]).reshape(-1, 2)
    return replace(conductor, ends=tuple(ends), points=points, track=track)

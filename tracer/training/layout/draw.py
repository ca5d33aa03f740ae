"""Draw one random sheet."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tracer.training.canvas import Hand
from tracer.training.classes import BACKGROUND
from tracer.training.layout.board import Board, Habits
from tracer.training.layout.buses import bus, pin_row
from tracer.training.layout.ends import settle_ends
from tracer.training.layout.motifs import MOTIFS
from tracer.training.layout.page import add_furniture, add_notes, add_page
from tracer.training.layout.slants import cross_coupled, pot_row, slanted_wire
from tracer.training.layout.stages import choose_layout, draw_stages, stages_style
from tracer.training.lettering import Lettering, printed_faces
from tracer.training.sheet import SheetDrawing, SheetStyle
from tracer.training.strokes import Points
from tracer.training.symbols import symbols_of
from tracer.training.truth import SheetTruth

__all__ = ["Wave", "draw_sheet", "random_style"]

_CHASSIS: Final = symbols_of("chassis")


@dataclass(frozen=True, slots=True, eq=False)
class Wave:
    """A page that slopes and waves: rotation about the middle plus a few long sine waves.

    `swings` is (n, 6): x amplitude, y amplitude, x and y frequency (radians per px), two phases.
    """

    middle: tuple[float, float]
    slope: float
    swings: NDArray[np.float64]

    def __call__(self, points: Points) -> Points:
        """Move (n, 2) px."""
        cos, sin = math.cos(self.slope), math.sin(self.slope)
        x, y = points[:, 0] - self.middle[0], points[:, 1] - self.middle[1]
        result: Points = np.empty_like(points)
        result[:, 0] = cos * x - sin * y + self.middle[0]
        result[:, 1] = sin * x + cos * y + self.middle[1]
        if len(self.swings):
            ax, ay, fx, fy, px, py = self.swings.T
            turn = points @ np.array([fx, fy])
            result[:, 0] += np.sin(turn + px) @ ax
            result[:, 1] += np.sin(turn + py) @ ay
        return result


def random_wave(width: int, height: int, rng: np.random.Generator) -> Wave:
    """How far one page leans and waves: most a little, freehand ones up to about three degrees."""
    pick = rng.random()
    slope = 0.0 if pick < 0.3 else float(np.deg2rad(rng.normal(0, 0.5 if pick < 0.8 else 1.6)))
    count = 0 if rng.random() < 0.35 else int(rng.integers(1, 4))
    swings = np.zeros((count, 6))
    for row in swings:
        length = rng.uniform(250, 900)
        heading = rng.uniform(0, 2 * np.pi)
        size = rng.uniform(0.003, 0.011) * length
        row[:] = (
            rng.normal(0, size * 0.6), rng.normal(0, size * 0.6), 2 * np.pi / length * np.cos(heading),
            2 * np.pi / length * np.sin(heading), rng.uniform(0, 6.28), rng.uniform(0, 6.28),
        )  # fmt: skip
    return Wave((width / 2, height / 2), slope, swings)


def random_style(rng: np.random.Generator, stroke: float) -> SheetStyle:
    """The manner of one sheet: scale, lettering, dots, crossings, steadiness."""
    freehand = bool(rng.random() < 0.45)
    unit = stroke * float(rng.uniform(1.9, 4.2))
    if rng.random() < 0.5:
        lettering = Lettering(
            "stroke",
            float(rng.normal(0, 0.12)),
            float(rng.uniform(0.5, 0.8)),
            float(rng.uniform(0.03, 0.09)) if freehand else float(rng.uniform(0, 0.02)),
            float(rng.uniform(0.6, 1.1)),
        )
    else:
        lettering = Lettering(face=str(rng.choice(printed_faces())))
    manner = str(rng.choice(["disc"] * 7 + ["ring"] + ["blot"] * 2)) if freehand else "disc"
    manner = "square" if not freehand and rng.random() < 0.15 else manner
    small, usual, large = rng.uniform(0.68, 1.2), rng.uniform(1.2, 2.0), rng.uniform(1.6, 2.9)
    return SheetStyle(
        stroke=stroke,
        unit=unit,
        text_height=max(9.0, unit * float(rng.uniform(1.1, 2.5))),
        crossing=str(rng.choice(["plain", "plain", "plain", "hop", "gap"])),
        dot_radius=float(rng.choice([small, usual, large]) if manner in ("disc", "square") else large),
        dot_manner=manner,
        gap=float(rng.uniform(1.5, 3.0)),
        freedom=float(rng.uniform(0.2, 1.0)) * freehand,
        worn=float(rng.choice([0.0, 0.1, 0.3, 0.6] if freehand else [0.0, 0.0, 0.05, 0.2])),
        hand=Hand(
            wobble=float(rng.uniform(0.2, 0.6)) * stroke * freehand,
            pressure=float(rng.uniform(0.0, 0.2)) if freehand else float(rng.uniform(0.0, 0.06)),
            ink=int(rng.integers(0, 60)),
            slip=float(rng.uniform(0.0, 0.4)) * stroke * freehand,
        ),
        lettering=lettering,
    )


def _habits(rng: np.random.Generator) -> Habits:
    def one(*kinds: str) -> str:
        return str(rng.choice(symbols_of(*kinds)))

    return Habits(
        dots=float(rng.choice([1.0, 1.0, 0.95, 0.6, 0.0])),
        resistor=one("resistor"),
        capacitor=str(
            rng.choice(
                [
                    "capacitor.plates",
                    "capacitor.plates",
                    "capacitor.curved",
                    "capacitor.cup",
                    "capacitor.electrolytic",
                    "capacitor.heavy",
                    "capacitor.hollow",
                ]
            )
        ),
        coil=str(
            rng.choice(["coil.plain", "coil.plain", "coil.variable", "coil.cored", "coil.slug", "coil.solid"])
        ),
        chassis=str(rng.choice(_CHASSIS)),
        contact=str(rng.choice(["contact.blade", "contact.push", "contact.bare", "contact.closed"])),
        diode=str(
            rng.choice(["diode.triangle", "diode.open", "diode.open", "diode.varactor", "diode.ringed"])
        ),
        clearance=float(rng.uniform(2.6, 4.5)),
        faint=float(rng.choice([0.0, 0.0, 0.04, 0.25])),
        crossed=float(rng.choice([0.0, 0.08, 0.2, 0.4])),
        over=float(rng.choice([0.0, 0.0, 0.1, 0.4])),
        pen=float(rng.choice([1.0, 1.0, 1.0, 0.75, 1.3, 1.7])),
    )


def draw_sheet(
    seed: int,
    width: int = 1024,
    height: int = 1024,
    *,
    stroke: float | None = None,
    flat: bool = False,
    layout: str | None = None,
) -> SheetTruth:
    """Draw a random sheet and give it with its truth.

    Parameters
    ----------
    seed : int
        The same seed, size and stroke give the same sheet.
    width, height : int
        Px.
    stroke : float, optional
        The usual stroke, px; drawn from 2.2 to 4.2 if not given.
    flat : bool
        Neither slope nor waves.
    layout : str, optional
        One of ``stages.LAYOUTS``, or ``"motifs"`` for pieces of circuit strewn over the page; drawn if not
        given, as often orderly as strewn.

    Examples
    --------
    >>> sheet = draw_sheet(5, 320, 320)
    >>> sheet.image.shape == sheet.classes.shape == (320, 320)
    True
    """
    rng = np.random.default_rng(seed)
    style = random_style(rng, float(rng.uniform(2.2, 4.2)) if stroke is None else stroke)
    wave = random_wave(width, height, rng)
    if flat:
        wave = Wave(wave.middle, 0.0, np.zeros((0, 6)))
    layout = choose_layout(rng) if layout is None else layout
    if layout != "motifs":
        style = stages_style(style, rng)
    drawing = SheetDrawing(width, height, style, int(rng.integers(0, 2**31)), wave)
    if layout != "motifs":
        draw_stages(drawing, layout, rng, freehand=style.hand.wobble > 0)
    else:
        _strew(drawing, rng)
    return _edge_bars(drawing.finish(), rng)


def _strew(drawing: SheetDrawing, rng: np.random.Generator) -> None:
    """Draw pieces of circuit wherever there is room, their ends led to each other or signed."""
    board = Board(drawing, _habits(rng), rng)
    add_page(board)
    weights = np.array([weight for _, weight in MOTIFS])
    if rng.random() < 0.45:
        for _ in range(int(rng.integers(1, 4))):
            bus(board)
    rows = int(rng.integers(0, 3)) if rng.random() < 0.4 else 0
    for _ in range(rows):
        pin_row(board)
    if rng.random() < 0.2:
        pot_row(board)
    for _ in range(int(rng.integers(0, 4))):
        (cross_coupled if rng.random() < 0.35 else slanted_wire)(board)
    tries = int(drawing.width * drawing.height / (drawing.style.unit * 14) ** 2 * rng.uniform(0.5, 1.6)) + 3
    for index in range(tries):
        MOTIFS[int(rng.choice(len(MOTIFS), p=weights / weights.sum()))][0](board)
        if index % 5 == 4:
            settle_ends(board)
        if board.crowded() > 0.75:
            break
    settle_ends(board)
    settle_ends(board, last=True)
    add_notes(board)
    add_furniture(board)


def _edge_bars(sheet: SheetTruth, rng: np.random.Generator) -> SheetTruth:
    """At times a solid, ragged bar of black along an edge, as of a book's edge; it means nothing."""
    if rng.random() > 0.15:
        return sheet
    image = sheet.image.copy()
    for side in rng.permutation(4)[: int(rng.integers(1, 3))]:
        turned = np.rot90(image, int(side))
        deep = float(rng.uniform(1.5, 8.0)) * sheet.stroke
        ragged = deep + rng.normal(0.0, 0.12 * deep) * np.sin(
            np.linspace(0, float(rng.uniform(2, 30)), turned.shape[1])
        )
        ragged += rng.normal(0.0, 0.5, turned.shape[1])
        black = np.arange(turned.shape[0])[:, None] < ragged[None, :]
        black &= np.rot90(sheet.classes, int(side)) == BACKGROUND
        first, last = np.sort(rng.uniform(-0.3, 1.3, 2)) * turned.shape[1]
        black[:, (np.arange(turned.shape[1]) < first) | (np.arange(turned.shape[1]) > last)] = False
        turned[black] = np.uint8(rng.integers(0, 50))
    return replace(sheet, image=image)

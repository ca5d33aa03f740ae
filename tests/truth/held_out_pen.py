"""The pen of the held-out sheets: other symbols, other faces, other dots, and every place in units.

Faces are Computer Modern and STIX, as matplotlib carries them, and the one that OpenCV draws with (version 4
Hershey's single strokes of 1967, version 5 a bold grotesque); the training prints with none of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import cv2
import matplotlib
import numpy as np
from held_out_symbols import held_out_block, held_out_symbol
from numpy.typing import NDArray
from PIL import Image

from tracer.training.canvas import Hand
from tracer.training.classes import DOT, LETTERING
from tracer.training.lettering import Lettering
from tracer.training.sheet import SheetDrawing, SheetStyle
from tracer.training.truth import DrawnPart

__all__ = ["MANNERS", "HeldOutPen", "Manner"]

Stop = tuple[float | None, float | None]
Box = tuple[float, float, float, float]

_FACES = Path(matplotlib.get_data_path()) / "fonts" / "ttf"


@dataclass(frozen=True, slots=True)
class Manner:
    """How one sheet is drawn: symbols, pen, px per unit, face (``cv2`` or a file), crossings, dots."""

    symbols: int
    stroke: float
    unit: float
    face: str
    crossing: str
    dot: float
    square: bool
    wobble: float


MANNERS = (
    Manner(0, 3.0, 9.0, "cmss10", "plain", 1.7, False, 0.0),
    Manner(1, 2.6, 8.5, "cv2", "gap", 1.5, True, 0.0),
    Manner(2, 4.0, 11.0, "STIXGeneral", "hop", 1.5, False, 0.8),
    Manner(0, 2.4, 8.0, "cv2", "plain", 1.9, True, 0.5),
    Manner(1, 1.2, 5.0, "cmtt10", "plain", 2.2, True, 0.0),
    Manner(2, 6.0, 17.0, "cmss10", "plain", 1.4, False, 1.2),
)


class HeldOutPen(SheetDrawing):
    """A sheet drawn in a held-out manner; all coordinates are in units, not px."""

    def __init__(self, wide: float, high: float, manner: Manner, seed: int) -> None:
        self.unit, self.manner = manner.unit, manner
        face = str(_FACES / f"{manner.face}.ttf") if manner.face != "cv2" else "cv2"
        style = SheetStyle(
            stroke=manner.stroke,
            unit=manner.unit,
            text_height=1.55 * manner.unit,
            crossing=manner.crossing,
            dot_radius=manner.dot,
            hand=Hand(wobble=manner.wobble),
            lettering=Lettering(face=face),
        )
        super().__init__(round(wide * self.unit), round(high * self.unit), style, seed)
        self.letterings: list[Box] = []
        self.lines: list[list[tuple[float, float]]] = []
        self.dotted: list[tuple[float, float]] = []

    def put(
        self,
        symbol: str,
        x: float,
        y: float,
        name: str = "",
        *,
        turn: float = 0.0,
        mirror: bool = False,
        text: str = "above",
        manner: int | None = None,
    ) -> DrawnPart:
        """Place a symbol; `name` is "reference value" as lettered."""
        reference, _, value = name.partition(" ")
        made = held_out_symbol(symbol, self.manner.symbols if manner is None else manner)
        return self.place_symbol(
            made,
            f"held out {symbol}",
            x * self.unit,
            y * self.unit,
            turn=turn,
            mirror=mirror,
            reference=reference,
            value=value,
            text=text,
        )

    def block(
        self,
        x: float,
        y: float,
        wide: float,
        high: float,
        pins: dict[str, tuple[float, float, float, float]],
        name: str,
    ) -> DrawnPart:
        """Place a box with named pins."""
        made = held_out_block(wide, high, pins, name)
        return self.place_symbol(
            made, "held out block", x * self.unit, y * self.unit, reference=name, text="none"
        )

    def at(self, part: DrawnPart, terminal: str) -> tuple[float, float]:
        """Where a terminal lies, in units."""
        x, y = part.terminal(terminal)
        return x / self.unit, y / self.unit

    def offset(self, symbol: str, terminal: str) -> tuple[float, float]:
        """Where a terminal will lie from the middle of a symbol still to be placed, in units."""
        made = held_out_symbol(symbol, self.manner.symbols)
        return next((each.x, each.y) for each in made.terminals if each.name == terminal)

    def run(self, *stops: Stop) -> None:
        """Run a wire through places; None keeps that coordinate of the place before."""
        points: list[tuple[float, float]] = []
        for x, y in stops:
            last = points[-1] if points else (0.0, 0.0)
            points.append((last[0] if x is None else x, last[1] if y is None else y))
        kept = [
            points[0],
            *(
                point
                for one, point in pairwise(points)
                if max(abs(point[0] - one[0]), abs(point[1] - one[1])) > 1e-6
            ),
        ]
        if len(kept) < 2:
            raise ValueError(f"a wire of no length at {kept[0]}")
        self.lines.append([(x * self.unit, y * self.unit) for x, y in kept])
        self.wire(self.lines[-1])

    def dots(self, *places: tuple[float, float]) -> None:
        """Set junction dots, round or square as the manner is."""
        reach = self.manner.dot * self.manner.stroke
        for x, y in places:
            px, py = x * self.unit, y * self.unit
            self.dot(px, py)
            self.dotted.append((px, py))
            if self.manner.square:
                corners = [
                    (px - reach, py - reach),
                    (px + reach, py - reach),
                    (px + reach, py + reach),
                    (px - reach, py + reach),
                ]
                self._canvas.fill(np.array(corners, np.float64), DOT)

    def earth(self, x: float, y: float) -> None:
        """Set a chassis sign below a place."""
        self.put("chassis", x, y)

    def text(
        self,
        x: float,
        y: float,
        text: str,
        *,
        height: float | None = None,
        angle: float = 0.0,
        layer: int = LETTERING,
    ) -> None:
        """Letter in the manner's face."""
        height = self.style.text_height if height is None else height
        wide = 0.62 * height * len(text)
        across, down = (height, wide) if angle in (90.0, -90.0) else (wide, height)
        if height >= self.style.text_height:  # not the small pin numbers, which may stand close
            self.letterings.append((x - across / 2, y - down / 2, x + across / 2, y + down / 2))
        if self.style.lettering.face != "cv2":
            super().text(x, y, text, height=height, angle=angle, layer=layer)
            return
        mask = _cv2_letters(text, height * self._canvas.fineness, self.manner.stroke * self._canvas.fineness)
        self._canvas.stamp(Image.fromarray(mask), x, y, angle, layer)


def _cv2_letters(text: str, height: float, pen: float) -> NDArray[np.uint8]:
    """Letters as OpenCV draws them, their capitals `height` high: white on black, cut to the ink."""
    thick = max(1, round(0.85 * pen))
    scale = height / 21.0  # a capital is 21 px high at scale 1
    (wide, high), below = cv2.getTextSize(text, cv2.FONT_HERSHEY_SIMPLEX, scale, thick)
    mask = np.zeros((high + below + 2 * thick, wide + 2 * thick), np.uint8)
    cv2.putText(mask, text, (thick, high + thick), cv2.FONT_HERSHEY_SIMPLEX, scale, 255, thick, cv2.LINE_AA)
    rows, columns = np.flatnonzero(mask.any(axis=1)), np.flatnonzero(mask.any(axis=0))
    return mask[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]

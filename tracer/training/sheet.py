"""Drawing a sheet from a description, with everything about it known.

`SheetDrawing` is the pen: place symbols, run wires between their terminals, set dots, letter, rule frames;
`finish` gives the picture and its truth. Coordinates are page px, x right, y down. The random layouts use
the same calls.

Examples
--------
>>> sheet = SheetDrawing(400, 200, SheetStyle(stroke=3.0), seed=1)
>>> left = sheet.place("resistor.box", 100, 100, reference="R1", value="10k")
>>> right = sheet.place("capacitor.plates", 300, 100, reference="C1", value=".05")
>>> sheet.wire([left.terminal("2"), right.terminal("1")])
>>> truth = sheet.finish()
>>> [(end.part, end.terminal) for end in truth.conductors[0].ends]
[(1, '2'), (2, '1')]
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np

from tracer.training import symbols
from tracer.training.canvas import Canvas, Hand, Warp
from tracer.training.classes import BODY, FURNITURE, LETTERING, kind_index
from tracer.training.lettering import Lettering, letter_strokes, print_mask
from tracer.training.penwork import Dot
from tracer.training.strokes import Points, arrow_head, dashes, place_points
from tracer.training.symbols.symbol import Symbol, Terminal
from tracer.training.truth import DrawnPart, PartTerminal, SheetTruth
from tracer.training.wires import draw_wires
from tracer.training.wiring import Wire

__all__ = ["SheetDrawing", "SheetStyle"]


@dataclass(frozen=True, slots=True)
class SheetStyle:
    """How a whole sheet is drawn.

    Attributes
    ----------
    stroke : float
        The usual stroke, px.
    unit : float
        Px per symbol unit (a resistor is about six units long and two high).
    text_height : float
        Height of a capital, px.
    crossing : str
        How wires pass: ``"plain"``, ``"hop"`` or ``"gap"``.
    dot_radius : float
        Radius of a junction dot, in strokes.
    dot_manner : str
        ``"disc"``, ``"square"``, ``"ring"`` (an open loop round the join) or ``"blot"`` (a fat, uneven disc).
    gap : float
        Half the break in the under-wire, or a hop's radius, in strokes.
    freedom : float
        How freely corners, dots and gaps are drawn, 0 (with a ruler) to 1.
    worn : float
        How often a long wire comes out thin for a stretch, or falls into dashes and dots.
    hand : Hand
    lettering : Lettering
    """

    stroke: float = 3.0
    unit: float = 8.0
    text_height: float = 15.0
    crossing: str = "plain"
    dot_radius: float = 1.6
    dot_manner: str = "disc"
    gap: float = 2.2
    freedom: float = 0.0
    worn: float = 0.0
    hand: Hand = field(default_factory=Hand)
    lettering: Lettering = field(default_factory=Lettering)


def _pen_at(made: Symbol, x: float, y: float) -> float:
    """The width, in usual strokes, of the widest stroke of a symbol that passes through (x, y)."""
    widest = 1.0
    for stroke in made.strokes:
        if stroke.width > widest and len(stroke.points) > 1:
            start, way = stroke.points[:-1], np.diff(stroke.points, axis=0)
            part = ((np.array([x, y]) - start) * way).sum(axis=1) / np.maximum((way**2).sum(axis=1), 1e-9)
            foot = start + np.clip(part, 0, 1)[:, None] * way - (x, y)
            if np.hypot(foot[:, 0], foot[:, 1]).min() < 0.2:
                widest = stroke.width
    return widest


def _buried(made: Symbol, terminal: Terminal, half: float) -> float:
    """How far, units, a lead of half width `half` runs on inside the symbol's own region before it shows."""
    steps, aside = np.arange(0.2, 2.4, 0.2), np.array([-half, 0.0, half])[:, None]
    x = (terminal.x + terminal.dx * steps - terminal.dy * aside).ravel()
    y = (terminal.y + terminal.dy * steps + terminal.dx * aside).ravel()
    inside = np.zeros(len(x), dtype=bool)
    for polygon in made.region:
        (x0, y0), (x1, y1) = polygon.min(axis=0), polygon.max(axis=0)
        near_x, near_y = x[:: len(steps)], y[:: len(steps)]
        if near_x.max() < x0 or near_x.min() > x1 or near_y.max() < y0 or near_y.min() > y1:
            continue
        ax, ay = polygon.T[:, :, None]
        bx, by = np.roll(polygon, -1, axis=0).T[:, :, None]
        with np.errstate(divide="ignore", invalid="ignore"):
            left = ((ay > y) != (by > y)) & (x < ax + (y - ay) / (by - ay) * (bx - ax))
        inside |= left.sum(axis=0) % 2 == 1
    buried = steps[np.logical_or.reduce(inside.reshape(3, -1))]
    return float(buried.max()) if len(buried) and buried[0] < 0.3 else 0.0


def _still(points: Points) -> Points:
    return points


class SheetDrawing:
    """A sheet being drawn.

    Parameters
    ----------
    width, height : int
        Of the page, px.
    style : SheetStyle
    seed : int
        Of every random choice made while drawing.
    warp : callable
        Moves ideal px to the px they are drawn at (a sloping or wavy page); the truth is moved with them.
    """

    def __init__(self, width: int, height: int, style: SheetStyle, seed: int, warp: Warp = _still) -> None:
        self.width, self.height, self.style = width, height, style
        self._rng = np.random.default_rng(seed)
        self._warp = warp
        self._canvas = Canvas(width, height, warp, style.hand, self._rng)
        self._wires: list[Wire] = []
        self._dots: list[Dot] = []
        self._passing: list[tuple[float, float, str]] = []
        self._parts: list[DrawnPart] = []
        self._rims: dict[tuple[int, str], float] = {}  # px of lead under a fat outline

    def place(
        self,
        symbol: str,
        x: float,
        y: float,
        *,
        turn: float = 0.0,
        mirror: bool = False,
        scale: float = 1.0,
        reference: str = "",
        value: str = "",
        text: str = "above",
        **options: object,
    ) -> DrawnPart:
        """Draw the symbol registered as `symbol` with its centre at (x, y).

        Parameters
        ----------
        turn : float
            Degrees clockwise as seen.
        mirror : bool
            Swap left and right before turning.
        text : str
            Where reference and value go: ``"above"``, ``"below"``, ``"left"``, ``"right"`` or ``"none"``.
        **options
            Passed to the symbol's maker, such as ``grids=1`` for a valve.

        Returns
        -------
        DrawnPart
            With terminals on the ideal page, to run wires from.
        """
        made = symbols.build(symbol, self._rng, **options)
        return self.place_symbol(
            made,
            symbol,
            x,
            y,
            turn=turn,
            mirror=mirror,
            scale=scale,
            reference=reference,
            value=value,
            text=text,
        )

    def place_symbol(
        self,
        made: Symbol,
        symbol: str,
        x: float,
        y: float,
        *,
        turn: float = 0.0,
        mirror: bool = False,
        scale: float = 1.0,
        reference: str = "",
        value: str = "",
        text: str = "above",
    ) -> DrawnPart:
        """As `place`, with a symbol that is already built."""
        unit, pen = self.style.unit * scale, self.style.stroke
        angle = np.deg2rad(turn)
        spin = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
        matrix = spin @ np.diag([-1.0 if mirror else 1.0, 1.0])
        shift = np.array([x, y], dtype=np.float64)
        for stroke in made.strokes:
            moved = stroke.moved(matrix * unit, shift, pen)
            if moved.fill is not None:
                self._canvas.fill(moved.points, BODY, paper=moved.fill == 0.0)
            self._canvas.stroke(moved.points, moved.width, BODY)
        for polygon in made.region:
            self._canvas.mark_body(place_points(polygon, matrix * unit, shift), pen, kind_index(made.kind))
        for mark in made.inscriptions:
            ((mx, my),) = place_points(np.array([(mark.x, mark.y)]), matrix * unit, shift)
            self.text(float(mx), float(my), mark.text, height=mark.height * unit)
        terminals = []
        for terminal in made.terminals:
            ((tx, ty),) = place_points(np.array([(terminal.x, terminal.y)]), matrix * unit, shift)
            dx, dy = matrix @ np.array([terminal.dx, terminal.dy])
            terminals.append(PartTerminal(terminal.name, float(tx), float(ty), float(dx), float(dy)))
            rim = 0.5 * (_pen_at(made, terminal.x, terminal.y) - 1.0) * pen
            rim = max(rim, _buried(made, terminal, 0.5 * pen / unit) * unit)
            if rim > 0.0:
                self._rims[len(self._parts) + 1, terminal.name] = rim
        corners = place_points(np.concatenate(made.region), matrix * unit, shift)
        (x0, y0), (x1, y1) = corners.min(axis=0) - pen / 2, corners.max(axis=0) + pen / 2
        part = DrawnPart(
            len(self._parts) + 1, made.kind, symbol, reference, value,
            (float(x0), float(y0), float(x1), float(y1)), tuple(terminals),
        )  # fmt: skip
        self._parts.append(part)
        self._letter_part(part, text)
        return part

    def _letter_part(self, part: DrawnPart, where: str) -> None:
        lines = [line for line in (part.reference, part.value) if line]
        if where == "none" or not lines:
            return
        x0, y0, x1, y1 = part.box
        high, gap = self.style.text_height, 0.6 * self.style.text_height
        pitch = 1.45 * high
        middle = (x0 + x1) / 2
        for index, line in enumerate(lines):
            if where == "above":
                at = (middle, y0 - gap - high / 2 - pitch * (len(lines) - 1 - index))
            elif where == "below":
                at = (middle, y1 + gap + high / 2 + pitch * index)
            else:
                half = 0.36 * high * len(line)
                side = x0 - gap - half if where == "left" else x1 + gap + half
                at = (side, (y0 + y1) / 2 + pitch * (index - (len(lines) - 1) / 2))
            self.text(at[0], at[1], line)

    def wire(
        self,
        points: Sequence[tuple[float, float]],
        width: float = 1.0,
        ink: int | None = None,
        over: tuple[float, float] = (0.0, 0.0),
    ) -> None:
        """Run a wire, `width` usual strokes wide and of grey `ink`, through `points`.

        It joins what its ends touch and what a `dot` lies on; elsewhere it passes. `over` is how far, px,
        the pen runs on past its two ends, which joins nothing more.
        """
        path = np.array(points, dtype=np.float64)
        self._wires.append(Wire(path, width * self.style.stroke, ink=ink, over=over))

    def dot(self, x: float, y: float, radius: float | None = None, manner: str | None = None) -> None:
        """Set a junction dot, `radius` strokes, against the sheet's `manner` if one is given.

        All wires through it are joined.
        """
        chosen = self.style.dot_radius if radius is None else radius
        self._dots.append((x, y, chosen * self.style.stroke, manner or self.style.dot_manner))

    def passing(self, x: float, y: float, style: str) -> None:
        """Draw the crossing at (x, y) as ``"plain"``, ``"hop"`` or ``"gap"``, against the sheet's habit."""
        self._passing.append((x, y, style))

    def rule(self, points: Sequence[tuple[float, float]], width: float = 1.0) -> None:
        """A plain line that joins nothing: a frame, a table. It counts as wire."""
        self._wires.append(Wire(np.array(points, dtype=np.float64), width * self.style.stroke, plain=True))

    def frame(self, x0: float, y0: float, x1: float, y1: float, width: float = 1.0) -> None:
        """Rule a rectangle."""
        self.rule([(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)], width)

    def furniture(
        self,
        points: Sequence[tuple[float, float]],
        *,
        dash: tuple[float, float] | None = (4.0, 3.0),
        width: float = 1.0,
        arrow: bool = False,
        ink: int | None = None,
    ) -> None:
        """A screen, a ganging line, a leader or a pencil mark.

        `dash` is the length on and off in strokes, None for a whole line; `arrow` puts a head at its end;
        `ink` is its grey, as for a pencil.
        """
        pen = self.style.stroke
        path = np.array(points, dtype=np.float64)
        pieces = [path] if dash is None else dashes(path, dash[0] * pen, dash[1] * pen)
        for piece in pieces:
            self._canvas.stroke(piece, width * pen, FURNITURE, ink)
        if arrow:
            way = path[-1] - path[-2]
            for head in arrow_head(
                (float(path[-1, 0]), float(path[-1, 1])),
                (float(way[0]), float(way[1])),
                3.2 * pen,
                solid=True,
            ):
                self._canvas.fill(head.points, FURNITURE)

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
        """Letter `text` centred on (x, y), its capitals `height` px tall, turned by `angle` degrees."""
        height = self.style.text_height if height is None else height
        style = self.style.lettering
        if style.face != "stroke":
            mask = print_mask(text, height * self._canvas.fineness, style.face)
            self._canvas.stamp(mask, x, y, angle, layer)
            return
        turn = np.deg2rad(angle)
        spin = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
        for piece in letter_strokes(text, height, style, self._rng):
            self._canvas.stroke(piece @ spin.T + np.array([x, y]), style.weight * self.style.stroke, layer)

    def overline(self, x0: float, x1: float, y: float) -> None:
        """A bar over (or under) lettering, which counts as lettering."""
        self._canvas.stroke(np.array([(x0, y), (x1, y)]), 0.8 * self.style.stroke, LETTERING)

    def parts(self) -> Iterable[DrawnPart]:
        """The parts placed so far, on the ideal page."""
        return tuple(self._parts)

    def parts_from(self, number: int) -> Iterable[DrawnPart]:
        """The parts placed after part `number`, on the ideal page."""
        return tuple(self._parts[number:])

    def finish(self) -> SheetTruth:
        """Draw the wires and give the picture with its truth, moved as `warp` moves it."""
        return draw_wires(
            self._canvas,
            self._wires,
            self._dots,
            self._passing,
            self._parts,
            self._rims,
            self._warp,
            self.style,
            self._rng,
        )

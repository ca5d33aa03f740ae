"""A row of stages: its levels, and the few ways in which everything on it hangs together."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Final

from tracer.training.layout.stages_meet import Blocked
from tracer.training.layout.stages_pen import Pen, Place, Put

__all__ = [
    "PLUS",
    "Row",
    "Stage",
    "attempt_stage",
    "dropper",
    "enter",
    "fill_row",
    "foot",
    "gang_line",
    "head",
    "rail_step",
    "volts",
]

PLUS: Final = ("+15", "+12V", "(+5)", "+5v", "+V", "+15V", "+9V")
_MINUS: Final = ("-15", "-12V", "-5v", "(-5)", "-V", "-15V")
_RAILS: Final = ("HT1", "HT+", "+250V", "+12V", "(+5)", "A", "B", "+15", "HT2", "220V", "12V")
_FROM: Final = (
    "IN",
    "FROM V2",
    "PU",
    "A",
    "AERIAL",
    "TAPE",
    "B3",
    "TO PL4",
    "SK2/3",
    "GRAM",
    "F1",
    "CV",
    "AF",
    "7",
    "12",
)

Down: Final = (0.0, 1.0)
Up: Final = (0.0, -1.0)
Right: Final = (1.0, 0.0)
Left: Final = (-1.0, 0.0)


@dataclass(slots=True)
class Row:
    """Levels of one row, px: supply rail, anode or collector line, grid or base line, bias line, earth."""

    supply: float
    high: float
    low: float
    bias: float
    earth: float
    left: float
    right: float
    supply_from: float  # how far the supply rail has been drawn
    bias_feet: list[float]
    rails: bool = True  # whether a supply rail runs along the top; else each lead up has its own sign
    gangs: list[Place] = field(default_factory=list)  # middles of parts that one spindle turns


Stage = Callable[[Pen, Row, float, Place | None], tuple[float, Place | None]]


def foot(pen: Pen, row: Row, at: Place, *kinds: str, lean: float = 0.4) -> list[Put]:
    """Parts from `at` down to the common earth line, or to a sign of their own.

    Raises
    ------
    Blocked
        There is no room.
    """
    if pen.manner.common_earth and row.rails:
        return pen.link(at, (at[0], row.earth), *kinds, lean=lean)
    length = sum(pen.length(kind) + 7 * pen.stroke for kind in kinds) + 3 * pen.stroke + pen.span(0, 2)
    end = (at[0], at[1] + length)
    puts = pen.link(at, end, *kinds, lean=lean)
    pen.sign("earth", end, Down)
    return puts


def head(pen: Pen, row: Row, at: Place, *kinds: str, lean: float = 0.5) -> list[Put]:
    """Parts from `at` up to the supply rail, or to a sign of their own."""
    if not row.rails:
        supply(pen, at, Up, *kinds)
        return []
    return pen.link(at, (at[0], row.supply), *kinds, lean=lean)


def supply(pen: Pen, at: Place, way: Place, *kinds: str, via: Place | None = None) -> None:
    """Parts from `at`, or from a wire's end at `via`, to a supply or earth sign of their own, up or down.

    Raises
    ------
    Blocked
        There is no room.
    """
    if via is not None:
        pen.wire(at, via)
        at = via
    length = sum(pen.length(kind) for kind in kinds) + 5.0 * pen.stroke * (len(kinds) + 1)
    end = (at[0], at[1] + way[1] * length)
    pen.link(at, end, *kinds)
    if way == Down and pen.chance(0.6):
        pen.sign("earth", end, Down)
        return
    if way == Up and pen.chance(0.25):  # round a corner to earth, as where the resistor had to stand above
        corner = (end[0] + float(pen.rng.choice([-1.0, 1.0])) * pen.span(1.6, 2.6), end[1])
        pen.wire(end, corner)
        pen.sign("earth", corner, Down, lead=4.0 * pen.stroke)
        return
    text = str(pen.rng.choice(PLUS if way == Up else _MINUS))
    pick = pen.rng.random()
    kind = "label.circle" if pick < 0.45 else "label.arrow" if pick < 0.7 else "label.bar"
    if pick < 0.85:
        pen.sign(kind, end, way, text=text)
    else:
        pen.label(*end, text, *way, sure=True)


def enter(pen: Pen, row: Row, x: float, port: Place | None, to: Place, *kinds: str) -> None:
    """Lead the last stage's output, or a signed input, through `kinds` to `to`."""
    if port is None:
        port = (x, to[1])
        if pen.chance(0.5):
            pen.sign("label.circle", port, Left, text=str(pen.rng.choice(_FROM)))
        elif pen.chance(0.3):
            pen.sign("label.arrow", port, Left, text=str(pen.rng.choice(_FROM)))
        else:
            pen.label(*port, str(pen.rng.choice(_FROM)), *Left, sure=True)
    corner = (to[0], port[1])
    pen.link(port, corner, *kinds)
    pen.wire(corner, to)


def rail_step(pen: Pen, row: Row, x: float) -> None:
    """Draw the supply rail as far as `x`."""
    pen.wire((row.supply_from, row.supply), (x, row.supply))
    row.supply_from = x


def dropper(pen: Pen, row: Row, x: float) -> None:
    """Lead the supply rail to `x` through a resistor or choke, with its decoupling at one end."""
    start, end = (row.supply_from, row.supply), (x, row.supply)
    pen.link(start, end, "R" if pen.chance(0.8) else "L")
    row.supply_from = x
    side = start if pen.chance(0.4) else end
    foot_at = (side[0], row.supply + pen.length("E") + 11 * pen.stroke)
    if pen.attempt(pen.link, side, foot_at, "E"):
        pen.attempt(pen.sign, "earth", foot_at, Down)


def volts(pen: Pen, at: Place, high: bool = True) -> None:
    """A voltage lettered beside a point, at times."""
    if pen.chance(0.45):
        number = pen.rng.integers(40, 290) if high else pen.rng.integers(1, 12)
        pen.label(*at, f"{number}V" if pen.chance(0.7) else f"({number})", size=0.85)


def attempt_stage(
    pen: Pen, row: Row, stage: Stage, x: float, here: Place | None
) -> tuple[float, Place | None] | None:
    """Draw a stage from `x` on; give where it ends and what it leaves open, or None where it has no room."""
    found: list[tuple[float, Place | None]] = []

    def draw() -> None:
        after = stage(pen, row, x, here)
        if after[0] > row.right:
            raise Blocked
        found.append(after)

    return found[-1] if pen.attempt(draw) else None


def fill_row(pen: Pen, row: Row, choose: Callable[[int], Stage]) -> None:
    """Stage after stage from left to right, until the row is full."""
    x, port, number, failed = row.left, None, 0, 0
    if pen.manner.common_earth and row.rails:
        pen.attempt(pen.wire, (row.left, row.earth), (row.right, row.earth))
    here: Place | None = port
    while x < row.right - 12 * pen.u and failed < 24:
        after = attempt_stage(pen, row, choose(number + failed), x, here)
        if after is not None:
            (x, here), number, failed = after, number + failed + 1, 0
            if row.rails:
                pen.attempt(rail_step, pen, row, x)
            if row.rails and pen.chance(0.35) and pen.attempt(dropper, pen, row, x + pen.step):
                x += 0.6 * pen.step
            if pen.chance(0.08):
                here = None
        else:
            failed += 1
            if failed % 3 == 0:
                x, here = x + 3 * pen.u, None
    if here is not None:
        pen.loose(here, Right)
    _bias_line(pen, row)
    gang_line(pen, row.gangs)
    if not row.rails:
        return
    end = (row.supply_from, row.supply)
    pen.attempt(pen.sign, "label.circle", end, Right, lead=2 * pen.u, text=str(pen.rng.choice(_RAILS)))


def gang_line(pen: Pen, gangs: list[Place]) -> None:
    """The dashed line through parts that one spindle turns, round corners where their levels differ."""
    if len(gangs) < 2:
        return
    path = [gangs[0]]
    for x, y in gangs[1:]:
        if abs(y - path[-1][1]) > 1.0 and abs(x - path[-1][0]) > 1.0:
            path.append((path[-1][0], y) if pen.chance(0.5) else (x, path[-1][1]))
        path.append((x, y))
    tail = pen.span(2, 8)
    path.append((path[-1][0] + tail, path[-1][1]))
    pen.dashed(*path)
    pen.label(*path[-1], str(pen.rng.choice(["TUNING", "GANG", "", "VOLUME", "S1"])), *Right)


def _bias_line(pen: Pen, row: Row) -> None:
    """The line that joins the feet of all stages that share a bias; each its own sign where it is blocked."""
    feet = sorted(row.bias_feet)
    if not feet:
        return
    name = str(pen.rng.choice(["AVC", "A.G.C.", "BIAS", "-V", "TO V4"]))

    def line() -> None:
        end = (feet[-1] + (pen.span(3, 12) if len(feet) == 1 or pen.chance(0.5) else 0.0), row.bias)
        pen.wire((feet[0], row.bias), end)
        if end[0] > feet[-1] + 1.0:
            pen.sign("label.arrow" if pen.chance(0.5) else "label.circle", end, Right, text=name)

    if not pen.attempt(line):
        for x in feet:
            pen.attempt(pen.sign, "earth", (x, row.bias), Down)

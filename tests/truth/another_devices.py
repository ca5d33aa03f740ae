"""Symbols with more than two leads, as another hand draws them; each returns the kind of part that it is."""

from __future__ import annotations

from collections.abc import Sequence

from another_brush import Brush

__all__ = ["amplifier", "box", "jack", "toggle", "transformer", "transistor", "valve", "wafer"]


def _coil_beside(b: Brush, x: float, y: float, long: float, way: float, turns: int) -> None:
    """Draw a winding down from (x, y); its turns bulge to `way` (1 or -1)."""
    each = long / turns
    if b.manner.coil == "bumps":
        for turn in range(turns):
            middle = y + each * (turn + 0.5)
            b.arc(x, middle, each / 2, -90, 90) if way > 0 else b.arc(x, middle, each / 2, 90, 270)
        return
    places = [(x, y)]
    for turn in range(turns):
        top = y + each * turn
        places += [
            (x + way * 2.1, top - 0.3),
            (x + way * 2.2, top + each * 1.15),
            (x - way * 0.5, top + each * 1.1),
            (x - way * 0.5, top + each * 0.75),
        ]
    b.round(*places[:-2], (x, y + long))


def transformer(
    b: Brush, left: Sequence[Sequence[float]], right: Sequence[Sequence[float]], core: str = "iron"
) -> str:
    """Draw windings on either side of a core; each is its leads' heights from the top, first to last."""
    every = [height for winding in (*left, *right) for height in winding]
    apart = {"iron": 5.2, "dust": 5.2, "air": 4.4}[core]
    for side, windings in enumerate((left, right)):
        x, out = (0.0, -1) if side == 0 else (apart, 1)
        for number, heights in enumerate(windings, start=1):
            long = heights[-1] - heights[0]
            _coil_beside(b, x, heights[0], long, -out * 0.8, max(3, round(long / 2.2)))
            for place, height in enumerate(heights, start=1):
                b.terminal(
                    f"{'ps'[side]}{number}.{place}",
                    x + (0.4 * out if place not in (1, len(heights)) else 0),
                    height,
                    out,
                    0,
                )
    top, low = min(every), max(every)
    if core == "iron":
        for x in (apart / 2 - 0.4, apart / 2 + 0.4):
            b.line((x, top - 0.5), (x, low + 0.5))
    elif core == "dust":
        b.line((apart / 2, top), (apart / 2, low), dash=(1.2, 0.7))
    return "transformer"


def valve(b: Brush, electrodes: str, size: float = 6.0) -> str:
    """Draw a valve about (0, 0), upright. `electrodes` are letters: a anode, g grid, k cathode, h heater,
    d a second diode anode; grids are numbered from the cathode up, their leads leave left and right in turn.
    """
    grids = electrodes.count("g")
    tall = 1.0 + 0.16 * max(0, grids - 1)
    b.arc(0, 0, size, flat=tall, width=b.manner.heavy)
    high = size * tall
    anode = -high + 0.32 * high
    if "d" in electrodes:
        for name, x in (("a1", -2.3), ("a2", 2.3)):
            b.line((x - 1.3, anode), (x + 1.3, anode), width=1.5 * b.manner.symbol_pen)
            b.line((x, anode), (x, -((high**2 - (x * tall) ** 2) ** 0.5)))
            b.terminal(name, x, -((high**2 - (x * tall) ** 2) ** 0.5), 0, -1)
    else:
        b.line((-2.6, anode), (2.6, anode), width=1.5 * b.manner.symbol_pen)
        b.line((0, anode), (0, -high))
        b.terminal("a", 0, -high, 0, -1)
    cathode = high - 0.42 * high
    for number in range(1, grids + 1):
        y = cathode + (anode - cathode) * number / (grids + 1)
        way = -1 if number % 2 else 1
        b.line((-2.8, y), (2.8, y), dash=(1.0, 0.65))
        edge = way * (size**2 - (y / tall) ** 2) ** 0.5
        b.line((way * 3.2, y), (edge, y))
        b.terminal(f"g{number}", edge, y, way, 0)
    if "k" in electrodes:
        b.line((-2.4, cathode + 0.9), (-2.4, cathode), (2.4, cathode), (2.4, cathode + 0.9))
        edge = (high**2 - (2.4 * tall) ** 2) ** 0.5
        b.line((-2.4, cathode + 0.9), (-2.4, edge))
        b.terminal("k", -2.4, edge, 0, 1)
    if "h" in electrodes:
        x = 1.4 if "k" in electrodes else 1.6
        low = (high**2 - (x * tall) ** 2) ** 0.5
        for way, name in ((-1, "h1"), (1, "h2")):
            b.line((way * x * 0.9, cathode + 2.2), (way * x, low))
            if "k" not in electrodes or name == "h2":
                b.terminal(name, way * x, low, 0, 1)
        b.line((-x * 0.9, cathode + 2.2), (0, cathode + 0.9), (x * 0.9, cathode + 2.2))
    return "valve"


def transistor(b: Brush, way: str = "npn") -> str:
    """Draw a transistor: base from the left at (0, 0), collector up, emitter down."""
    if b.manner.circles:
        b.arc(3.4, 0, 3.9)
    b.line((0, 0), (2.2, 0))
    b.line((2.2, -2.3), (2.2, 2.3), width=1.8 * b.manner.symbol_pen)
    b.line((2.2, -0.9), (4.8, -2.6), (4.8, -3.6))
    b.line((2.2, 0.9), (4.8, 2.6), (4.8, 3.6))
    if way == "npn":
        b.fill((4.5, 2.4), (3.0, 2.2), (3.8, 1.1))
    else:
        b.fill((2.4, 1.0), (3.9, 1.1), (3.1, 2.3))
    b.terminal("b", -0.5 if b.manner.circles else 0.0, 0, -1, 0)
    if b.manner.circles:
        b.line((-0.5, 0), (0, 0))
    b.terminal("c", 4.8, -3.6, 0, -1)
    b.terminal("e", 4.8, 3.6, 0, 1)
    return "transistor"


def amplifier(b: Brush, high: float = 11.0) -> str:
    """Draw an amplifier's triangle: minus above plus at the left, out at the right."""
    half = high / 2
    b.line((0, -half), (high * 0.95, 0), (0, half), (0, -half))
    b.terminal("-", 0, -high / 4, -1, 0)
    b.terminal("+", 0, high / 4, -1, 0)
    b.terminal("out", high * 0.95, 0, 1, 0)
    b.terminal("top", high * 0.38, -half * 0.6, 0, -1)
    b.terminal("low", high * 0.38, half * 0.6, 0, 1)
    b.note("-", 1.6, -high / 4)
    b.note("+", 1.6, high / 4)
    return "block"


def box(b: Brush, wide: float, high: float, pins: dict[str, tuple[str, float]]) -> str:
    """Draw an outline with its pins: name -> (side l, r, t or b; mm along it from the left or the top)."""
    b.line((0, 0), (wide, 0), (wide, high), (0, high), (0, 0))
    for name, (side, along) in pins.items():
        x, y, dx, dy = {
            "l": (0, along, -1, 0),
            "r": (wide, along, 1, 0),
            "t": (along, 0, 0, -1),
            "b": (along, high, 0, 1),
        }[side]
        b.terminal(name, x, y, dx, dy)
        b.note(name, x - (1.1 + 0.75 * len(name)) * dx, y - 1.8 * dy)
    return "block"


def wafer(b: Brush, ways: int, across: float = 7.0) -> str:
    """Draw a rotary wafer: a ring of contacts over the upper half, and the arm from the middle down."""
    b.arc(0, 0, 0.7)
    for way in range(ways):
        turn = way / max(1, ways - 1)
        x = -across * 1.1 + 2.2 * across * turn
        y = -across * (1 - (2 * turn - 1) ** 2 * 0.45)
        b.arc(x, y, 0.6)
        b.terminal(str(way + 1), x, y - 0.6, 0, -1)
        if way == 0:
            length = (x * x + y * y) ** 0.5
            b.line((x * 0.7 / length, y * 0.7 / length), (x * (1 - 1.5 / length), y * (1 - 1.5 / length)))
            b.fill((x * 0.9, y * 0.9), (x * 0.72 - 0.7, y * 0.72 + 0.5), (x * 0.72 + 0.7, y * 0.72 - 0.5))
    b.terminal("c", 0, 0.7, 0, 1)
    return "contact"


def toggle(b: Brush) -> str:
    """Draw a changeover: the arm's point at (0, 0), two points at the right."""
    b.arc(0.5, 0, 0.5)
    b.arc(6.5, -2.5, 0.5)
    b.arc(6.5, 2.5, 0.5)
    b.line((0.9, -0.3), (6.0, -2.4))
    b.terminal("c", 0, 0, -1, 0)
    b.terminal("1", 7.0, -2.5, 1, 0)
    b.terminal("2", 7.0, 2.5, 1, 0)
    return "contact"


def jack(b: Brush) -> str:
    """Draw a jack socket: sleeve above, tip spring and its break contact below; leads leave at the right."""
    b.line((0, -3.2), (0, -1.2), width=2 * b.manner.symbol_pen)
    b.line((0, -2.2), (7, -2.2))
    b.line((7, 1.4), (1.6, 1.4), (0.7, 0.5), (-0.2, 1.4))
    b.line((7, 4.2), (3.4, 4.2), (3.4, 2.2))
    b.fill((3.4, 1.6), (2.8, 2.8), (4.0, 2.8))
    b.terminal("sleeve", 7, -2.2, 1, 0)
    b.terminal("tip", 7, 1.4, 1, 0)
    b.terminal("break", 7, 4.2, 1, 0)
    return "jack"

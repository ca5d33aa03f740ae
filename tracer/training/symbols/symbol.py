"""What a symbol is, and the register that lists them all."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from tracer.training.strokes import Points, Stroke, circle

__all__ = [
    "SYMBOLS",
    "Inscription",
    "Maker",
    "Symbol",
    "Terminal",
    "build",
    "disc",
    "rectangle",
    "symbol",
    "symbols_of",
    "two_ended",
]


@dataclass(frozen=True, slots=True)
class Terminal:
    """Where a lead meets a body: on the body's edge, leaving along (dx, dy)."""

    name: str
    x: float
    y: float
    dx: float
    dy: float


@dataclass(frozen=True, slots=True)
class Inscription:
    """Lettering that belongs to the symbol, centred at (x, y); inside the body it counts as the body."""

    x: float
    y: float
    text: str
    height: float = 1.2


@dataclass(frozen=True, slots=True, eq=False)
class Symbol:
    """One way of drawing one part, in units, widths in usual strokes.

    Attributes
    ----------
    kind : str
        A name of ``shared/kinds.json``.
    strokes : tuple of Stroke
        What the pen draws.
    region : tuple of (n, 2) float64
        Polygons whose union is the body, its inside included.
    terminals : tuple of Terminal
        In drawing order.
    inscriptions : tuple of Inscription
        Pin numbers, polarity, values inside.
    """

    kind: str
    strokes: tuple[Stroke, ...]
    region: tuple[Points, ...]
    terminals: tuple[Terminal, ...]
    inscriptions: tuple[Inscription, ...] = ()

    @property
    def extent(self) -> tuple[float, float, float, float]:
        """x0, y0, x1, y1 of the body, units."""
        every = np.concatenate(self.region)
        x0, y0 = every.min(axis=0)
        x1, y1 = every.max(axis=0)
        return float(x0), float(y0), float(x1), float(y1)


Maker: TypeAlias = Callable[..., Symbol]
SYMBOLS: dict[str, Maker] = {}


def symbol(name: str) -> Callable[[Maker], Maker]:
    """Register a maker as ``"kind.style"``; it takes a random generator, then options by name."""

    def register(maker: Maker) -> Maker:
        if name in SYMBOLS:
            raise ValueError(f"two symbols are named {name}")
        SYMBOLS[name] = maker
        return maker

    return register


def build(name: str, rng: np.random.Generator, **options: object) -> Symbol:
    """Draw the symbol `name`; `options` are those of its maker.

    Examples
    --------
    >>> import tracer.training.symbols
    >>> build("resistor.box", np.random.default_rng(1)).kind
    'resistor'
    """
    return SYMBOLS[name](rng, **options)


def symbols_of(*kinds: str) -> tuple[str, ...]:
    """The names whose part before the dot is one of `kinds`."""
    return tuple(name for name in SYMBOLS if name.split(".")[0] in kinds)


def rectangle(x0: float, y0: float, x1: float, y1: float) -> Points:
    """Corners of an upright rectangle, as a region."""
    return np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], dtype=np.float64)


def disc(x: float, y: float, radius: float) -> Points:
    """A circle as a region."""
    return circle(x, y, radius).points


def two_ended(half: float, names: Iterable[str] = ("1", "2")) -> tuple[Terminal, Terminal]:
    """Terminals at x = -half and x = +half."""
    first, second = names
    return Terminal(first, -half, 0.0, -1.0, 0.0), Terminal(second, half, 0.0, 1.0, 0.0)

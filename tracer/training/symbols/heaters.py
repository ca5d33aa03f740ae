"""Heaters drawn apart from their valves, in a chain of their own."""

from __future__ import annotations

import numpy as np

from tracer.training.strokes import Stroke, arc, circle, line
from tracer.training.symbols.symbol import Symbol, Terminal, disc, rectangle, symbol

__all__: list[str] = []


@symbol("valve.heater")
def heater(rng: np.random.Generator, ringed: bool | None = None) -> Symbol:
    """A peak or a loop on two legs, in a ring or bare: ``h1`` and ``h2``, both leaving downwards."""
    ringed = bool(rng.random() < 0.5) if ringed is None else ringed
    radius, spread = rng.uniform(1.4, 1.9), rng.uniform(0.5, 0.8)
    foot = float(np.sqrt(radius**2 - spread**2))
    strokes: list[Stroke] = [circle(0, 0, radius)] if ringed else []
    if rng.random() < 0.6:
        strokes.append(line((-spread, foot), (-spread, 0.1), (0, -0.7), (spread, 0.1), (spread, foot)))
    else:
        strokes += [line((-spread, foot), (-spread, 0)), arc(0, 0, spread, 180, 360)]
        strokes.append(line((spread, 0), (spread, foot)))
    region = disc(0, 0, radius) if ringed else rectangle(-spread, -0.8, spread, foot)
    terminals = (Terminal("h1", -spread, foot, 0, 1), Terminal("h2", spread, foot, 0, 1))
    return Symbol("valve", tuple(strokes), (region,), terminals)

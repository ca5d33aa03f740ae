"""The symbols: one small function each, registered by name."""

from __future__ import annotations

from tracer.training.symbols import blocks as blocks
from tracer.training.symbols import (
    connections,
    heaters,
    passives,
    semiconductors,
    sources,
    supplies,
    switches,
    valves,
    windings,
)
from tracer.training.symbols.symbol import SYMBOLS, Symbol, Terminal, build, symbols_of

__all__ = [
    "SYMBOLS",
    "Symbol",
    "Terminal",
    "blocks",
    "build",
    "connections",
    "heaters",
    "passives",
    "semiconductors",
    "sources",
    "supplies",
    "switches",
    "symbols_of",
    "valves",
    "windings",
]

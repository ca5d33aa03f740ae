"""The symbols: one small function each, registered by name."""

from __future__ import annotations

from tracer.training.symbols import blocks as blocks
from tracer.training.symbols import (
    capacitors,
    connections,
    cores,
    envelopes,
    freehand,
    heaters,
    indicators,
    junctions,
    logic,
    passives,
    resistors,
    rotary,
    semiconductors,
    signs,
    sockets,
    sound,
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
    "capacitors",
    "connections",
    "cores",
    "envelopes",
    "freehand",
    "heaters",
    "indicators",
    "junctions",
    "logic",
    "passives",
    "resistors",
    "rotary",
    "semiconductors",
    "signs",
    "sockets",
    "sound",
    "sources",
    "supplies",
    "switches",
    "symbols_of",
    "valves",
    "windings",
]

"""What is to be drawn on an orderly sheet, before anything is inked."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any

from tracer.training.symbols.symbol import Symbol
from tracer.training.truth import PartTerminal

__all__ = ["Label", "Place", "Plan", "Put"]

Place = tuple[float, float]


@dataclass(frozen=True, slots=True, eq=False)
class Put:
    """A part as planned: its symbol, where it stands and what is lettered beside it."""

    made: Symbol
    name: str
    x: float
    y: float
    turn: float
    mirror: bool
    scale: float
    reference: str
    value: str
    box: tuple[float, float, float, float]
    terminals: dict[str, PartTerminal]

    def at(self, name: str) -> Place:
        """Where a terminal lies, px."""
        return self.terminals[name].x, self.terminals[name].y

    @property
    def leads(self) -> list[PartTerminal]:
        """Its terminals in drawing order."""
        return list(self.terminals.values())


@dataclass(frozen=True, slots=True)
class Label:
    """Words to be lettered near a point, on the side (dx, dy) if there is room; `sure` ones come anyhow."""

    x: float
    y: float
    text: str
    dx: float = 0.0
    dy: float = 0.0
    size: float = 1.0
    angle: float = 0.0
    sure: bool = False


@dataclass(slots=True)
class Plan:
    """All that is to be drawn, px."""

    puts: list[Put] = field(default_factory=list)
    wires: list[tuple[tuple[Place, ...], float]] = field(default_factory=list)
    labels: list[Label] = field(default_factory=list)
    dashed: list[tuple[Place, ...]] = field(default_factory=list)
    loose: list[PartTerminal] = field(default_factory=list)
    whole: list[tuple[Place, ...]] = field(default_factory=list)  # furniture that is not dashed
    eyes: list[tuple[float, float, float, str]] = field(
        default_factory=list
    )  # blobs on wires: radius, manner

    def sizes(self) -> list[int]:
        """How much there is of each."""
        return [len(each) for each in self._lists()]

    def _lists(self) -> tuple[list[Any], ...]:
        return self.puts, self.wires, self.labels, self.dashed, self.loose, self.whole, self.eyes

    def cut(self, sizes: list[int]) -> None:
        """Forget what came after there were `sizes`."""
        for each, size in zip(self._lists(), sizes, strict=True):
            del each[size:]

    def flip(self, width: float) -> None:
        """Swap left and right on a page `width` px wide."""
        self.puts = [
            replace(
                put, x=width - put.x, turn=-put.turn, mirror=not put.mirror,
                box=(width - put.box[2], put.box[1], width - put.box[0], put.box[3]),
            )
            for put in self.puts
        ]  # fmt: skip
        self.wires = [(tuple((width - x, y) for x, y in points), wide) for points, wide in self.wires]
        self.labels = [replace(label, x=width - label.x, dx=-label.dx) for label in self.labels]
        self.dashed = [tuple((width - x, y) for x, y in path) for path in self.dashed]
        self.whole = [tuple((width - x, y) for x, y in path) for path in self.whole]
        self.eyes = [(width - x, y, radius, manner) for x, y, radius, manner in self.eyes]

    def transpose(self) -> None:
        """Swap x and y."""
        self.puts = [
            replace(
                put, x=put.y, y=put.x, turn=-90.0 - put.turn, mirror=not put.mirror,
                box=(put.box[1], put.box[0], put.box[3], put.box[2]),
            )
            for put in self.puts
        ]  # fmt: skip
        self.wires = [(tuple((y, x) for x, y in points), wide) for points, wide in self.wires]
        self.labels = [
            replace(label, x=label.y, y=label.x, dx=label.dy, dy=label.dx, angle=0.0) for label in self.labels
        ]
        self.dashed = [tuple((y, x) for x, y in path) for path in self.dashed]
        self.whole = [tuple((y, x) for x, y in path) for path in self.whole]
        self.eyes = [(y, x, radius, manner) for x, y, radius, manner in self.eyes]

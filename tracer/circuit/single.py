"""One branch at a time: open, shorted, or of another value, all other branches left as they are.

In the ohms r of one branch the lead-to-lead resistance is a ratio of two straight lines,
``R(r) = (opened·r + shorted·across) / (r + across)``: Thévenin's theorem seen from the branch.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from tracer.circuit.solve import Graph, Ohms, resistance

__all__ = ["OneBranch", "one_branch", "resistance_opened", "resistance_with"]


@dataclass(frozen=True, slots=True)
class OneBranch:
    """How the lead-to-lead resistance hangs on one branch.

    Attributes
    ----------
    opened : float
        Ω with the branch open; ``inf`` where it alone joins the leads.
    shorted : float
        Ω with the branch at 0 Ω.
    across : float
        Ω that its two ends see of the rest, the leads free; ``inf`` where it closes no loop.
    """

    opened: float
    shorted: float
    across: float

    @property
    def matters(self) -> bool:
        """Whether the branch's value changes the reading at all."""
        return not math.isclose(self.opened, self.shorted, rel_tol=1e-12)

    def at(self, ohms: float) -> float:
        """Return the lead-to-lead resistance with the branch at `ohms`, Ω.

        Examples
        --------
        >>> OneBranch(opened=100.0, shorted=0.0, across=100.0).at(100.0)
        50.0
        """
        if math.isinf(ohms):
            return self.opened
        if ohms == 0.0 or math.isinf(self.shorted):
            return self.shorted
        if math.isinf(self.opened):
            return self.shorted + ohms
        if math.isinf(self.across):
            return self.shorted
        return (self.opened * ohms + self.shorted * self.across) / (ohms + self.across)

    def value_for(self, reading: float) -> float | None:
        """Return the ohms of the branch at which the leads read `reading`, or None where no value does.

        Examples
        --------
        >>> OneBranch(opened=100.0, shorted=0.0, across=100.0).value_for(50.0)
        100.0
        """
        if not self.matters or not self.shorted <= reading <= self.opened:
            return None
        if reading == self.opened:
            return math.inf
        if math.isinf(self.opened):
            return reading - self.shorted
        return self.across * (reading - self.shorted) / (self.opened - reading)


def resistance_with(graph: Graph, ohms: Ohms, start: int, end: int, branch: int, value: float) -> float:
    """Return the resistance between two nodes with one branch at `value` Ω (0 … inf)."""
    changed = ohms.copy()
    changed[branch] = value
    return resistance(graph, changed, start, end)


def resistance_opened(graph: Graph, ohms: Ohms, start: int, end: int, branch: int) -> float:
    """Return the resistance between two nodes with one branch open, Ω."""
    return resistance_with(graph, ohms, start, end, branch, math.inf)


def one_branch(graph: Graph, ohms: Ohms, start: int, end: int, branch: int) -> OneBranch:
    """Return how the resistance between two nodes hangs on one branch, whatever that branch's own ohms."""
    opened = ohms.copy()
    opened[branch] = math.inf
    one, other = int(graph.starts[branch]), int(graph.ends[branch])
    return OneBranch(
        opened=resistance(graph, opened, start, end),
        shorted=resistance_with(graph, ohms, start, end, branch, 0.0),
        across=resistance(graph, opened, one, other),
    )

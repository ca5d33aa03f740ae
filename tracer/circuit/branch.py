"""What the kinds hand to the network: branches with limits, and branches that share one total."""

from __future__ import annotations

import math
from dataclasses import dataclass

from tracer.circuit.limits import Limit

__all__ = ["OPEN", "Branch", "Effect", "Split"]

OPEN = Limit(math.inf, math.inf, math.inf)
"""An open contact, an empty socket, a lifted terminal."""


@dataclass(frozen=True, slots=True)
class Branch:
    """One two-ended piece of an element.

    Attributes
    ----------
    name : str
        The element's reference when it is its only branch, else reference, dot and the two terminals:
        ``"P1.1-w"``.
    part : str
        The element's reference.
    start, end : str
        Node names.
    low, high : float
        Ω, 0 … inf, both ends taken in.
    expected : float or None
        Ω; None where nothing tells.
    farads : float
        Highest capacitance across it, F; 0 if none. A branch with some is open once charged.
    reverse_low : float or None
        For a rectifying junction, its anode at `start`: Ω at least while blocked, see
        `tracer.circuit.polarity`. None for all else.
    polarised : bool
        Whether it is a capacitor that stands its volts one way only, its positive end at `start`.
    """

    name: str
    part: str
    start: str
    end: str
    low: float
    expected: float | None
    high: float
    farads: float = 0.0
    reverse_low: float | None = None
    polarised: bool = False

    @property
    def is_open(self) -> bool:
        """Whether it never conducts: an open contact, an empty socket, a lifted terminal."""
        return math.isinf(self.low)

    @property
    def blocks(self) -> bool:
        """Whether a steady current cannot pass: open, or a capacitor."""
        return self.is_open or self.farads > 0.0


@dataclass(frozen=True, slots=True)
class Split:
    """Branches in series that share one total in an unknown way: a pot's halves, a tapped winding.

    Attributes
    ----------
    part : str
        The element's reference.
    branches : tuple of str
        Names of the branches, in series.
    total : Limit
        Ω of all of them together.
    least : float
        The least fraction of the total that any one branch has.
    shaft : str or None
        Pots with the same word turn together; those of one law divide alike.
    law : str
        How a pot's division goes with the turn of its shaft (`tracer.circuit.laws`).
    """

    part: str
    branches: tuple[str, ...]
    total: Limit
    least: float
    shaft: str | None = None
    law: str = "lin"


@dataclass(frozen=True, slots=True)
class Effect:
    """What one element does to an ohmmeter: its branches, its unknown splits, and what a person
    should know of it, each to be read after its reference and a colon. `branch_notes` are for pairs through
    one of its branches alone, each with that branch's name."""

    branches: tuple[Branch, ...] = ()
    splits: tuple[Split, ...] = ()
    notes: tuple[str, ...] = ()
    branch_notes: tuple[tuple[str, str], ...] = ()

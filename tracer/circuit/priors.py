"""How likely each cause is before any reading: the table ``shared/priors.json``, which a user may edit."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from tracer.errors import BadValue
from tracer.resources import shared

__all__ = ["Priors", "load_priors", "of_kind"]

_WILD = math.log(100.0)


@dataclass(frozen=True, slots=True)
class Priors:
    """The table as read; see `load_priors`. All figures are relative, common practice.

    Attributes
    ----------
    as_expected, untellable, pair, join : float
    doubtful_times : float
        What an element's figure is multiplied by while it is doubtful already.
    slips : mapping of str to float
        A bank at another position, a lead on another pin, and the like.
    open, short, drifted, leaky, reversed, contact : mapping of str to float
        By kind of part; ``other kinds`` stands for the rest.
    drift : mapping of str to float
        How values drift: the part that goes up, the mean drift up and down as a natural logarithm, and
        the part that may end at anything from a hundredth to a hundred times the value.
    """

    as_expected: float
    untellable: float
    pair: float
    join: float
    doubtful_times: float
    slips: Mapping[str, float]
    open: Mapping[str, float]
    short: Mapping[str, float]
    drifted: Mapping[str, float]
    leaky: Mapping[str, float]
    reversed: Mapping[str, float]
    contact: Mapping[str, float]
    drift: Mapping[str, float]

    def drift_chance(self, nominal: float, low: float, high: float) -> float:
        """Return how likely a drifted part is to end between `low` and `high` Ω.

        Drifts up and down fall off exponentially in the logarithm of the value.
        """
        if nominal <= 0.0 or high <= low:
            return 0.0
        up, above, below = self.drift["up"], self.drift["up_spread"], self.drift["down_spread"]
        ends = [math.log(value / nominal) if value > 0.0 else -math.inf for value in (low, high)]
        risen = [math.exp(-max(0.0, end) / above) for end in ends]
        fallen = [math.exp(min(0.0, end) / below) for end in ends]
        drifted = up * (risen[0] - risen[1]) + (1.0 - up) * (fallen[1] - fallen[0])
        clipped = [min(_WILD, max(-_WILD, end)) for end in ends]
        anything = self.drift["anything"]
        return (1.0 - anything) * drifted + anything * (clipped[1] - clipped[0]) / (2.0 * _WILD)


def of_kind(table: Mapping[str, float], kind: str) -> float:
    """Return a kind's figure, or that of the other kinds."""
    return table.get(kind, table.get("other kinds", 0.0))


def load_priors(path: Path | None = None) -> Priors:
    """Read a table of priors, by default ``shared/priors.json``.

    Raises
    ------
    BadValue
        The file is no such table: a figure is missing, negative, or no number.
    """
    source = path or shared("priors.json")
    try:
        data = json.loads(source.read_text(encoding="utf-8"))
        data.pop("about", None)
        priors = Priors(**data)
        tables = [value if isinstance(value, dict) else {"": value} for value in data.values()]
        fine = all(0.0 <= float(figure) < math.inf for table in tables for figure in table.values())
    except (ValueError, TypeError, AttributeError) as error:
        raise BadValue(f"{source} is no table of priors: {error}") from error
    if not fine:
        raise BadValue(f"{source} holds a figure below 0; every figure must be 0 or more.")
    return priors

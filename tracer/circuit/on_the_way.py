"""What a line of expected ohms says of the parts on the way: their shares, and what to know of them."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from tracer.circuit.from_start import FromStart, Nominal
from tracer.circuit.polarity import backward_capacitors
from tracer.circuit.results import Share
from tracer.circuit.settle import LONGEST

__all__ = ["notes", "shares"]

_WIRES = frozenset({"wire", "bond", "link", "chassis", "label"})
_WIRE_SHARE, _PART_SHARE = 5e-3, 1e-4
"""A wire is named on the way only from the one share on, any other part from the other."""
_CLIMBS = 1.0
"""Seconds of settling from which what an earlier reading left in a capacitor shows (our own line)."""
_NAMED = 6
"""A note names at most so many parts."""


def shares(here: FromStart, kinds: Mapping[str, str], nominal: Nominal, end: int) -> tuple[Share, ...]:
    """Return each part's r·i² as a fraction of the whole, largest first (Tellegen's theorem)."""
    whole, ohms, currents = nominal.whole, nominal.branch_ohms, nominal.currents
    wires_alone = whole == 0.0
    if wires_alone:
        at_most = here.highest(end)
        whole, ohms, currents = at_most.ohms, here.network.high, at_most.currents
    if whole == 0.0 or math.isinf(whole):
        return ()
    power = np.where(currents != 0.0, currents**2 * np.where(np.isfinite(ohms), ohms, 0.0), 0.0)
    parts = here.network.parts
    sums = np.bincount(here.network.part_of, power, len(parts)) / whole
    large = np.flatnonzero(sums > _PART_SHARE)
    named = [
        Share(parts[place], share)
        for place, share in zip(large.tolist(), sums[large].tolist(), strict=True)
        if share > _least_share(kinds.get(parts[place], ""), wires_alone)
    ]
    return tuple(sorted(named, key=lambda each: (-round(each.share, 9), each.part)))


def _least_share(kind: str, wires_alone: bool) -> float:
    """Return from which share on a part is named; where 0 Ω is expected, limits alone are compared."""
    if kind in _WIRES:
        return math.inf if wires_alone else _WIRE_SHARE
    return 10.0 * _WIRE_SHARE if wires_alone else _PART_SHARE


def notes(here: FromStart, end: int, wait: float, *, ends_open: bool) -> tuple[str, ...]:
    """Return sentences about the parts on the way and about waiting.

    Parameters
    ----------
    ends_open : bool
        Whether the pair should end open but for what sound parts may leak.
    """
    network = here.network
    leaks = here.reaching(end) & np.isinf(network.expected)
    which, about = network.noted
    met = here.conducting(end)[about]
    said: dict[str, dict[str, None]] = {}
    for place, number in zip(which[met].tolist(), about[met].tolist(), strict=True):
        said.setdefault(network.notes[place][1], {})[network.branches[number].part] = None
    found = [f"{_listed(list(names))}: {note}." for note, names in said.items()]
    backward = [
        number for number in backward_capacitors(network, here.start, end) if here.reaching(end)[number]
    ]
    if backward:
        names = _listed(list(dict.fromkeys(network.branches[number].part for number in backward)))
        found.append(
            f"{names}: the leads are the wrong way round for it and it may read falsely low, swap them."
        )
    if wait >= _CLIMBS:
        found.append(
            "Charge left by an earlier reading may make it fall instead: wait until it stands still."
        )
    if wait >= LONGEST:
        found.append("The reading may climb for over an hour.")
    leaky = list(dict.fromkeys(network.branches[number].part for number in np.flatnonzero(leaks).tolist()))
    if ends_open:
        found.append(f"Should end open, but for what sound parts leak: {_listed(leaky)}.")
    return tuple(found)


def _listed(names: Sequence[str]) -> str:
    shown = ", ".join(names[:_NAMED])
    return shown if len(names) <= _NAMED else f"{shown} and {len(names) - _NAMED} more"

"""What a line of expected ohms says of the parts on the way: their shares, and what to know of them."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from tracer.circuit.from_start import FromStart, Nominal
from tracer.circuit.network import Network
from tracer.circuit.polarity import backward_capacitors
from tracer.circuit.results import Share
from tracer.circuit.settle import LONGEST

__all__ = ["notes", "shares", "wire_parts"]

_WIRES = frozenset({"wire", "bond", "link", "chassis", "label"})
_WIRE_SHARE, _PART_SHARE = 5e-3, 1e-4
"""A wire is named on the way only from the one share on, any other part from the other."""
_CLIMBS = 1.0
"""Seconds of settling from which what an earlier reading left in a capacitor shows (our own line)."""
_NAMED = 6
"""A note names at most so many parts."""


def shares(here: FromStart, wires: NDArray[np.bool_], nominal: Nominal, end: int) -> tuple[Share, ...]:
    """Return each part's r·i² as a fraction of the whole, largest first (Tellegen's theorem).

    Parameters
    ----------
    wires : (p,) bool
        What `wire_parts` gave.
    """
    whole, ohms, currents = nominal.whole, nominal.branch_ohms, nominal.currents
    least = np.where(wires, _WIRE_SHARE, _PART_SHARE)
    if whole == 0.0:
        # Where 0 Ω is expected, limits alone are compared.
        at_most = here.highest(end)
        whole, ohms, currents = at_most.ohms, here.network.high, at_most.currents
        least = np.where(wires, math.inf, 10.0 * _WIRE_SHARE)
    if whole == 0.0 or math.isinf(whole):
        return ()
    used = np.flatnonzero((currents != 0.0) & np.isfinite(ohms))
    power = currents[used] ** 2 * ohms[used]
    parts = here.network.parts
    found = np.bincount(here.network.part_of[used], power, len(parts)) / whole
    large = np.flatnonzero(found > least)
    order = large[np.lexsort((here.network.part_rank[large], -np.round(found[large], 9)))]
    return tuple(
        Share(parts[place], share) for place, share in zip(order.tolist(), found[order].tolist(), strict=True)
    )


def wire_parts(network: Network, kinds: Mapping[str, str]) -> NDArray[np.bool_]:
    """Return (p,) bool: which of `Network.parts` are wires, bonds and the like, given each one's kind."""
    return np.array([kinds.get(part) in _WIRES for part in network.parts], dtype=np.bool_)


def notes(here: FromStart, end: int, wait: float, *, ends_open: bool) -> tuple[str, ...]:
    """Return sentences about the parts on the way and about waiting.

    Parameters
    ----------
    ends_open : bool
        Whether the pair should end open but for what sound parts may leak.
    """
    network = here.network
    which, about = network.noted
    met = here.conducting(end)[about]
    said: dict[str, dict[str, None]] = {}
    for place, number in zip(which[met].tolist(), about[met].tolist(), strict=True):
        said.setdefault(network.notes[place][1], {})[network.branches[number].part] = None
    found = [f"{_listed(list(names))}: {note}." for note, names in said.items()]
    backward = [
        number
        for number in backward_capacitors(network, here.start, end)
        if here.reaching(end)[number] and here.falls(end, number)
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
    if ends_open:
        leaks = np.flatnonzero(here.reaching(end) & np.isinf(network.expected))
        leaky = list(dict.fromkeys(network.branches[number].part for number in leaks.tolist()))
        found.append(f"Should end open, but for what sound parts leak: {_listed(leaky)}.")
    return tuple(found)


def _listed(names: Sequence[str]) -> str:
    shown = ", ".join(names[:_NAMED])
    return shown if len(names) <= _NAMED else f"{shown} and {len(names) - _NAMED} more"

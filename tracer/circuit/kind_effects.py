"""What each kind of part does to an ohmmeter: resistors, pots, capacitors, windings, wires.

`effect_of` is the door for every kind; `tracer.circuit.kind_devices` holds valves, contacts and the like.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

from tracer.circuit import kind_devices as devices
from tracer.circuit import limits
from tracer.circuit.branch import Effect, Split
from tracer.circuit.elements import CHASSIS
from tracer.circuit.laws import law_of
from tracer.circuit.limits import Limit
from tracer.circuit.ratings import nominal, rated, toleranced, untold_note
from tracer.circuit.stand import Stand

__all__ = ["effect_of"]


def effect_of(stand: Stand) -> Effect:
    """Return the branches, splits and notes of one element as it stands.

    A kind that is not known is taken for a box of which nothing is known.

    Raises
    ------
    BadValue
        A printed value, tolerance or option cannot be read as the kind's unit.
    """
    return _KINDS.get(stand.element.kind, devices.unknown_box)(stand)


def _resistor(stand: Stand) -> Effect:
    limit, notes = toleranced(stand, "ohm", limits.RESISTOR)
    return Effect((stand.branch("1", "2", limit, only=True),), (), notes)


def _thermistor(stand: Stand) -> Effect:
    limit, notes = toleranced(stand, "ohm", limits.THERMISTOR)
    return Effect((stand.branch("1", "2", limit, only=True),), (), notes)


def _relay_coil(stand: Stand) -> Effect:
    limit, notes = toleranced(stand, "ohm", limits.TRANSFORMER)
    return Effect((stand.branch("1", "2", limit, only=True),), (), notes)


def _pot(stand: Stand) -> Effect:
    """Two halves in series, and the wiper that rests between them; with its place unknown they share the
    total in an unknown way."""
    total, notes = toleranced(stand, "ohm", limits.RESISTOR)
    reference, track = stand.element.reference, f"{stand.element.reference} track"
    wiper = stand.branch_to("w", track, limits.WIPER.times(total.high), name=f"{reference}.w")
    if stand.wiper is not None:
        at = stand.wiper
        halves = (_fraction(total, at), _fraction(total, 1.0 - at))
    else:
        halves = (Limit(0.0, None, total.high), Limit(0.0, None, total.high))
    branches = (
        stand.branch_to("1", track, halves[0], name=f"{reference}.1-w"),
        stand.branch_from(track, "2", halves[1], name=f"{reference}.w-2"),
        wiper,
    )
    if stand.wiper is not None or stand.out:
        return Effect(branches, (), () if stand.out else notes)
    shaft = stand.element.option("shaft")
    law = law_of(stand.element.option("law") or "lin")
    split = Split(reference, (branches[0].name, branches[1].name), total, 0.0, shaft, law)
    return Effect(branches, (split,), (*notes, "its wiper may stand anywhere"))


def _fraction(total: Limit, part: float) -> Limit:
    # 0 × inf must stay 0.
    return total.times(part) if part > 0.0 else Limit(0.0, 0.0, 0.0)


def _capacitor(stand: Stand) -> Effect:
    """Open once charged, but for the leakage that a sound one may have."""
    element = stand.element
    names = tuple(name for name, _ in element.terminals)
    start, end = ("+", "-") if "+" in names else ("1", "2")
    farads, spread, notes = nominal(stand, "farad")
    if farads is None:
        leak = limits.POLARISED_SECONDS / 100e-6 if _electrolytic(stand, None) else limits.FILM_OHMS
        notes = ("no value is given, so how long a reading climbs is not known",)
        return Effect(
            (stand.branch(start, end, Limit(leak, math.inf, math.inf), only=True, farads=1e-15),), (), notes
        )
    most = farads * (1.0 + spread)
    if _electrolytic(stand, farads):
        leak = limits.POLARISED_SECONDS / most
    else:
        leak = min(limits.FILM_OHMS, limits.FILM_SECONDS / most)
    branch = stand.branch(start, end, Limit(leak, math.inf, math.inf), only=True, farads=most)
    return Effect((replace(branch, polarised=start == "+"),))


def _electrolytic(stand: Stand, farads: float | None) -> bool:
    make = (stand.element.option("type") or "").lower()
    if make:
        return make.startswith(("elec", "tant", "polar"))
    names = {name for name, _ in stand.element.terminals}
    return "+" in names or (farads is not None and farads >= limits.LEAST_ELECTROLYTIC_FARADS)


def _coil(stand: Stand) -> Effect:
    henries, _, _ = nominal(stand, "henry")
    untold = limits.RADIO_COIL if henries is not None and henries < 10e-3 else limits.WINDING
    limit, notes = rated(stand, "ohms", untold)
    return Effect((stand.branch("1", "2", limit, only=True),), (), notes)


def _transformer(stand: Stand) -> Effect:
    """Each winding is its terminals in series, in the order they are written: ``sec.1 sec.tap sec.2``."""
    windings: dict[str, list[str]] = {}
    for terminal, _ in stand.element.terminals:
        windings.setdefault(terminal.rpartition(".")[0], []).append(terminal)
    effects = [_winding(stand, name, terminals) for name, terminals in windings.items()]
    return Effect(
        tuple(branch for effect in effects for branch in effect.branches),
        tuple(split for effect in effects for split in effect.splits),
        tuple(note for effect in effects for note in effect.notes),
    )


def _winding(stand: Stand, name: str, terminals: list[str]) -> Effect:
    pairs = list(pairwise(terminals))
    if not pairs:
        return Effect()
    key = f"ohms.{name}" if name else "ohms"
    sections = (stand.element.option(key) or "").split("+")
    if len(pairs) > 1 and len(sections) == len(pairs):
        told = [rated(stand, key, limits.TRANSFORMER, text=section) for section in sections]
        branches = [stand.branch(*pair, limit) for pair, (limit, _) in zip(pairs, told, strict=True)]
        return Effect(tuple(branches), (), told[0][1])
    total, notes = rated(stand, key, limits.TRANSFORMER)
    if len(pairs) == 1:
        return Effect((stand.branch(*pairs[0], total),), (), notes)
    least = limits.LEAST_HALF if len(pairs) == 2 and _is_centre(terminals[1]) else limits.LEAST_TAP
    most = 1.0 - least * (len(pairs) - 1)
    half = total.expected / 2 if total.expected is not None and least == limits.LEAST_HALF else None
    section = Limit(total.low * least, half, total.high * most)
    branches = [stand.branch(*pair, section) for pair in pairs]
    if stand.out:
        return Effect(tuple(branches), (), notes)
    names = tuple(branch.name for branch in branches)
    split = Split(stand.element.reference, names, total, least)
    return Effect(tuple(branches), (split,), notes)


def _is_centre(terminal: str) -> bool:
    return terminal.rpartition(".")[2].lower() in {"ct", "tap", "centre", "center", "c", "mid"}


def _joined(limit: Limit) -> Callable[[Stand], Effect]:
    return lambda stand: Effect((stand.branch("1", "2", limit, only=True),))


def _chassis(stand: Stand) -> Effect:
    return Effect((stand.branch_to("1", CHASSIS, limits.BOND, only=True),))


def _label(stand: Stand) -> Effect:
    """Join its node to the rail or name that it bears."""
    if not stand.element.value:
        return Effect((), (), ("it bears no name and joins nothing",))
    return Effect((stand.branch_to("1", stand.element.value, limits.BOND, only=True),))


def _meter(stand: Stand) -> Effect:
    limit, notes = rated(stand, "ohms", limits.METER)
    return Effect((stand.branch("+", "-", limit, only=True),), (), notes)


def _speaker(stand: Stand) -> Effect:
    told = stand.element.option("ohms")
    if told is not None:
        limit, notes = rated(stand, "ohms", limits.SPEAKER)
        return Effect((stand.branch("1", "2", limit, only=True),), (), notes)
    impedance, _, _ = nominal(stand, "ohm")
    if impedance is None:
        note = untold_note("impedance", limits.SPEAKER)
        return Effect((stand.branch("1", "2", limits.SPEAKER, only=True),), (), (note,))
    return Effect((stand.branch("1", "2", limits.SPEAKER_RATIO.times(impedance), only=True),))


_KINDS: dict[str, Callable[[Stand], Effect]] = {
    "resistor": _resistor,
    "thermistor": _thermistor,
    "relay coil": _relay_coil,
    "pot": _pot,
    "capacitor": _capacitor,
    "coil": _coil,
    "transformer": _transformer,
    "wire": _joined(limits.WIRE),
    "bond": _joined(limits.BOND),
    "link": _joined(limits.BOND),
    "chassis": _chassis,
    "label": _label,
    "meter": _meter,
    "speaker": _speaker,
    **devices.KINDS,
}

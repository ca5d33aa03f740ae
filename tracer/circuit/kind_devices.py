"""What valves, contacts, junctions, fuses, lamps and boxes do to an ohmmeter."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from itertools import pairwise
from types import MappingProxyType

from tracer.circuit import limits
from tracer.circuit.branch import OPEN, Branch, Effect
from tracer.circuit.limits import Limit
from tracer.circuit.ratings import hot_ohms, untold_note
from tracer.circuit.stand import Stand, condition_holds
from tracer.circuit.values import parse_value

__all__ = ["KINDS", "unknown_box"]

_HEATER = re.compile(r"[hf](?:ct|[0-9+-])?", re.IGNORECASE)

_TWIN = re.compile(r"a|p|anode|plate|d|g|grid", re.IGNORECASE)


def unknown_box(stand: Stand) -> Effect:
    """Make a box of which nothing is known: every pin may be joined to every other, or to none.

    A star to a point inside it stands for all the pairs: all its legs at 0 Ω join them, at ∞ part them.
    """
    reference = stand.element.reference
    pins = [terminal for terminal, _ in stand.element.terminals]
    if len(pins) == 2:
        legs: tuple[Branch, ...] = (stand.branch(pins[0], pins[1], limits.UNKNOWN, only=True),)
    else:
        inside = f"{reference} inside"
        legs = tuple(stand.branch_to(pin, inside, limits.UNKNOWN) for pin in pins)
    note = "what it shows between its pins is not known, take it out for a sure reading"
    return Effect(legs, (), () if stand.out else (note,))


def _open(stand: Stand) -> Effect:
    pins = [terminal for terminal, _ in stand.element.terminals]
    return Effect((stand.branch(pins[0], pins[1], OPEN, only=True),) if len(pins) > 1 else ())


def _plug(stand: Stand) -> Effect:
    """Nothing joins a plug's pins inside it."""
    return Effect()


def _junction_limit(stand: Stand) -> Limit:
    """Between conducting at the meter's full test current and not at all."""
    current = stand.meter.current
    low = limits.FORWARD_VOLTS / current if current > 0.0 else float("inf")
    return Limit(low, None, float("inf"))


def _junction(stand: Stand) -> Effect:
    branch = stand.branch("a", "k", _junction_limit(stand), only=True)
    return Effect((replace(branch, reverse_low=_blocked(stand)),), (), _one_way(stand))


def _blocked(stand: Stand) -> float:
    if (stand.element.option("type") or "").lower().startswith("si"):
        return limits.BLOCKED_SILICON
    return limits.BLOCKED_DIODE if stand.element.kind == "diode" else limits.BLOCKED_RECTIFIER


def _one_way(stand: Stand) -> tuple[str, ...]:
    note = "it conducts one way only and not in proportion, swap the leads to see both ways"
    return () if stand.out else (note,)


def _bridge(stand: Stand) -> Effect:
    limit = _junction_limit(stand)
    pairs = [("ac1", "+"), ("ac2", "+"), ("-", "ac1"), ("-", "ac2")]
    branches = (stand.branch(*pair, limit) for pair in pairs if set(pair) <= set(stand.nodes))
    return Effect(tuple(replace(each, reverse_low=_blocked(stand)) for each in branches), (), _one_way(stand))


def _valve(stand: Stand) -> Effect:
    """In its socket: pins of one electrode joined inside, the heater cold; all else open. Out: all open."""
    electrodes: dict[str, list[str]] = {}
    for terminal, _ in stand.element.terminals:
        electrodes.setdefault(terminal.partition("/")[0], []).append(terminal)
    heater = [pin for electrode, pins in electrodes.items() if _HEATER.fullmatch(electrode) for pin in pins]
    # A centre tap may be written in any place: it lies in the middle.
    heater = [*heater[:1], *sorted(heater[1:], key=lambda pin: "ct" not in pin.lower())]
    tied = {name: pins for name, pins in electrodes.items() if not _HEATER.fullmatch(name)}
    branches = [stand.branch(pins[0], pin, limits.BOND) for pins in tied.values() for pin in pins[1:]]
    doubts = _twin_notes(stand, tied)
    limit, notes = _heater_limit(stand)
    if len(heater) > 1:
        steps = len(heater) - 1
        branches += [stand.branch(one, other, limit.times(1.0 / steps)) for one, other in pairwise(heater)]
    return Effect(tuple(branches), (), notes if len(heater) > 1 and not stand.out else (), doubts)


def _twin_notes(stand: Stand, electrodes: Mapping[str, list[str]]) -> tuple[tuple[str, str], ...]:
    """Return a note on each tie inside a valve that may be a double one whose halves bear the same names.

    A second pin for a cathode or a screen is common; one for an anode, or for a grid without a number, is
    rare in a valve of one system (common practice).
    """
    if not any(_TWIN.fullmatch(name) and len(pins) > 1 for name, pins in electrodes.items()):
        return ()
    return tuple(
        (
            f"{stand.element.reference}.{pins[0]}-{pin}",
            f"{name} on pins {pins[0].rpartition('/')[2]} and {pin.rpartition('/')[2]} is taken as one "
            f"electrode; name them {name}1 and {name}2 if they are two",
        )
        for name, pins in electrodes.items()
        for pin in pins[1:]
    )


def _heater_limit(stand: Stand) -> tuple[Limit, tuple[str, ...]]:
    volts, _, amps = (stand.element.option("heater") or "").partition("/")
    hot = hot_ohms(volts, amps)
    if hot is not None:
        return limits.COLD_HEATER.times(hot), ()
    return limits.HEATER, (untold_note("rating of the heater", limits.HEATER),)


def _contact(stand: Stand) -> Effect:
    """Common to make while the condition holds, else common to break."""
    element = stand.element
    condition = element.option("closed")
    if condition is None:
        make = rest = limits.UNKNOWN
        notes: tuple[str, ...] = ("it does not say when it is closed, so it may be either",)
    else:
        closed = condition_holds(condition, stand.banks, element)
        make, rest = (limits.CLOSED_CONTACT, OPEN) if closed else (OPEN, limits.CLOSED_CONTACT)
        notes = ()
    both = {"make", "break"} <= set(stand.nodes)
    branches = [
        stand.branch("common", terminal, limit, only=not both)
        for terminal, limit in (("make", make), ("break", rest))
        if terminal in stand.nodes
    ]
    return Effect(tuple(branches), (), notes)


def _jack(stand: Stand) -> Effect:
    """With no plug in it, its break contacts rest on their springs; ``plugged`` in its line opens them."""
    limit = OPEN if stand.element.option("plugged") is not None else limits.CLOSED_CONTACT
    branches = []
    for terminal in stand.nodes:
        if "break" in terminal:
            spring = terminal.replace("break", "").strip("._-") or "tip"
            if spring in stand.nodes:
                branches.append(stand.branch(spring, terminal, limit))
    return Effect(tuple(branches))


def _fuse(stand: Stand) -> Effect:
    amps = parse_value(stand.element.value, "ampere") if stand.element.value else 0.0
    if amps > 0.0:
        return Effect((stand.branch("1", "2", limits.COLD_FUSE.times(1.0 / amps), only=True),))
    note = untold_note("rating", limits.FUSE)
    return Effect((stand.branch("1", "2", limits.FUSE, only=True),), (), (note,))


def _lamp(stand: Stand) -> Effect:
    element = stand.element
    hot = hot_ohms(element.value, element.option("amps"))
    watts = element.option("watts")
    if hot is None and element.value and watts:
        power = float(watts.lower().rstrip("w ") or 0.0)
        hot = parse_value(element.value, "volt") ** 2 / power if power > 0.0 else None
    if hot is not None:
        return Effect((stand.branch("1", "2", limits.COLD_LAMP.times(hot), only=True),))
    note = untold_note("volts and amperes", limits.LAMP)
    return Effect((stand.branch("1", "2", limits.LAMP, only=True),), (), (note,))


def _varistor(stand: Stand) -> Effect:
    return Effect((stand.branch("1", "2", limits.VARISTOR, only=True),))


def _battery(stand: Stand) -> Effect:
    note = "take it out before measuring, its volts upset the meter"
    branch = stand.branch("+", "-", limits.BATTERY, only=True)
    return Effect((branch,), (), () if stand.out else (note,))


KINDS: Mapping[str, Callable[[Stand], Effect]] = MappingProxyType(
    {
        "valve": _valve,
        "contact": _contact,
        "jack": _jack,
        "plug": _plug,
        "diode": _junction,
        "rectifier": _junction,
        "bridge": _bridge,
        "transistor": unknown_box,
        "block": unknown_box,
        "other": unknown_box,
        "fuse": _fuse,
        "lamp": _lamp,
        "varistor": _varistor,
        "battery": _battery,
        "neon": _open,
        "crystal": _open,
    }
)

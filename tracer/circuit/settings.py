"""Settings: where every switch stands, what is out of its socket, what is lifted."""

from __future__ import annotations

import difflib
import math
from collections.abc import Iterator, Sequence
from itertools import combinations, product

from tracer.circuit.conditions import NONE_PRESSED
from tracer.circuit.elements import Bank, BankStyle, Circuit, Setting
from tracer.circuit.points import find_terminal
from tracer.errors import BadValue, UnknownPoint, UnknownPosition

__all__ = ["describe_setting", "every_setting", "parse_setting", "positions_of"]


def parse_setting(
    circuit: Circuit,
    banks: Sequence[str] = (),
    out: Sequence[str] = (),
    lifted: Sequence[str] = (),
    wipers: Sequence[str] = (),
) -> Setting:
    """Return the setting that words such as ``INPUT=Disc`` describe.

    Parameters
    ----------
    circuit : Circuit
    banks : sequence of str
        ``BANK=Position``; several independent switches as ``BANK=A,C``, none pressed as ``BANK=none``.
    out : sequence of str
        References of parts out of their sockets.
    lifted : sequence of str
        Terminals taken off their node, ``"R7.1"``.
    wipers : sequence of str
        ``P1=0.5``: 0 at terminal 1, 1 at terminal 2.

    Raises
    ------
    UnknownPosition
        No such bank or position; the message lists those that exist.
    UnknownPoint
        No such part or terminal; the message lists near names.
    BadValue
        A wiper's place is no number from 0 to 1.
    """
    stands = dict(_bank_position(circuit, text) for text in banks)
    terminals = [find_terminal(circuit, name) for name in lifted]
    return Setting(
        banks=stands,
        out=frozenset(_reference(circuit, name) for name in out),
        lifted=frozenset(f"{element.reference}.{terminal}" for element, terminal in terminals),
        wipers=dict(_wiper(circuit, text) for text in wipers),
    )


def _bank_position(circuit: Circuit, text: str) -> tuple[str, str]:
    name, equals, position = (part.strip() for part in text.partition("="))
    bank = next((bank for bank in circuit.banks if bank.name.casefold() == name.casefold()), None)
    if bank is None:
        listed = ", ".join(bank.name for bank in circuit.banks) or "none"
        raise UnknownPosition(f"No switch bank {name!r}; the banks are: {listed}.")
    known = {known.casefold(): known for known in bank.positions}
    if bank.style is not BankStyle.ROTARY:
        known.setdefault(NONE_PRESSED, "")
    wanted = position.split(",") if bank.style is BankStyle.INDEPENDENT else [position]
    found = [known.get(part.strip().casefold()) for part in wanted]
    if not equals or None in found or (len(found) > 1 and "" in found):
        raise UnknownPosition(
            f"Bank {bank.name} has no position {position!r}; it has {', '.join(bank.positions)}"
            f"{'' if bank.style is BankStyle.ROTARY else ' and none'}. "
            f"Write it like {bank.name}={bank.positions[0]}."
        )
    return bank.name, ",".join(part for part in found if part)


def _reference(circuit: Circuit, name: str) -> str:
    known = {element.reference.casefold(): element.reference for element in circuit.elements}
    exact = {element.reference for element in circuit.elements}
    if name in exact:
        return name
    if name.casefold() in known:
        return known[name.casefold()]
    near = [known[key] for key in difflib.get_close_matches(name.casefold(), known, n=5, cutoff=0.5)]
    hint = f" Near it: {', '.join(near)}." if near else ""
    raise UnknownPoint(f"No part {name!r} in this circuit.{hint}")


def _wiper(circuit: Circuit, text: str) -> tuple[str, float]:
    name, _, place = (part.strip() for part in text.partition("="))
    reference = _reference(circuit, name)
    try:
        number = float(place)
    except ValueError:
        number = math.nan
    if not 0 <= number <= 1:
        raise BadValue(f"{text!r} is no place of a wiper. Write it like P1=0.5, from 0 (terminal 1) to 1.")
    return reference, number


def positions_of(bank: Bank) -> tuple[str, ...]:
    """Return all that a bank can stand at, the default first.

    Keys may also be all out, which is the empty text; independent switches stand at every combination,
    ``"A,C"``.
    """
    if bank.style is BankStyle.ROTARY:
        return bank.positions
    if bank.style is BankStyle.KEYS:
        return (*bank.positions, "")
    several = [
        ",".join(chosen)
        for count in range(2, len(bank.positions) + 1)
        for chosen in combinations(bank.positions, count)
    ]
    return (*bank.positions, "", *several)


def every_setting(circuit: Circuit, most: int = 256) -> Iterator[Setting]:
    """Yield a setting for every combination of bank positions, the default first.

    Where there would be more than `most`, each bank is turned by itself, the others at their defaults.
    """
    choices = [positions_of(bank) if len(bank.positions) <= 8 else bank.positions for bank in circuit.banks]
    names = [bank.name for bank in circuit.banks]
    defaults = [bank.positions[0] for bank in circuit.banks]
    if math.prod(len(positions) for positions in choices) <= most:
        yield from (Setting(banks=dict(zip(names, chosen, strict=True))) for chosen in product(*choices))
        return
    yield Setting(banks=dict(zip(names, defaults, strict=True)))
    for name, positions in zip(names, choices, strict=True):
        for position in positions[1:]:
            yield Setting(banks={**dict(zip(names, defaults, strict=True)), name: position})


def describe_setting(circuit: Circuit, setting: Setting) -> str:
    """Return a setting in words: ``"INPUT at Disc, V4 out, R7.1 lifted, P1 at 0"``."""
    parts = [
        f"{bank.name} at {stands.replace(',', ' and ') or NONE_PRESSED}"
        for bank in circuit.banks
        for stands in [setting.banks.get(bank.name, bank.positions[0])]
    ]
    parts += [f"{reference} out" for reference in sorted(setting.out)]
    parts += [f"{terminal} lifted" for terminal in sorted(setting.lifted)]
    parts += [f"{reference} at {place:g}" for reference, place in sorted(setting.wipers.items())]
    return ", ".join(parts) or "as the list stands"

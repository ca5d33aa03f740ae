"""How the set stands, typed in a few letters: ``INPUT Disc``, ``V4 out``, ``lift R7.1``."""

from __future__ import annotations

from dataclasses import replace

from tracer.circuit.elements import Circuit, Setting
from tracer.circuit.points import find_terminal
from tracer.circuit.settings import positions_of
from tracer.desk import words
from tracer.errors import TracerError

__all__ = ["typed_setting"]


def typed_setting(text: str, circuit: Circuit, setting: Setting) -> tuple[Setting, str] | None:
    """Return the setting that `text` makes of `setting`, and that in words; None where it says no such thing.

    Banks and positions may be cut short as long as one alone is meant.

    Examples
    --------
    >>> from tracer.circuit.wiring import parse_wiring
    >>> circuit = parse_wiring("bank INPUT: Mic, Gram, Tape", "example")
    >>> typed_setting("inp t", circuit, Setting())[1]
    'turn INPUT to Tape'
    """
    pieces = text.replace("=", " ").split()
    if len(pieces) < 2:
        return None
    first, rest = pieces[0], " ".join(pieces[1:])
    for made in (_lifted(pieces, circuit, setting), _plugged(first, rest, circuit, setting)):
        if made is not None:
            return made
    bank = _one(first, [bank.name for bank in circuit.banks])
    if bank is None:
        return None
    whole = next(each for each in circuit.banks if each.name == bank)
    position = _one(rest, [each or words.SAID_NONE for each in positions_of(whole)])
    if position is None:
        return None
    stands = "" if position == words.SAID_NONE and position not in whole.positions else position
    turned = replace(setting, banks={**setting.banks, bank: stands})
    return turned, words.SAID_TURN.format(bank=bank, position=position)


def _plugged(first: str, rest: str, circuit: Circuit, setting: Setting) -> tuple[Setting, str] | None:
    named = {element.reference.casefold(): element.reference for element in circuit.elements}
    reference = named.get(first.casefold())
    if reference is None or rest.casefold() not in (words.TYPED_IN, words.TYPED_OUT):
        return None
    if rest.casefold() == words.TYPED_IN:
        return replace(setting, out=setting.out - {reference}), words.SAID_IN.format(reference=reference)
    return replace(setting, out=setting.out | {reference}), words.SAID_OUT.format(reference=reference)


def _lifted(pieces: list[str], circuit: Circuit, setting: Setting) -> tuple[Setting, str] | None:
    if pieces[0].casefold() != words.TYPED_LIFT:
        return None
    try:
        found = [find_terminal(circuit, name.upper()) for name in pieces[1:]]
    except TracerError:
        return None
    ends = frozenset(f"{element.reference}.{terminal}" for element, terminal in found)
    said = words.SAID_LIFT.format(ends=", ".join(sorted(ends)))
    return replace(setting, lifted=setting.lifted | ends), said


def _one(text: str, names: list[str]) -> str | None:
    """Return the only name that `text` can mean: itself, or the only one that begins with it."""
    text = text.casefold()
    exact = [name for name in names if name.casefold() == text]
    begun = [name for name in names if name.casefold().startswith(text)]
    if exact:
        return exact[0]
    return begun[0] if len(begun) == 1 else None

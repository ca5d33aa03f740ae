"""What a hand has to do between one setting and the next."""

from __future__ import annotations

from tracer.circuit.elements import Circuit, Setting
from tracer.circuit.settings import describe_setting
from tracer.desk import words

__all__ = ["pieces_of_setting", "to_be_turned"]


def pieces_of_setting(circuit: Circuit, setting: Setting) -> tuple[str, ...]:
    """Return how the set stands, one piece for each thing: ``INPUT at Mic``, ``V4 out``; none where bare."""
    if not circuit.banks and setting == Setting():
        return ()
    return tuple(describe_setting(circuit, setting).split(", "))


def to_be_turned(circuit: Circuit, old: Setting, new: Setting) -> tuple[str, ...]:
    """Return what has to be turned, taken out, lifted or put back on the way from `old` to `new`.

    Examples
    --------
    >>> to_be_turned(Circuit(()), Setting(out=frozenset({"V4"})), Setting(lifted=frozenset({"R7.1"})))
    ('R7.1 lifted', 'V4 back in')
    """
    before = pieces_of_setting(circuit, old)
    back = [words.TURNED_IN.format(reference=name) for name in sorted(old.out - new.out)]
    back += [words.TURNED_BACK.format(end=name) for name in sorted(old.lifted - new.lifted)]
    return (*(piece for piece in pieces_of_setting(circuit, new) if piece not in before), *back)

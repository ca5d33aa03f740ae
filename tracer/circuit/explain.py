"""What may explain a reading, likeliest first, and which reading would tell each cause from the others."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from tracer.circuit.elements import Circuit
from tracer.circuit.evidence import Weighing
from tracer.circuit.expect import refuse_same_point
from tracer.circuit.faults import fault_guesses, join_guesses
from tracer.circuit.guess import Case, Guess
from tracer.circuit.pairs import pair_guesses
from tracer.circuit.priors import Priors, load_priors
from tracer.circuit.results import Cause, CauseKind, Meter, Reading, Verdict
from tracer.circuit.slips import slip_guesses
from tracer.circuit.split_faults import split_guesses
from tracer.circuit.telling import telling_reading

__all__ = ["explain"]

_LEAST_WEIGHT = 0.002
"""Causes of less weight than this are left out."""
_MOST = 12
_LEAST_CHANCE, _MOST_CHANCE = 1e-4, 0.05
"""What is not known may read anything, so any one figure is unlikely; OL counts as one such figure."""
_TOLD = 6
"""For so many of the likeliest causes the reading that would tell them is worked out."""


def explain(
    circuit: Circuit,
    reading: Reading,
    meter: Meter | None = None,
    doubtful: Iterable[str] = (),
    joins: Sequence[tuple[str, str, float]] = (),
    priors: Priors | None = None,
    known: Weighing | None = None,
) -> tuple[Cause, ...]:
    """Return the causes that would explain a reading, with weights that add up to 1.

    Each cause is one fault or one slip, the rest of the circuit anywhere within its limits; its weight is
    how likely it is before any reading (`load_priors`) times how likely it makes the reading. Pairs of
    faults are tried only where no single cause fits. A reading that passes has one cause: it is as expected.

    Parameters
    ----------
    circuit : Circuit
    reading : Reading
    meter : Meter, optional
    doubtful : iterable of str
        References of elements that are under suspicion already.
    joins : sequence of (str, str, float)
        Two nodes, and how sure the tracing is of what it read there, 0 to 1.
    priors : Priors, optional
    known : Weighing, optional
        Readings weighed before; it grows by this one.

    Raises
    ------
    UnknownPoint, SamePoint, UnknownPosition, BadValue, BadWiring
        As `tracer.circuit.expect.expect`.

    Examples
    --------
    >>> from tracer.circuit.elements import Setting
    >>> from tracer.circuit.wiring import parse_wiring
    >>> circuit = parse_wiring("resistor R7: 1=A 2=B; 220k; tol=10%")
    >>> explain(circuit, Reading("A", "B", 412e3, Setting()))[0].says
    'R7 would have to be 412k, 87 % high.'
    """
    weighing = Weighing.of(circuit, meter, known)
    case = _case(weighing, reading, frozenset(doubtful), priors or load_priors())
    guesses = _guesses(case, joins)
    total = math.fsum(guess.weight for guess in guesses)
    guesses = [guess for guess in guesses if guess.weight >= _LEAST_WEIGHT * total][:_MOST]
    total = math.fsum(guess.weight for guess in guesses)
    return tuple(
        Cause(
            kind=guess.kind,
            element=guess.element,
            setting=guess.setting,
            value=guess.value,
            weight=guess.weight / total,
            says=guess.says,
            then_measure=telling_reading(case, guess) if place < _TOLD else None,
        )
        for place, guess in enumerate(guesses)
    )


def _case(weighing: Weighing, reading: Reading, doubtful: frozenset[str], priors: Priors) -> Case:
    circuit, meter = weighing.circuit, weighing.meter
    refuse_same_point(weighing.corners(reading.setting).network, circuit, reading.start, reading.end)
    return Case(circuit, reading, meter, weighing.evidence(reading), priors, doubtful)


def _guesses(case: Case, joins: Sequence[tuple[str, str, float]]) -> list[Guess]:
    """Return every guess, of most weight first; never empty."""
    if case.evidence.verdict is Verdict.PASS:
        return [Guess(CauseKind.AS_EXPECTED, case.priors.as_expected, "The reading is as expected.")]
    faults = [*fault_guesses(case), *split_guesses(case), *join_guesses(case, joins)]
    guesses = [*_no_fault(case), *faults, *slip_guesses(case)]
    guesses = [guess for guess in guesses if guess.weight > 0.0]
    if not guesses:
        guesses = list(pair_guesses(case))
    says = "Nothing known explains it: look for a wire that the sheet does not show, or measure again."
    likely = max(_LEAST_CHANCE, min(_MOST_CHANCE, case.chance(0.0, case.meter.top)))
    guesses.append(Guess(CauseKind.UNTELLABLE, case.priors.untellable * likely, says))
    return sorted(guesses, key=lambda guess: -guess.weight)


def _no_fault(case: Case) -> list[Guess]:
    if case.evidence.verdict is not Verdict.CANNOT_TELL:
        return []
    says = "The reading is as expected, and so would be almost any other: it cannot be judged."
    return [Guess(CauseKind.AS_EXPECTED, case.priors.as_expected * case.chance(*case.limits), says)]

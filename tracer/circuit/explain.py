"""What may explain readings, likeliest first, and which reading would tell each cause from the others."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from tracer.circuit.cause_words import with_values
from tracer.circuit.elements import Circuit
from tracer.circuit.evidence import Evidence, Weighing, setting_key
from tracer.circuit.expect import refuse_same_point
from tracer.circuit.faults import fault_guesses, join_guesses
from tracer.circuit.guess import Case, Guess
from tracer.circuit.heaters import untellable_heaters
from tracer.circuit.pairs import pair_guesses
from tracer.circuit.priors import Priors, load_priors
from tracer.circuit.results import Cause, CauseKind, Meter, Reading, Verdict
from tracer.circuit.several import Weighed, several_guesses, sharing
from tracer.circuit.slips import slip_guesses
from tracer.circuit.split_faults import split_guesses
from tracer.circuit.telling import Telling

__all__ = ["Explained", "explain", "explain_together", "explain_with"]

_LEAST_WEIGHT = 0.002
"""Causes of less weight than this are left out."""
_MOST = 12
_LEAST_CHANCE, _MOST_CHANCE = 1e-4, 0.05
"""What is not known may read anything, so any one figure is unlikely; OL counts as one such figure."""
_TOLD = 6
"""For so many of the likeliest causes the reading that would tell them is worked out."""
_FAILED = frozenset({Verdict.HIGH, Verdict.LOW})

_OF_PARTS = frozenset(
    {
        *(CauseKind.OPEN, CauseKind.SHORT, CauseKind.DRIFTED, CauseKind.LEAKY, CauseKind.REVERSED),
        *(CauseKind.PAIR, CauseKind.CONTACT),
    }
)
"""Kinds of which the sentence names a part, whose printed value is told with it."""

Join = tuple[str, str, float]


@dataclass(frozen=True, slots=True)
class Explained:
    """Readings, and the causes that explain all of them; the weights of these add up to 1."""

    readings: tuple[Reading, ...]
    causes: tuple[Cause, ...]


@dataclass(frozen=True, slots=True)
class _Ask:
    """What every case of one question shares."""

    weighing: Weighing
    doubtful: frozenset[str]
    joins: Sequence[Join]
    priors: Priors


def explain(
    circuit: Circuit,
    reading: Reading,
    meter: Meter | None = None,
    doubtful: Iterable[str] = (),
    joins: Sequence[Join] = (),
    priors: Priors | None = None,
    known: Weighing | None = None,
    others: Sequence[Reading] = (),
) -> tuple[Cause, ...]:
    """Return the causes that would explain a reading, with weights that add up to 1.

    Each cause is one fault or one slip, the rest of the circuit anywhere within its limits; its weight is
    how likely it is before any reading (`load_priors`) times how likely it makes the readings. Pairs of
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
        Readings weighed before; it grows by these.
    others : sequence of Reading
        Those taken besides. A lasting fault must fit those that passed; those that failed and may have the
        same cause are explained together with this one.

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
    'R7 (220k) would have to be 412k, 87 % high.'
    """
    return explain_with(circuit, reading, meter, doubtful, joins, priors, known, others).causes


def explain_with(
    circuit: Circuit,
    reading: Reading,
    meter: Meter | None = None,
    doubtful: Iterable[str] = (),
    joins: Sequence[Join] = (),
    priors: Priors | None = None,
    known: Weighing | None = None,
    others: Sequence[Reading] = (),
) -> Explained:
    """Return what `explain` does, and which of `others` the causes explain too."""
    weighing = Weighing.of(circuit, meter, known)
    ask = _Ask(weighing, frozenset(doubtful), joins, priors or load_priors())
    case = _case(ask, reading)
    if case.evidence.verdict is Verdict.PASS:
        return Explained((reading,), _told([case], _passed(case)))
    failing, passing = _sorted(ask, [other for other in others if other != reading])
    return _explained(ask, [case, *failing], passing)


def explain_together(
    circuit: Circuit,
    readings: Sequence[Reading],
    meter: Meter | None = None,
    doubtful: Iterable[str] = (),
    joins: Sequence[Join] = (),
    priors: Priors | None = None,
    known: Weighing | None = None,
) -> tuple[Explained, ...]:
    """Return the causes of all readings that failed: those that may have one cause, or two, explained as one.

    Nothing where none failed. The parameters are those of `explain`.

    Raises
    ------
    UnknownPoint, SamePoint, UnknownPosition, BadValue, BadWiring
        As `tracer.circuit.expect.expect`.
    """
    weighing = Weighing.of(circuit, meter, known)
    ask = _Ask(weighing, frozenset(doubtful), joins, priors or load_priors())
    failing, passing = _sorted(ask, readings)
    found = []
    while failing:
        found.append(_explained(ask, failing, passing))
        failing = [case for case in failing if case.reading not in found[-1].readings]
    return tuple(found)


def _case(ask: _Ask, reading: Reading) -> Case:
    weighing = ask.weighing
    network = weighing.corners(reading.setting).network
    refuse_same_point(network, weighing.circuit, reading.start, reading.end)
    evidence = weighing.evidence(reading)
    return Case(weighing.circuit, reading, weighing.meter, evidence, ask.priors, ask.doubtful)


def _sorted(ask: _Ask, readings: Sequence[Reading]) -> tuple[list[Case], list[Evidence]]:
    """Return the readings that failed, and those that passed."""
    evidence = [ask.weighing.evidence(reading) for reading in readings]
    failing = [_case(ask, each.reading) for each in evidence if each.verdict in _FAILED]
    return failing, [each for each in evidence if each.verdict is Verdict.PASS]


def _explained(ask: _Ask, cases: Sequence[Case], passing: Sequence[Evidence]) -> Explained:
    """Explain the first reading, and with it those after it that may share a cause, one or two in all."""
    first = cases[0]
    singles = [_singles(case, ask.joins) for case in cases]
    near = sharing(cases, singles)
    cases, singles = [cases[place] for place in near], [singles[place] for place in near]
    if len(cases) == 1 and not passing:
        found = [Weighed(guess, 0, (guess.likely,)) for guess in singles[0]]
    else:
        found = several_guesses(cases, singles, passing)
    if not found and len(cases) > 1:
        cases = [first]
        found = several_guesses(cases, singles[:1], passing)
    if not found and len(cases) == 1:
        found = [Weighed(guess, 0, (1.0,)) for guess in pair_guesses(first)]
    found.append(_untellable(cases))
    return Explained(tuple(case.reading for case in cases), _told(cases, found, passing))


def _singles(case: Case, joins: Sequence[Join]) -> list[Guess]:
    """Return every single guess that would explain a reading by itself."""
    found = [*_no_fault(case), *fault_guesses(case), *split_guesses(case)]
    found += [*join_guesses(case, joins), *slip_guesses(case)]
    return [guess for guess in found if guess.weight > 0.0]


def _no_fault(case: Case) -> list[Guess]:
    if case.evidence.verdict is not Verdict.CANNOT_TELL:
        return []
    says = "The reading is as expected, and so would be almost any other: it cannot be judged."
    return [Guess(CauseKind.AS_EXPECTED, case.priors.as_expected, case.chance(*case.limits), says)]


def _passed(case: Case) -> list[Weighed]:
    expected = Guess(CauseKind.AS_EXPECTED, case.priors.as_expected, 1.0, "The reading is as expected.")
    return [Weighed(guess, 0, (guess.likely,)) for guess in (expected, *untellable_heaters(case))]


def _untellable(cases: Sequence[Case]) -> Weighed:
    says = "Nothing known explains it: look for a wire that the sheet does not show, or measure again."
    fits = tuple(max(_LEAST_CHANCE, min(_MOST_CHANCE, case.chance(0.0, case.meter.top))) for case in cases)
    prior = cases[0].priors.untellable
    return Weighed(Guess(CauseKind.UNTELLABLE, prior, math.prod(fits), says), 0, fits)


def _told(
    cases: Sequence[Case], found: Sequence[Weighed], taken: Sequence[Evidence] = ()
) -> tuple[Cause, ...]:
    """Return the likeliest as causes, each with the reading that would tell it from the others."""
    ordered = sorted(found, key=lambda each: -each.guess.weight)
    total = math.fsum(each.guess.weight for each in ordered)
    ordered = [each for each in ordered if each.guess.weight >= _LEAST_WEIGHT * total][:_MOST]
    total = math.fsum(each.guess.weight for each in ordered)
    told = [(cases[each.place], each.guess) for each in ordered]
    here = setting_key(cases[0].circuit, cases[0].reading.setting)
    readings = [*(case.reading for case in cases), *(each.reading for each in taken)]
    read = [
        (each.start, each.end) for each in readings if setting_key(cases[0].circuit, each.setting) == here
    ]
    telling = Telling(cases[0], told, read, _TOLD)
    causes = []
    for place, each in enumerate(ordered):
        guess, case = each.guess, cases[each.place]
        parts = [case.evidence.network.branches[number].part for number in guess.branches]
        parts += [guess.also] if guess.also else []
        named = dict.fromkeys([guess.element or "", *parts] if guess.kind in _OF_PARTS else [])
        causes.append(
            Cause(
                kind=guess.kind,
                element=guess.element,
                setting=guess.setting,
                value=guess.value,
                weight=guess.weight / total,
                says=with_values(
                    guess.says, [case.elements[name] for name in named if name in case.elements]
                ),
                then_measure=telling.reading(place) if place < _TOLD else None,
                elements=tuple(dict.fromkeys(parts)),
            )
        )
    return tuple(causes)

"""Causes of several readings judged together: one fault or habit behind all that failed, else two.

A lasting fault must fit every reading, those that passed among them; a slip of the hand spoils one reading
alone, unless it is a habit that shows in all.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from tracer.circuit.branch import Branch
from tracer.circuit.cause_words import (
    backwards_words,
    branch_words,
    dirty_words,
    drift_words,
    joint_words,
    leak_words,
    wiper_words,
)
from tracer.circuit.correlated import Together
from tracer.circuit.evidence import Evidence
from tracer.circuit.guess import Case, Guess
from tracer.circuit.results import CauseKind, Verdict
from tracer.circuit.together import Fit, fit, fit_join

__all__ = ["Weighed", "several_guesses", "sharing"]

_TRIED = 40
"""So many of the likeliest guesses of each reading are laid against the others."""
_HABIT = 0.3
"""How likely a slip that was made once is to be made at the next reading too (our own line)."""
_KEPT = 0.02
"""Of joints that one reading cannot tell apart, those less likely than this part of the best are dropped."""
_PAIRED = 12
"""So many guesses are tried two by two."""
_LASTING = frozenset(
    {
        *(CauseKind.OPEN, CauseKind.SHORT, CauseKind.DRIFTED, CauseKind.LEAKY),
        *(CauseKind.REVERSED, CauseKind.CONTACT, CauseKind.JOIN),
    }
)

_Key = tuple[object, ...]


@dataclass(frozen=True, slots=True)
class Weighed:
    """A guess laid against all readings.

    Attributes
    ----------
    guess : Guess
        Its branch numbers are those of the network of reading `place`.
    place : int
        Of the failing reading it came from.
    fits : tuple of float
        How likely it makes each failing reading by itself.
    """

    guess: Guess
    place: int
    fits: tuple[float, ...]


def several_guesses(
    cases: Sequence[Case], singles: Sequence[Sequence[Guess]], passing: Sequence[Evidence]
) -> list[Weighed]:
    """Return the guesses that explain all of `cases`, two at a time where no single one does.

    Parameters
    ----------
    cases : sequence of Case
        The readings that failed.
    singles : sequence of sequence of Guess
        What would explain each by itself.
    passing : sequence of Evidence
        Those that passed.
    """
    found: dict[_Key, Weighed] = {}
    together = Together.of([*(each.evidence for each in cases), *passing], len(cases))
    for place, guesses in enumerate(singles):
        likeliest = sorted(guesses, key=lambda guess: -guess.weight)[:_TRIED]
        for guess in likeliest:
            key = _key(cases[place], guess)
            if key not in found and guess.kind is not CauseKind.UNTELLABLE:
                found[key] = _laid(cases, singles, passing, place, guess, together)
    alone = _once(cases, [each for each in found.values() if each.guess.weight > 0.0 and all(each.fits)])
    return alone or list(_two_by_two(cases, list(found.values())))


def _once(cases: Sequence[Case], found: Sequence[Weighed]) -> list[Weighed]:
    """Return guesses but once that came to the same when laid against all readings."""
    best: dict[tuple[object, ...], Weighed] = {}
    for each in sorted(found, key=lambda each: -each.guess.weight):
        network = cases[each.place].evidence.network
        names = tuple(network.branches[number].name for number in each.guess.branches)
        best.setdefault((each.guess.kind, names or each.guess.says), each)
    return list(best.values())


def _key(case: Case, guess: Guess) -> _Key:
    names = tuple(case.evidence.network.branches[number].name for number in guess.branches)
    # A habit is known again by its words, of which the seconds of a rising reading may differ.
    words = "" if names else guess.says.partition(";")[0]
    return guess.kind, guess.element, names if guess.kind is not CauseKind.OPEN else guess.element, words


def _laid(
    cases: Sequence[Case],
    singles: Sequence[Sequence[Guess]],
    passing: Sequence[Evidence],
    place: int,
    guess: Guess,
    together: Together,
) -> Weighed:
    if guess.kind not in _LASTING:
        return _slip(cases, singles, place, guess)
    if guess.kind is CauseKind.DRIFTED and len(guess.branches) > 1:
        return _total(cases, singles, passing, place, guess)
    case = cases[place]
    readings = [*(each.evidence for each in cases), *passing]
    if guess.join is not None:
        nodes = case.evidence.network.nodes
        found = fit_join((nodes[guess.join[0]], nodes[guess.join[1]]), readings, together)
        return Weighed(replace(guess, likely=found.likely), place, found.each[: len(cases)])
    if guess.kind is CauseKind.REVERSED:
        readings = [each for each in readings if _same_way(case, guess, each)]
        failed = sum(each.verdict is not Verdict.PASS for each in readings)
        together = Together.of(readings, failed)
    branches = [case.evidence.network.branches[number] for number in guess.branches]
    fits = [fit(guess.kind, branch, readings, case.priors, together) for branch in branches]
    best = max(found.likely for found in fits)
    if best == 0.0:
        # It may still be one of two faults, each behind some of the readings.
        alone = tuple(
            max(fit(guess.kind, branch, [other.evidence], case.priors).likely for branch in branches)
            for other in cases
        )
        return Weighed(replace(guess, likely=0.0), place, alone)
    told = {id(each): number for number, each in enumerate(readings)}
    each_case = tuple(
        max(found.each[told[id(other.evidence)]] for found in fits) if id(other.evidence) in told else 0.0
        for other in cases
    )
    kept = [number for number, found in enumerate(fits) if best > 0.0 and found.likely >= _KEPT * best]
    return Weighed(_narrowed(case, guess, branches, fits, kept), place, each_case)


def _narrowed(
    case: Case, guess: Guess, branches: Sequence[Branch], fits: Sequence[Fit], kept: Sequence[int]
) -> Guess:
    """Return a guess of the branches that are left of it, with the value that fits all readings best."""
    if not kept:
        return replace(guess, likely=0.0)
    likely = math.fsum(fits[number].likely for number in kept) / len(kept)
    best = max(kept, key=lambda number: fits[number].likely)
    left = [branches[number] for number in kept]
    parts = list(dict.fromkeys(branch.part for branch in left))
    element = guess.element if guess.element in parts else parts[len(parts) // 2]
    return replace(
        guess,
        prior=guess.prior * len(kept) / len(branches),
        likely=likely,
        says=_says(case, guess, left, fits[best].value),
        element=element,
        branches=tuple(guess.branches[number] for number in kept),
        value=fits[best].value,
    )


def _says(case: Case, guess: Guess, left: Sequence[Branch], value: float) -> str:
    branch = left[0]
    parts = list(dict.fromkeys(each.part for each in left))
    if guess.kind is CauseKind.DRIFTED and branch.expected:
        return drift_words(branch_words(branch), value, branch.expected)
    if guess.kind is CauseKind.LEAKY:
        return leak_words(branch.part, value)
    if guess.kind is CauseKind.REVERSED:
        in_set = case.drives_forward(guess.branches[0])
        return backwards_words(branch.part, value, in_set=in_set)
    if guess.kind is CauseKind.CONTACT and not branch.is_open:
        is_wiper = case.elements[branch.part].kind == "pot"
        return wiper_words(branch.part, value) if is_wiper else dirty_words(branch_words(branch), value)
    if guess.kind is CauseKind.OPEN and (len(parts) > 1 or branch.high <= 1.0):
        return joint_words(parts, value)
    if guess.kind is CauseKind.OPEN and len(left) < len(guess.branches):
        return f"{branch_words(branch)} is open."
    return guess.says


def _same_way(case: Case, guess: Guess, other: Evidence) -> bool:
    """Tell whether a reading drives a polarised part the way that the case does, if it drives it at all."""
    branch = case.evidence.network.branches[guess.branches[0]]
    number = other.network.number_of_branch.get(branch.name)
    if number is None:
        return False
    volts = other.corners.middle().volts_across(other.start, other.end)[number]
    return bool(np.sign(volts) in (0.0, np.sign(case.volts[guess.branches[0]])))


def _slip(cases: Sequence[Case], singles: Sequence[Sequence[Guess]], place: int, guess: Guess) -> Weighed:
    """Return a slip, made at every reading that failed or at its own alone."""
    key = _key(cases[place], guess)
    fits = [
        max((other.likely for other in guesses if _key(case, other) == key), default=0.0)
        for case, guesses in zip(cases, singles, strict=True)
    ]
    habit = math.prod(fits) * _HABIT ** (len(cases) - 1)
    return Weighed(replace(guess, likely=habit), place, tuple(fits))


def _total(
    cases: Sequence[Case],
    singles: Sequence[Sequence[Guess]],
    passing: Sequence[Evidence],
    place: int,
    guess: Guess,
) -> Weighed:
    """Return a drifted total of sections, held against what the passing readings leave to it."""
    laid = _slip(cases, singles, place, guess)
    likely = min(laid.fits)
    for each in passing:
        for number, bounds in each.totals.items():
            if each.network.splits[number].part == guess.element and guess.value is not None:
                likely *= float(bounds[0] * 0.95 <= guess.value <= bounds[1] * 1.05)
    return Weighed(replace(guess, likely=likely), place, laid.fits)


def _two_by_two(cases: Sequence[Case], found: Sequence[Weighed]) -> Iterator[Weighed]:
    """Yield pairs of guesses that explain all readings between them."""
    if len(cases) < 2:
        return
    promising: Callable[[Weighed], float] = lambda each: -each.guess.prior * sum(each.fits)  # noqa: E731
    chosen = sorted(found, key=promising)[:_PAIRED]
    for one, other in combinations(chosen, 2):
        fits = tuple(max(pair) for pair in zip(one.fits, other.fits, strict=True))
        if all(fits) and one.guess.element != other.guess.element:
            first = one.guess
            prior = cases[0].priors.pair * first.prior * other.guess.prior
            says = f"Two causes at once: {first.says} {other.guess.says}"
            pair = replace(first, kind=CauseKind.PAIR, prior=prior, likely=math.prod(fits), says=says)
            pair = replace(pair, also=other.guess.element)
            yield Weighed(pair, one.place, fits)


def sharing(cases: Sequence[Case], singles: Sequence[Sequence[Guess]]) -> list[int]:
    """Return the places of the readings that may have a cause in common with the first, itself among them.

    Those with a lasting fault in common; where there are none, those with a slip that may be a habit.
    """
    lasting = _sharing(cases, [[guess for guess in each if guess.kind in _LASTING] for each in singles])
    return lasting if len(lasting) > 1 else _sharing(cases, singles)


def _sharing(cases: Sequence[Case], singles: Sequence[Sequence[Guess]]) -> list[int]:
    first = {_key(cases[0], guess) for guess in singles[0]}
    return [
        place
        for place, guesses in enumerate(singles)
        if place == 0 or any(_key(cases[place], guess) in first for guess in guesses)
    ]

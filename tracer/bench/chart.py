"""The resistance chart: what a meter ought to show from every rail and the chassis to every valve pin."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeAlias

from tracer.bench.wiring_export import contracted
from tracer.circuit.elements import CHASSIS, Circuit, Setting
from tracer.circuit.expect import expect_all
from tracer.circuit.results import Expectation, Meter, Open
from tracer.circuit.settings import every_setting
from tracer.progress import NullProgress, Progress, checkpoint

__all__ = ["ANY_SETTING", "ChartRow", "resistance_chart"]

ANY_SETTING = "any"
"""The setting of a row that no switch changes."""

_Answer: TypeAlias = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ChartRow:
    """One expectation and the settings it holds in.

    Attributes
    ----------
    start, end : str
        A rail or the chassis, and a valve's pin.
    setting : str
        The positions of the banks that matter for this pair, in words, or `ANY_SETTING`.
    expectation : Expectation
        Its limits hold in all of those settings.
    """

    start: str
    end: str
    setting: str
    expectation: Expectation


def resistance_chart(
    circuit: Circuit, meter: Meter | None = None, progress: Progress | None = None
) -> tuple[ChartRow, ...]:
    """Work out the chart in every setting of the switches, settings that answer alike being one row.

    Parameters
    ----------
    circuit : Circuit
        Wires and bonds are taken as 0 Ω: a chart is about parts.
    meter : Meter, optional
    progress : Progress, optional
        Watches, and may cancel.

    Returns
    -------
    tuple of ChartRow
        By pin, then by start, then by setting.

    Raises
    ------
    Cancelled

    Examples
    --------
    >>> from tracer.circuit.wiring import parse_wiring
    >>> rows = resistance_chart(parse_wiring('''
    ... bank S: Off, On
    ... rail HT
    ... contact S1: common=HT make=A; closed=S:On
    ... resistor R1: 1=A 2=B; 47k; tol=10%
    ... valve V1: a/1=B k/2=chassis; out
    ... ''', "example"))
    >>> [(row.end, row.setting, row.expectation.expected) for row in rows if row.start == "HT"][:2]
    [('V1.1', 'S at Off', None), ('V1.1', 'S at On', 47000.0)]
    """
    meter, progress = meter or Meter(), progress or NullProgress()
    plain = contracted(circuit)
    pins = tuple(dict.fromkeys(_pins(plain)))
    starts = [*plain.rails, CHASSIS]
    settings = list(every_setting(plain))
    if not pins:
        return ()
    found: dict[tuple[str, str], list[Expectation]] = {}
    for place, setting in enumerate(settings):
        for start in starts:
            checkpoint(progress, "working out the resistance chart", place / len(settings))
            for row in expect_all(plain, start, setting, meter, ends=pins):
                found.setdefault((row.end, start), []).append(row)
    chart: list[ChartRow] = []
    for pin in pins:
        for start in starts:
            chart += _rows(plain, start, pin, settings, found[pin, start])
    return tuple(chart)


def _pins(circuit: Circuit) -> Iterator[str]:
    for element in circuit.elements:
        if element.kind == "valve":
            for terminal, _ in element.terminals:
                yield f"{element.reference}.{terminal.rpartition('/')[2]}"


def _answer(expectation: Expectation) -> _Answer:
    """What a person would tell apart: the expected ohms where they are known, else the limits."""
    if expectation.expected is not None and expectation.open is Open.NEVER:
        return (f"{expectation.expected:.3g}",)
    ohms = (expectation.low, expectation.high)
    return (*("" if value is None else f"{value:.2g}" for value in ohms), str(expectation.open))


def _rows(
    circuit: Circuit, start: str, end: str, settings: Sequence[Setting], rows: Sequence[Expectation]
) -> Iterator[ChartRow]:
    answers = [_answer(row) for row in rows]
    matter = _banks_that_matter(circuit, settings, answers)
    for answer in dict.fromkeys(answers):
        here = [place for place, other in enumerate(answers) if other == answer]
        words = _in_words([settings[place].banks for place in here], matter)
        yield ChartRow(start, end, words or ANY_SETTING, _widest([rows[place] for place in here]))


def _widest(rows: Sequence[Expectation]) -> Expectation:
    """The first of `rows` with limits that hold in all of them."""
    lows, highs = [row.low for row in rows], [row.high for row in rows]
    low = None if None in lows else min(low for low in lows if low is not None)
    high = None if None in highs else max(high for high in highs if high is not None)
    return replace(rows[0], low=low, high=high, settles_s=max(row.settles_s for row in rows))


def _banks_that_matter(
    circuit: Circuit, settings: Sequence[Setting], answers: Sequence[_Answer]
) -> tuple[str, ...]:
    """Names of the banks that, the others left alone, change the answer."""
    matter = []
    for bank in circuit.banks:
        by_rest: dict[tuple[tuple[str, str], ...], set[_Answer]] = {}
        for setting, answer in zip(settings, answers, strict=True):
            rest = tuple(sorted((name, at) for name, at in setting.banks.items() if name != bank.name))
            by_rest.setdefault(rest, set()).add(answer)
        if any(len(group) > 1 for group in by_rest.values()):
            matter.append(bank.name)
    return tuple(matter)


def _in_words(settings: Sequence[Mapping[str, str]], matter: Sequence[str]) -> str:
    """Name the positions, as one phrase where they are every combination of some positions of each bank."""
    combinations = {tuple(banks[name] for name in matter) for banks in settings}
    choices = [list(dict.fromkeys(banks[name] for banks in settings)) for name in matter]
    if len(combinations) == math.prod(len(positions) for positions in choices):
        return ", ".join(f"{name} at {' or '.join(at)}" for name, at in zip(matter, choices, strict=True))
    phrases = (
        ", ".join(f"{n} at {at}" for n, at in zip(matter, one, strict=True)) for one in sorted(combinations)
    )
    return "; or ".join(phrases)

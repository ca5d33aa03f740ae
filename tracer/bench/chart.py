"""The resistance chart: what a meter ought to show from every rail and the chassis to every valve pin."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from tracer.bench.wiring_export import contracted
from tracer.circuit.alike import alike_settings
from tracer.circuit.elements import CHASSIS, Circuit
from tracer.circuit.expect import expect_all
from tracer.circuit.results import Expectation, Meter
from tracer.circuit.settings import every_setting
from tracer.progress import NullProgress, Progress, checkpoint

__all__ = ["ANY_SETTING", "ChartRow", "resistance_chart"]

ANY_SETTING = "any"
"""The setting of a row that no switch changes."""


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
            rows = alike_settings(plain, settings, found[pin, start])
            chart += [ChartRow(start, pin, row.words or ANY_SETTING, row.expectation) for row in rows]
    return tuple(chart)


def _pins(circuit: Circuit) -> Iterator[str]:
    for element in circuit.elements:
        if element.kind == "valve":
            for terminal, _ in element.terminals:
                yield f"{element.reference}.{terminal.rpartition('/')[2]}"

"""``tracer why``: what would explain a reading, or all those of a job that failed."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from tracer.cli.options import (
    AsJson,
    Banks,
    CoilTable,
    ContactTable,
    Lifted,
    MeterWords,
    OutOfSocket,
    Wipers,
    WiringOrJob,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from tracer.circuit.elements import Setting
    from tracer.circuit.explain import Explained
    from tracer.circuit.results import Cause, Reading
    from tracer.cli.source import Source

__all__ = ["why"]

_Start = Annotated[
    str | None,
    typer.Option("--from", metavar="POINT", help="Where the positive lead went: HT1, V2.6, R7.1, chassis."),
]
_End = Annotated[str | None, typer.Option("--at", metavar="POINT", help="Where the other lead went.")]
_Shown = Annotated[
    str | None,
    typer.Option("--reading", metavar="SHOWN", help="What the meter showed: 130k, 4k72, OL, '1M rising'."),
]


def why(
    source: WiringOrJob,
    start: _Start = None,
    end: _End = None,
    reading: _Shown = None,
    readings: Annotated[
        Path | None,
        typer.Option(help="CSV headed from,at,reading: other readings taken at this setting."),
    ] = None,
    priors: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE", help="How likely each cause is beforehand, in the form of shared/priors.json."
        ),
    ] = None,
    banks: Banks = None,
    out: OutOfSocket = None,
    lifted: Lifted = None,
    wipers: Wipers = None,
    meter: MeterWords = None,
    contacts: ContactTable = None,
    coils: CoilTable = None,
    as_json: AsJson = False,
) -> None:
    """Tell what would explain a reading, likeliest first, and which reading would tell the causes apart.

    The readings of a job, and those of --readings, are judged together with it: a fault must fit those that
    passed, and one fault, or two, may be behind several that failed. Without --from, --at and --reading all
    that failed are explained.
    """
    from tracer.circuit.as_json import why_to_json
    from tracer.cli.output import print_json, print_lines
    from tracer.cli.source import chosen_setting, load_source, warn
    from tracer.cli.tables import taken_readings

    loaded = load_source(source, meter, contacts, coils)
    warn(loaded)
    setting = chosen_setting(loaded, banks, out, lifted, wipers)
    others = (*loaded.readings, *taken_readings(readings, setting, loaded.readings))
    taken = _reading(start, end, reading, setting)
    if taken is None and not others:
        raise typer.BadParameter("Say what was read with --from, --at and --reading, or give readings.")
    explained = _explained(loaded, taken, others, priors)
    if as_json:
        print_json(why_to_json(explained))
        return
    if not explained:
        print_lines(f"None of {len(others)} readings failed.")
    for place, each in enumerate(explained):
        if place:
            print_lines("")
        _print_readings(loaded, each.readings)
        _print_causes(each.causes)


def _reading(start: str | None, end: str | None, shown: str | None, setting: Setting) -> Reading | None:
    from tracer.circuit.results import Reading
    from tracer.circuit.values import parse_reading

    if start is None and end is None and shown is None:
        return None
    if start is None or end is None or shown is None:
        raise typer.BadParameter("--from, --at and --reading belong together.")
    ohms, rising = parse_reading(shown)
    return Reading(start, end, ohms, setting, rising)


def _explained(
    loaded: Source, taken: Reading | None, others: Sequence[Reading], priors: Path | None
) -> tuple[Explained, ...]:
    from dataclasses import replace

    from tracer.bench.told_causes import causes_in_words
    from tracer.circuit.explain import explain_together, explain_with
    from tracer.circuit.priors import load_priors

    circuit, table = loaded.circuit, load_priors(priors)
    if taken is None:
        found = explain_together(circuit, others, loaded.meter, joins=loaded.joins, priors=table)
    else:
        found = (explain_with(circuit, taken, loaded.meter, joins=loaded.joins, priors=table, others=others),)
    return tuple(replace(each, causes=causes_in_words(circuit, each.causes)) for each in found)


def _print_readings(loaded: Source, readings: Sequence[Reading]) -> None:
    from tracer.circuit.expect import expect
    from tracer.circuit.judge import judge
    from tracer.circuit.settings import describe_setting
    from tracer.cli.output import print_lines
    from tracer.cli.wording import meter_text, reading_text

    for each in readings:
        told = expect(loaded.circuit, each.start, each.end, each.setting, loaded.meter)
        verdict = judge(told, each.ohms, each.rising, loaded.meter)
        number = f"Reading {each.number}: f" if each.number else "F"
        where = f"{number}rom {each.start} to {each.end}, {describe_setting(loaded.circuit, each.setting)}"
        print_lines(
            f"{where}: the meter showed {reading_text(each)}; {meter_text(told)} would pass. "
            f"Verdict: {verdict}."
        )
    if len(readings) > 1:
        print_lines("These are judged as one.")
    print_lines("")


def _print_causes(causes: Sequence[Cause]) -> None:
    from tracer.cli.output import print_table
    from tracer.cli.wording import limits_text, share_text

    rows = []
    for cause in causes:
        then = cause.then_measure
        lifted = "".join(f", {name} lifted" for name in sorted(then.setting.lifted)) if then else ""
        measure = f"{then.start} to {then.end}{lifted}: {limits_text(then.low, then.high)}" if then else ""
        rows.append((share_text(cause.weight), cause.says, measure))
    print_table(("weight", "cause", "would read, if so"), rows, right=(0,))

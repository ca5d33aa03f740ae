"""``tracer why``: what would explain a reading."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from tracer.cli.options import AsJson, Banks, FromPoint, Lifted, OutOfSocket, Wipers, WiringOrJob

if TYPE_CHECKING:
    from collections.abc import Sequence

    from tracer.circuit.results import Cause

__all__ = ["why"]


def why(
    source: WiringOrJob,
    start: FromPoint,
    end: Annotated[str, typer.Option("--at", metavar="POINT", help="Where the other lead went.")],
    reading: Annotated[
        str,
        typer.Option(
            "--reading", metavar="SHOWN", help="What the meter showed: 130k, 4k72, OL, '1M rising'."
        ),
    ],
    banks: Banks = None,
    out: OutOfSocket = None,
    lifted: Lifted = None,
    wipers: Wipers = None,
    as_json: AsJson = False,
) -> None:
    """Tell what would explain a reading, likeliest first, and which reading would tell the causes apart."""
    from tracer.circuit.as_json import why_to_json
    from tracer.circuit.expect import expect
    from tracer.circuit.explain import explain
    from tracer.circuit.judge import judge
    from tracer.circuit.results import Reading
    from tracer.circuit.settings import describe_setting
    from tracer.circuit.values import parse_reading
    from tracer.cli.output import print_json, print_lines
    from tracer.cli.source import chosen_setting, load_source, warn
    from tracer.cli.wording import meter_text

    loaded = load_source(source)
    warn(loaded)
    setting = chosen_setting(loaded, banks, out, lifted, wipers)
    shown, rising = parse_reading(reading)
    meter = loaded.meter
    expectation = expect(loaded.circuit, start, end, setting, meter)
    causes = explain(loaded.circuit, Reading(start, end, shown, setting, rising), meter)
    if as_json:
        print_json(why_to_json(causes))
        return
    verdict = judge(expectation, shown, rising, meter)
    print_lines(
        f"From {start} to {end}, {describe_setting(loaded.circuit, setting)}: the meter showed {reading}; "
        f"{meter_text(expectation)} would pass. Verdict: {verdict}.",
        "",
    )
    _print_causes(causes)


def _print_causes(causes: Sequence[Cause]) -> None:
    from tracer.cli.output import print_lines, print_table
    from tracer.cli.wording import limits_text, share_text

    rows = []
    for cause in causes:
        then = cause.then_measure
        measure = "" if then is None else f"{then.start} to {then.end}: {limits_text(then.low, then.high)}"
        rows.append((share_text(cause.weight), cause.says, measure))
    if rows:
        print_table(("weight", "cause", "would read, if so"), rows, right=(0,))
    else:
        print_lines("Nothing that this program knows of explains it.")

"""``tracer next``: which readings would prove most."""

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

    from tracer.circuit.elements import Circuit
    from tracer.circuit.results import NextReading

__all__ = ["next_readings"]


def next_readings(
    source: WiringOrJob,
    start: Annotated[
        str | None, typer.Option("--from", metavar="POINT", help="Keep the positive lead on this point.")
    ] = None,
    readings: Annotated[
        Path | None, typer.Option(help="CSV headed from,at,reading: readings already taken at this setting.")
    ] = None,
    banks: Banks = None,
    out: OutOfSocket = None,
    lifted: Lifted = None,
    wipers: Wipers = None,
    meter: MeterWords = None,
    contacts: ContactTable = None,
    coils: CoilTable = None,
    most: Annotated[int, typer.Option(min=1, help="How many to list at most.")] = 8,
    as_json: AsJson = False,
) -> None:
    """List the readings that would prove most, the best first; those of a job count as taken.

    Without --set, --out, --lift or --wiper every setting of the switches is considered.
    """
    from tracer.circuit.as_json import next_to_json
    from tracer.circuit.plan import plan
    from tracer.cli.output import print_json
    from tracer.cli.source import chosen_setting, load_source, warn
    from tracer.cli.tables import taken_readings

    loaded = load_source(source, meter, contacts, coils)
    warn(loaded)
    given = chosen_setting(loaded, banks, out, lifted, wipers)
    setting = given if any((banks, out, lifted, wipers)) else None
    taken = (*loaded.readings, *taken_readings(readings, given, loaded.readings))
    found = plan(loaded.circuit, taken, start=start, setting=setting, meter=loaded.meter, most=most)
    if as_json:
        print_json(next_to_json(found))
    else:
        _print_plan(loaded.circuit, found)


def _print_plan(circuit: Circuit, found: Sequence[NextReading]) -> None:
    from tracer.cautions import SHORT_CAUTION
    from tracer.circuit.settings import describe_setting
    from tracer.cli.output import print_lines, print_table
    from tracer.cli.wording import limits_text, proved_text, settles_text

    if not found:
        print_lines("No reading is left that would prove more.")
        return
    rows = []
    for place, each in enumerate(found, start=1):
        wait = settles_text(each.settles_s)
        limits = limits_text(each.low, each.high) + (f"\nafter {wait}" if wait else "")
        where = f"{each.start} to {each.end}\n{describe_setting(circuit, each.setting)}"
        proves = [f"carries {proved_text(circuit, each.carries)}"] if each.carries else []
        proves += [f"pins {proved_text(circuit, each.pins)}"] if each.pins else []
        rows.append((str(place), where, limits, "; ".join(proves) or "tells that nothing is shorted here"))
    print_lines(SHORT_CAUTION, "")
    print_table(("", "from, to, setting", "limits", "a pass"), rows, right=(0,))

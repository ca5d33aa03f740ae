"""``tracer ohms``: what the meter ought to show."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from tracer.cli.options import (
    AsJson,
    Banks,
    CoilTable,
    ContactTable,
    FromPoint,
    Lifted,
    MeterWords,
    OutOfSocket,
    Wipers,
    WiringOrJob,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from tracer.circuit.elements import Circuit, Setting
    from tracer.circuit.results import Expectation
    from tracer.cli.source import Source

__all__ = ["ohms"]

_MOST_NAMED = 4


def ohms(
    source: WiringOrJob,
    start: FromPoint,
    end: Annotated[
        str | None,
        typer.Option(
            "--at", metavar="POINT", help="Where the other lead goes; every named point if left away."
        ),
    ] = None,
    banks: Banks = None,
    out: OutOfSocket = None,
    lifted: Lifted = None,
    wipers: Wipers = None,
    meter: MeterWords = None,
    contacts: ContactTable = None,
    coils: CoilTable = None,
    every_setting: Annotated[
        bool,
        typer.Option(
            "--every-setting", help="In every setting of the switches, those that answer alike as one."
        ),
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Tell the ohms to expect between two points, or from one point to every other.

    The limits hold for parts anywhere within their tolerances; what the meter may show for a pass adds its
    own error and its leads. The probable range takes tolerances as independent errors (the root of the sum of
    their squares); it is no limit.
    """
    from tracer.circuit.as_json import ohms_to_json
    from tracer.circuit.expect import expect, expect_all
    from tracer.cli.output import print_json
    from tracer.cli.source import chosen_setting, load_source, warn

    loaded = load_source(source, meter, contacts, coils)
    warn(loaded)
    circuit = loaded.circuit
    setting = chosen_setting(loaded, banks, out, lifted, wipers)
    if every_setting:
        _every_setting(loaded, start, end, setting, as_json)
        return
    if end is None:
        found = tuple(expect_all(circuit, start, setting, loaded.meter))
    else:
        found = (expect(circuit, start, end, setting, loaded.meter),)
    given = None if end is None else _given(loaded, start, end, setting)
    if as_json:
        print_json(ohms_to_json(setting, found, given))
    elif end is None:
        _print_chart(circuit, start, setting, found)
    else:
        _print_pair(circuit, setting, found[0], given)


def _given(loaded: Source, start: str, end: str, setting: Setting) -> Expectation | None:
    """Return what to expect given the readings of a job; None where they pin nothing."""
    from tracer.circuit.given import expect_given
    from tracer.circuit.prove import prove

    pinned = prove(loaded.circuit, loaded.readings, loaded.meter).pinned if loaded.readings else ()
    return expect_given(loaded.circuit, start, end, pinned, setting, loaded.meter) if pinned else None


def _every_setting(loaded: Source, start: str, end: str | None, setting: Setting, as_json: bool) -> None:
    from tracer.circuit.alike import expect_in_every_setting
    from tracer.circuit.as_json import alike_to_json
    from tracer.cli.chart import by_place
    from tracer.cli.output import print_json, print_lines, print_table
    from tracer.cli.progress import watched
    from tracer.cli.wording import expected_text, limits_text, meter_text, settles_text

    ends = None if end is None else (end,)
    with watched() as progress:
        found = expect_in_every_setting(loaded.circuit, start, ends, setting, loaded.meter, progress)
    if as_json:
        print_json(alike_to_json(setting, found))
        return
    heading = f"From {start}" if end is None else f"From {start} to {end}"
    print_lines(f"{heading}, in every setting of the switches:", "")
    ends_told = {each.expectation.end: each.expectation for each in found}
    places = by_place(loaded.circuit, start, tuple(ends_told.values())) if end is None else ()
    names_of = {told.end: names for names, told in places}
    rows = []
    for each in found:
        told = each.expectation
        if end is None and told.end not in names_of:
            continue
        shown = (
            expected_text(told),
            limits_text(told.low, told.high),
            meter_text(told),
            settles_text(told.settles_s),
        )
        rows.append((*(() if end else (names_of[told.end],)), each.words or "any", *shown))
    columns = ("with", "expected", "limits", "pass on the meter", "settles")
    print_table(columns if end else ("at", *columns), rows, right=(1, 4) if end else (2, 5))


def _print_chart(circuit: Circuit, start: str, setting: Setting, found: tuple[Expectation, ...]) -> None:
    from tracer.circuit.settings import describe_setting
    from tracer.cli.chart import by_place
    from tracer.cli.output import print_lines, print_table
    from tracer.cli.wording import expected_text, limits_text, meter_text, settles_text

    print_lines(f"From {start}, {describe_setting(circuit, setting)}:", "")
    rows = [
        (
            names,
            expected_text(each),
            limits_text(each.low, each.high),
            meter_text(each),
            settles_text(each.settles_s),
        )
        for names, each in by_place(circuit, start, found)
    ]
    print_table(("at", "expected", "limits", "pass on the meter", "settles"), rows, right=(1, 4))
    notes: dict[str, list[str]] = {}
    for names, each in by_place(circuit, start, found):
        for note in each.notes:
            notes.setdefault(note, []).append(names.partition(" ")[0])
    if notes:
        print_lines("", *(_placed(note, at, len(rows)) for note, at in notes.items()))


def _placed(note: str, at: Sequence[str], rows: int) -> str:
    """Say at which rows of a chart a note holds, unless it does at all, or at too many to be named."""
    if len(at) == rows:
        return note
    if len(at) > _MOST_NAMED:
        return f"At {', '.join(at[:_MOST_NAMED])} and {len(at) - _MOST_NAMED} more: {note}"
    return f"At {', '.join(at)}: {note}"


def _print_pair(circuit: Circuit, setting: Setting, found: Expectation, given: Expectation | None) -> None:
    from tracer.circuit.blocked import blocked_words
    from tracer.circuit.settings import describe_setting
    from tracer.cli.output import print_lines, print_table
    from tracer.cli.wording import expected_text, limits_text, meter_text, settles_text, through_text

    rows = [
        ("expected", expected_text(found)),
        ("limits", limits_text(found.low, found.high)),
        ("probable", limits_text(*found.probable) if found.probable and found.expected else ""),
        ("given the readings", limits_text(given.low, given.high) if given else ""),
        ("pass on the meter", meter_text(found)),
        ("settles in", settles_text(found.settles_s)),
        ("through", through_text(found.through)),
        ("open", blocked_words(circuit, setting, found.blocked_by)),
    ]
    print_lines(f"From {found.start} to {found.end}, {describe_setting(circuit, setting)}:", "")
    print_table(("", ""), [row for row in rows if row[1]])
    if found.notes:
        print_lines("", *found.notes)

"""``tracer discharge``: which capacitors nothing bleeds, and how long sound bleeders take with the rest."""

from __future__ import annotations

import typer

from tracer.cli.options import AsJson, Banks, Lifted, OutOfSocket, WiringOrJob

__all__ = ["discharge"]


def discharge(
    source: WiringOrJob,
    banks: Banks = None,
    out: OutOfSocket = None,
    lifted: Lifted = None,
    as_json: AsJson = False,
) -> None:
    """Tell which large capacitors nothing bleeds, and how long sound bleeders take with the others.

    These are no times after which a set may be touched: a failed bleeder bleeds nothing. Bleed by hand and
    measure first.
    """
    from tracer.circuit.as_json import discharges_to_json
    from tracer.circuit.discharge import DISCHARGE_CAUTION, discharge_words, discharges
    from tracer.circuit.settings import describe_setting
    from tracer.cli.output import print_json, print_lines
    from tracer.cli.source import chosen_setting, load_source, warn

    loaded = load_source(source)
    warn(loaded)
    setting = chosen_setting(loaded, banks, out, lifted, None)
    found = discharges(loaded.circuit, setting, loaded.meter)
    if as_json:
        print_json(discharges_to_json(setting, found))
        return
    print_lines(DISCHARGE_CAUTION, "")
    if not found:
        print_lines("No capacitor of 1 µF and more is in this circuit.")
        raise typer.Exit
    print_lines(f"Plug out, {describe_setting(loaded.circuit, setting)}:", "")
    print_lines(*(f"- {discharge_words(each)}" for each in found))

"""``tracer demo``: the worked example, told as a restorer would live it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tracer.cli.options import AsJson, ToFolder

if TYPE_CHECKING:
    from tracer.bench.records import Outcome

__all__ = ["demo"]


def demo(folder: ToFolder, as_json: AsJson = False) -> None:
    """Read the sheet that comes with the program, judge readings taken on it, and write the report.

    Set, sheet, readings and fault are invented.
    """
    from tracer.bench.demo import run_demo
    from tracer.cautions import CAUTIONS
    from tracer.cli.output import print_json, print_lines
    from tracer.cli.progress import watched
    from tracer.cli.report import rails_text, write_report

    if not as_json:
        print_lines("Before you touch a set:", *(f"- {caution}" for caution in CAUTIONS), "")
        print_lines("The sheet, the set, its fault and all readings below are invented.", "")
    with watched() as progress:
        done = run_demo(folder, progress)
        written = write_report(done.job, folder, progress)
    files = [str(path) for path in (done.job, *written.files)]
    if as_json:
        print_json({"readings": [_as_json(outcome) for outcome in done.outcomes], "files": files})
        return
    for outcome in done.outcomes:
        _print(outcome)
    print_lines(rails_text(written.rails), "", *(f"Wrote {path}" for path in files))


def _as_json(outcome: Outcome) -> dict[str, object]:
    from tracer.circuit.as_json import causes_to_json, next_to_json, ohms_to_json

    then = outcome.next_reading
    return {
        "number": outcome.record.number,
        "shown": outcome.record.shown,
        "expected": ohms_to_json(outcome.record.setting, [outcome.expectation])["rows"][0],
        "verdict": str(outcome.verdict),
        "causes": causes_to_json(outcome.causes),
        "newly_carried": list(outcome.newly_carried),
        "next": next_to_json([then] if then else [])["readings"],
    }


def _print(outcome: Outcome) -> None:
    from tracer.cli.output import print_lines, print_table
    from tracer.cli.wording import limits_text, meter_text, ohms_text, proved_text, share_text

    record, then = outcome.record, outcome.next_reading
    shown = f"{ohms_text(record.ohms)}, still rising" if record.rising else record.shown
    why = "\n".join(f"{share_text(cause.weight)}: {cause.says}" for cause in outcome.causes[:4])
    next_text = "" if then is None else f"{then.start} to {then.end}: {limits_text(then.low, then.high)}"
    rows = [
        (
            "expected",
            f"{limits_text(outcome.expectation.low, outcome.expectation.high)}; "
            f"on the meter {meter_text(outcome.expectation)}",
        ),
        ("verdict", str(outcome.verdict)),
        ("why", why),
        ("proved", proved_text(outcome.proof.circuit, outcome.newly_carried)),
        ("next", next_text),
    ]
    print_lines(f"Reading {record.number}: {record.start} to {record.end} shows {shown}")
    print_table(("", ""), [row for row in rows if row[1]])
    print_lines("")

"""``tracer parts``: which parts a scan shows, as proposals."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tracer.cli.options import AsJson, CornersOfSheet, Page, Scan

if TYPE_CHECKING:
    from tracer.trace.sheet import Proposal

__all__ = ["parts"]


def parts(
    scan: Scan,
    page: Page = 1,
    corners: CornersOfSheet = "",
    as_json: AsJson = False,
) -> None:
    """List the parts that the reader sees on a scan, each with the conductors its terminals lie on.

    References and values are read from the lettering beside them, where it can be read.

    These are proposals: look at each beside the paper before you rely on it.
    """
    from tracer.cli.output import print_json, print_lines, print_table
    from tracer.cli.sheet import traced_scan
    from tracer.cli.wording import counted

    sheet = traced_scan(scan, page, named=True, corners=corners)
    if as_json:
        print_json({"parts": [_as_json(proposal) for proposal in sheet.proposals]})
        return
    if sheet.proposals:
        rows = [_row(proposal) for proposal in sheet.proposals]
        print_table(("kind", "sure", "box (x, y to x, y)", "terminal: conductor"), rows, right=(1,))
    print_lines(
        f"{counted(len(sheet.proposals), 'part')} proposed on page {page} of {scan.name}; none is confirmed."
    )


def _row(proposal: Proposal) -> tuple[str, ...]:
    x0, y0, x1, y1 = proposal.box
    ends = ", ".join(
        f"{end.name}: {'none' if end.conductor is None else end.conductor}" for end in proposal.terminals
    )
    name = " ".join(word for word in (proposal.kind, proposal.reference, proposal.value) if word)
    return name, f"{proposal.score:.0%}", f"{x0}, {y0} to {x1}, {y1}", ends


def _as_json(proposal: Proposal) -> dict[str, object]:
    return {
        "box": [int(edge) for edge in proposal.box],
        "kind": proposal.kind,
        "reference": proposal.reference,
        "value": proposal.value,
        "score": round(float(proposal.score), 4),
        "terminals": [
            {"name": end.name, "x": float(end.x), "y": float(end.y), "conductor": end.conductor}
            for end in proposal.terminals
        ],
    }

"""From a scan on disk to a traced sheet, for the commands that look at one scan."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from tracer.scan.corners import Corners
    from tracer.trace.mend import Body
    from tracer.trace.sheet import TracedSheet

__all__ = ["WITHIN", "traced_scan"]

WITHIN = 2.0
"""How far from a wire a point may lie and still be on it, in stroke widths."""


def traced_scan(
    scan: Path, page: int, bodies: tuple[Body, ...] = (), *, named: bool = False, corners: str = ""
) -> TracedSheet:
    """Open, read and trace one page of `scan`, showing progress; `bodies` are part boxes given by hand.

    With `named` the lettering is read too, and gives the parts their references and values. `corners` are
    those of a photographed sheet as typed, ``"none"``, or empty to look for them; what was found is said on
    stderr.

    Raises
    ------
    TracerError
        Whatever opening or reading refuses, and `Cancelled` on Ctrl-C.
    """
    from tracer.cli.progress import watched
    from tracer.reader.letters import read_lettering
    from tracer.reader.read import read
    from tracer.scan.open import open_page
    from tracer.trace.naming import name_proposals
    from tracer.trace.trace import trace

    with watched() as progress:
        opened = open_page(scan, page, progress=progress)
        layers = read(opened, progress, corners=_corners(opened.grey, corners))
        height, width = opened.grey.shape
        sheet = trace(layers, (height, width), bodies=bodies, progress=progress)
        return name_proposals(sheet, read_lettering(opened, layers, progress)) if named else sheet


def _corners(grey: NDArray[np.uint8], typed: str) -> Corners | None:
    from rich.console import Console

    from tracer.scan.corners import parse_corners, propose_corners

    if typed:
        return parse_corners(typed, grey.shape[:2])
    found = propose_corners(grey)
    if found is not None:
        Console(stderr=True).print(
            f"Looks photographed: laid flat by its corners {found}. If they are wrong, give them with "
            "--corners, or --corners none.",
            highlight=False,
            soft_wrap=True,  # so that the corners can be copied whole
        )
    return found

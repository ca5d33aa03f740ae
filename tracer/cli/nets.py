"""``tracer nets``: which conductor each point of a scan lies on."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from tracer.cli.options import AsJson, CornersOfSheet, Page, Scan

__all__ = ["nets"]


def nets(
    scan: Scan,
    points: Annotated[
        Path | None, typer.Option(help="CSV headed name,x,y: the places to ask about, page pixels.")
    ] = None,
    parts: Annotated[
        Path | None, typer.Option(help="CSV headed x0,y0,x1,y1[,kind]: part bodies given by hand.")
    ] = None,
    page: Page = 1,
    corners: CornersOfSheet = "",
    as_json: AsJson = False,
) -> None:
    """Tell which conductor of a scan each point lies on: two points on one number are joined by wire.

    A point is on a conductor when it lies within two stroke widths of one.
    """
    from tracer.cli.output import print_json, print_lines, print_table
    from tracer.cli.sheet import WITHIN, traced_scan
    from tracer.cli.tables import read_bodies, read_points
    from tracer.cli.wording import counted
    from tracer.trace.flood import FloodIndex

    wanted = read_points(points) if points else ()
    sheet = traced_scan(scan, page, read_bodies(parts) if parts else (), corners=corners)
    flood = FloodIndex(sheet)
    found = [(place, flood.conductor_at(place.x, place.y, within=WITHIN)) for place in wanted]
    if as_json:
        answers = [
            {"name": place.name, "x": place.x, "y": place.y, "conductor": conductor}
            for place, conductor in found
        ]
        print_json({"points": answers, "conductors": sheet.conductors})
        return
    rows = [
        (place.name, f"{place.x:g}", f"{place.y:g}", "none here" if conductor is None else str(conductor))
        for place, conductor in found
    ]
    if rows:
        print_table(("point", "x", "y", "conductor"), rows, right=(1, 2, 3))
    print_lines(f"{counted(sheet.conductors, 'conductor')} on page {page} of {scan.name}.")

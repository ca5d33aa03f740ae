"""Options that several commands take, spelled once."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

__all__ = [
    "AsJson",
    "Banks",
    "CoilTable",
    "ContactTable",
    "CornersOfSheet",
    "FromPoint",
    "Lifted",
    "MeterWords",
    "OutOfSocket",
    "Page",
    "Scan",
    "ToFolder",
    "Wipers",
    "WiringOrJob",
]

Scan = Annotated[Path, typer.Argument(metavar="SCAN", help="An image, a PDF or a TIFF.")]
Page = Annotated[int, typer.Option("--page", min=1, help="Page of a PDF or TIFF, from 1.")]
CornersOfSheet = Annotated[
    str,
    typer.Option(
        "--corners",
        metavar="'X,Y X,Y X,Y X,Y'",
        help="Corners of a photographed sheet, clockwise from its top left; none for no straightening. "
        "Looked for unless given.",
    ),
]
AsJson = Annotated[bool, typer.Option("--json", help="Answer with one JSON document.")]
WiringOrJob = Annotated[Path, typer.Argument(metavar="WIRING|JOB", help="A wiring list or a job file.")]
FromPoint = Annotated[
    str,
    typer.Option("--from", metavar="POINT", help="Where the positive lead goes: HT1, V2.6, R7.1, chassis."),
]
Banks = Annotated[
    list[str] | None,
    typer.Option("--set", metavar="BANK=POSITION", help="Where a switch bank stands; may be repeated."),
]
OutOfSocket = Annotated[
    list[str] | None, typer.Option("--out", metavar="PART", help="Out of its socket; may be repeated.")
]
Lifted = Annotated[
    list[str] | None,
    typer.Option(
        "--lift", metavar="TERMINAL", help="Unsoldered at this terminal, like R7.1; may be repeated."
    ),
]
Wipers = Annotated[
    list[str] | None,
    typer.Option(
        "--wiper", metavar="POT=PLACE", help="Where a wiper stands, 0 (terminal 1) to 1, like P1=0."
    ),
]
MeterWords = Annotated[
    list[str] | None,
    typer.Option(
        "--meter",
        metavar="WHAT=VALUE",
        help="What meter it is, where not as usual: error=2%, counts=3, leads=0.5, top=2M, current=0.1mA, "
        "volts=1.5V, polarity=reversed; may be repeated.",
    ),
]
ContactTable = Annotated[
    Path | None,
    typer.Option(
        "--contacts",
        metavar="CSV",
        help="Headed contact,bank,position: a row for each position at which a contact is closed.",
    ),
]
CoilTable = Annotated[
    Path | None,
    typer.Option(
        "--coil-ohms", metavar="CSV", help="Headed part,winding,ohms: what coils and windings have."
    ),
]
ToFolder = Annotated[
    Path, typer.Option("--to", metavar="DIR", file_okay=False, help="Folder to write into; made if absent.")
]

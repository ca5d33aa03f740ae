"""The traced sheets of a job: what was kept when nothing changed since, else read and traced anew."""

from __future__ import annotations

import hashlib
import io
import json
from collections.abc import Callable, Sequence
from importlib.metadata import PackageNotFoundError, version

import numpy as np

from tracer.bench.lettered import with_winding_ohms
from tracer.errors import DamagedJob, FileMissing
from tracer.job.corners import sheet_corners
from tracer.job.file import Job
from tracer.job.records import SheetRecord, Tag
from tracer.job.sheets import keep_trace, kept_trace, sheet_bytes
from tracer.job.ways import sheet_ways
from tracer.progress import NullProgress, Progress
from tracer.reader.layers import Layers
from tracer.reader.text_line import TextLine
from tracer.resources import asset
from tracer.scan.page import Page
from tracer.trace.mend import Body, Mend
from tracer.trace.sheet import DrawingHabits, TracedSheet

__all__ = ["bodies_of", "page_of", "traced_sheet"]

_WATCH_NOTHING = NullProgress()


def page_of(job: Job, record: SheetRecord, progress: Progress = _WATCH_NOTHING) -> Page:
    """Decode a sheet's page from the bytes that the job holds."""
    from tracer.scan.open import open_page_bytes

    data = sheet_bytes(job, record.number)
    return open_page_bytes(data, record.name, record.page, pdf_dpi=float(record.dpi), progress=progress)


def bodies_of(tags: Sequence[Tag]) -> tuple[Body, ...]:
    """Return what the tracing must know of confirmed parts: conductors end at their boxes.

    A label is lettering beside or at the end of a wire, no body; its box may lie over the wire.
    """
    return tuple(Body(tag.box, tag.kind) for tag in tags if tag.kind not in {"label", "link"})


def traced_sheet(
    job: Job,
    record: SheetRecord,
    tags: Sequence[Tag] = (),
    mends: Sequence[Mend] = (),
    progress: Progress = _WATCH_NOTHING,
    early: Callable[[TracedSheet], None] | None = None,
) -> TracedSheet:
    """Return one traced sheet, from the job where reader, tags' boxes and mends are as they were.

    `early` is handed the sheet as soon as it is traced, before the lettering is read.

    The reader's answer and the lettering are kept beside the tracing, so that a new tag or mend costs a
    tracing and no reading.
    """
    from tracer.trace.naming import name_proposals
    from tracer.trace.store import from_bytes, to_bytes
    from tracer.trace.trace import trace

    bodies, habits = bodies_of(tags), sheet_ways(job, record.number).habits
    reader, corners = _reader_sha256(), sheet_corners(job, record.number)
    readers = " ".join(filter(None, (reader, _letters_sha256(), corners)))
    key = f"traced {_digest(readers, record, bodies, mends, habits)}"
    kept = kept_trace(job, record.number, key)
    if kept is not None:
        try:
            return from_bytes(kept)
        except DamagedJob:
            pass  # What was kept by another version is made again.
    page_shape, layers = _read(job, record, reader, corners, progress)
    sheet = trace(layers, page_shape, bodies=bodies, mends=mends, habits=habits, progress=progress)
    if early is not None:
        early(sheet)
    lines = _lettering(job, record, layers, readers, progress)
    sheet = with_winding_ohms(name_proposals(sheet, lines), lines)
    keep_trace(job, record.number, key, to_bytes(sheet))
    return sheet


def _read(
    job: Job, record: SheetRecord, reader: str, corners: str, progress: Progress
) -> tuple[tuple[int, int], Layers]:
    """Return a page's shape and what the reader says of it; a photographed sheet is laid flat first."""
    key = f"read {record.sha256} {record.page} {record.dpi} {reader} {corners}".rstrip()
    kept = kept_trace(job, record.number, key)
    if kept is not None and reader:
        return _unpack(kept)
    from tracer.reader.read import read
    from tracer.scan.corners import parse_corners, propose_corners

    page = page_of(job, record, progress)
    height, width = page.grey.shape
    given = parse_corners(corners, (height, width)) if corners else propose_corners(page.grey)
    layers = read(page, progress, corners=given)
    keep_trace(job, record.number, key, _pack((height, width), layers))
    return (height, width), layers


def _lettering(
    job: Job, record: SheetRecord, layers: Layers, readers: str, progress: Progress
) -> tuple[TextLine, ...]:
    """Return what is lettered on a sheet, kept or read now; nothing where no recogniser is installed."""
    from tracer.reader.letters import read_lettering
    from tracer.reader.text_line import lines_from_bytes, lines_to_bytes

    key = f"lettered {record.sha256} {record.page} {record.dpi} {readers}"
    kept = kept_trace(job, record.number, key)
    if kept is not None:
        try:
            return lines_from_bytes(kept)
        except DamagedJob:
            pass  # What was kept by another version is read again.
    lines = read_lettering(page_of(job, record, progress), layers, progress)
    keep_trace(job, record.number, key, lines_to_bytes(lines))
    return lines


def _letters_sha256() -> str:
    """Return the hash of the installed recogniser of lettering as its card states it."""
    try:
        return str(json.loads(asset("letters.json").read_text("utf-8"))["sha256"])
    except (FileMissing, OSError, ValueError, KeyError):
        return ""


def _reader_sha256() -> str:
    """Return the hash of the installed weights as their card states it; reading checks the weights by it."""
    try:
        return str(json.loads(asset("reader.json").read_text("utf-8"))["sha256"])
    except (FileMissing, OSError, ValueError, KeyError):
        return ""


def _digest(
    reader: str,
    record: SheetRecord,
    bodies: Sequence[Body],
    mends: Sequence[Mend],
    habits: DrawingHabits | None = None,
) -> str:
    try:
        program = version("tracer")
    except PackageNotFoundError:
        program = ""
    hand = [[str(m.kind), m.x, m.y, m.x2, m.y2] for m in mends]
    told = [program, reader, record.sha256, record.page, record.dpi, [[b.box, b.kind] for b in bodies], hand]
    told += [] if habits is None else [[habits.dots, habits.wide_crossings, habits.broken]]
    return hashlib.sha256(json.dumps(told).encode()).hexdigest()


def _pack(shape: tuple[int, int], layers: Layers) -> bytes:
    buffer = io.BytesIO()
    np.savez_compressed(
        buffer,
        shape=np.array(shape, np.int64),
        classes=layers.classes,
        sureness=layers.sureness,
        kinds=layers.kinds,
        kind_sureness=layers.kind_sureness,
        kind_names=np.array(layers.kind_names),
        to_page=layers.to_page,
        stroke=np.array(layers.stroke),
        reader=np.array(layers.reader_sha256),
        ink=np.zeros(0, bool) if layers.ink is None else layers.ink,
    )
    return buffer.getvalue()


def _unpack(data: bytes) -> tuple[tuple[int, int], Layers]:
    with np.load(io.BytesIO(data), allow_pickle=False) as kept:
        height, width = (int(side) for side in kept["shape"])
        layers = Layers(
            classes=kept["classes"],
            sureness=kept["sureness"],
            kinds=kept["kinds"],
            kind_sureness=kept["kind_sureness"],
            kind_names=tuple(str(name) for name in kept["kind_names"]),
            to_page=kept["to_page"],
            stroke=float(kept["stroke"]),
            reader_sha256=str(kept["reader"]),
            ink=kept["ink"] if "ink" in kept and kept["ink"].size else None,
        )
    return (height, width), layers

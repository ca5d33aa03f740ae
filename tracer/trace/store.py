"""A traced sheet as bytes and back: one npz archive of plain arrays (no pickle) with a JSON record inside."""

from __future__ import annotations

import io
import json
import zipfile
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tracer.errors import DamagedJob
from tracer.trace.sheet import (
    Convention,
    ConventionKind,
    DrawingHabits,
    Join,
    JoinKind,
    Proposal,
    Segment,
    Terminal,
    TracedSheet,
)

__all__ = ["from_bytes", "to_bytes"]

_VERSION = 1


def to_bytes(sheet: TracedSheet) -> bytes:
    """Pack a traced sheet.

    Examples
    --------
    >>> empty = TracedSheet((10, 20), 3.0, (), (), (), 0, "abc")
    >>> from_bytes(to_bytes(empty)).shape
    (10, 20)
    """
    lines = [segment.line for segment in sheet.segments]
    record = {
        "version": _VERSION,
        "shape": list(sheet.shape),
        "stroke": sheet.stroke,
        "conductors": sheet.conductors,
        "reader_sha256": sheet.reader_sha256,
        "joins": [
            [
                join.x,
                join.y,
                join.kind.value,
                join.score,
                list(join.segments),
                [list(pair) for pair in join.pairs],
            ]
            for join in sheet.joins
        ],
        "proposals": [_proposal_to_json(proposal) for proposal in sheet.proposals],
        "conventions": [
            [said.kind.value, said.text, list(said.box), said.confidence] for said in sheet.conventions
        ],
        "habits": [sheet.habits.dots, sheet.habits.wide_crossings, sheet.habits.broken],
    }
    text = json.dumps(record, allow_nan=False, separators=(",", ":")).encode()
    buffer = io.BytesIO()
    np.savez_compressed(
        buffer,
        record=np.frombuffer(text, np.uint8),
        points=np.concatenate(lines).astype(np.float32) if lines else np.zeros((0, 2), np.float32),
        counts=np.array([len(line) for line in lines], np.int32),
        widths=np.array([segment.width for segment in sheet.segments], np.float64),
        ends=np.array([segment.joins for segment in sheet.segments], np.int32).reshape(-1, 2),
        numbers=np.array([segment.conductor for segment in sheet.segments], np.int32),
    )
    return buffer.getvalue()


def from_bytes(data: bytes) -> TracedSheet:
    """Unpack what `to_bytes` packed.

    Raises
    ------
    DamagedJob
        When the bytes are not such an archive, or its parts do not fit together.
    """
    try:
        with np.load(io.BytesIO(data), allow_pickle=False) as archive:
            parts = {name: archive[name] for name in archive.files}
        record = json.loads(parts["record"].tobytes())
        if record["version"] != _VERSION:
            raise ValueError(f"version {record['version']}")
        return _build(record, parts)
    except (ValueError, KeyError, TypeError, IndexError, OSError, EOFError, zipfile.BadZipFile) as error:
        raise DamagedJob(
            f"The stored tracing of a sheet cannot be read ({error}). Trace that sheet again."
        ) from error


def _build(record: dict[str, Any], parts: dict[str, NDArray[Any]]) -> TracedSheet:
    """Put a sheet together from its record and arrays."""
    if int(parts["counts"].sum()) != len(parts["points"]):
        raise ValueError("points and counts differ")
    lines = np.split(parts["points"], np.cumsum(parts["counts"])[:-1]) if len(parts["counts"]) else []
    segments = tuple(
        Segment(number, line, float(width), (int(ends[0]), int(ends[1])), int(conductor))
        for number, (line, width, ends, conductor) in enumerate(
            zip(lines, parts["widths"], parts["ends"], parts["numbers"], strict=True)
        )
    )
    joins = tuple(
        Join(number, x, y, JoinKind(kind), score, tuple(touching), tuple((a, b) for a, b in pairs))
        for number, (x, y, kind, score, touching, pairs) in enumerate(record["joins"])
    )
    height, width = record["shape"]
    return TracedSheet(
        (height, width),
        record["stroke"],
        segments,
        joins,
        tuple(_proposal_from_json(number, entry) for number, entry in enumerate(record["proposals"])),
        record["conductors"],
        record["reader_sha256"],
        tuple(
            Convention(ConventionKind(kind), text, (x0, y0, x1, y1), sure)
            for kind, text, (x0, y0, x1, y1), sure in record.get("conventions", ())
        ),
        DrawingHabits(*record.get("habits", ())),
    )


def _proposal_to_json(proposal: Proposal) -> dict[str, Any]:
    """Return a proposal as plain JSON values."""
    return {
        "box": list(proposal.box),
        "kind": proposal.kind,
        "score": proposal.score,
        "terminals": [[end.name, end.x, end.y, end.conductor] for end in proposal.terminals],
        "reference": proposal.reference,
        "value": proposal.value,
        "sure": [proposal.reference_confidence, proposal.value_confidence],
    }


def _proposal_from_json(number: int, entry: dict[str, Any]) -> Proposal:
    """Return the proposal of `_proposal_to_json`."""
    x0, y0, x1, y1 = entry["box"]
    terminals = tuple(Terminal(name, x, y, conductor) for name, x, y, conductor in entry["terminals"])
    return Proposal(
        number,
        (x0, y0, x1, y1),
        entry["kind"],
        entry["score"],
        terminals,
        entry["reference"],
        entry["value"],
        *entry.get("sure", (0.0, 0.0)),
    )

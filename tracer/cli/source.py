"""A wiring list or a job file, told apart by what is in it, as a circuit and the readings taken on it."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from tracer.circuit.elements import Circuit, Setting
from tracer.circuit.meter import parse_meter
from tracer.circuit.results import Meter, Reading
from tracer.circuit.tables import with_coil_ohms, with_contacts
from tracer.errors import BadTable, BadWiring, EmptyFile, FileMissing, UnknownPoint

__all__ = ["Source", "chosen_setting", "is_job", "load_source", "warn"]

_SQLITE_HEADER = b"SQLite format 3\x00"  # https://www.sqlite.org/fileformat.html §1.3


@dataclass(frozen=True, slots=True)
class Source:
    """What a command works on.

    Attributes
    ----------
    circuit : Circuit
    readings : tuple of Reading
        Those of a job that were not withdrawn and whose points it still has; a wiring list has none.
    setting : Setting
        The one last chosen in a job; the default one for a wiring list.
    meter : Meter
        The one last chosen in a job; the default one for a wiring list.
    warnings : tuple of str
        Sentences for the user.
    joins : tuple of (str, str, float)
        Nodes that a job's tracing was less than sure of having joined or kept apart, and how sure it was.
    """

    circuit: Circuit
    readings: tuple[Reading, ...] = ()
    setting: Setting = field(default_factory=Setting)
    meter: Meter = field(default_factory=Meter)
    warnings: tuple[str, ...] = ()
    joins: tuple[tuple[str, str, float], ...] = ()


def is_job(path: Path) -> bool:
    """Whether `path` starts as a job file (SQLite) does.

    Raises
    ------
    FileMissing
        When it does not exist, is a folder, or may not be read.
    EmptyFile
        When it holds 0 bytes.
    """
    try:
        with path.open("rb") as file:
            start = file.read(len(_SQLITE_HEADER))
    except OSError as error:
        raise FileMissing(f"{path} cannot be read: {error.strerror}. Check its name.") from error
    if not start:
        raise EmptyFile(f"{path} is empty (0 bytes). Give a wiring list or a job file.")
    return start == _SQLITE_HEADER


def load_source(
    path: Path,
    meter: Sequence[str] | None = None,
    contacts: Path | None = None,
    coils: Path | None = None,
) -> Source:
    """Load the circuit of a wiring list or of a job, showing progress where sheets must be traced.

    Parameters
    ----------
    path : Path
    meter : sequence of str, optional
        Words on the meter, laid over what the job or the default says of it.
    contacts, coils : Path, optional
        Tables that fill the circuit in (`tracer.circuit.tables`).

    Raises
    ------
    TracerError
        `FileMissing`, `EmptyFile`, `BadWiring` (with the line), `NotAJob`, `DamagedJob`, `JobTooNew`.
    """
    loaded = _load_job(path) if is_job(path) else _load_wiring(path)
    if meter:
        loaded = replace(loaded, meter=parse_meter(meter, loaded.meter))
    circuit = loaded.circuit
    if contacts is not None:
        circuit = with_contacts(circuit, _text(contacts), str(contacts))
    if coils is not None:
        circuit = with_coil_ohms(circuit, _text(coils), str(coils))
    return replace(loaded, circuit=circuit)


def _text(path: Path) -> str:
    try:
        return path.read_text("utf-8-sig")
    except OSError as error:
        raise FileMissing(f"{path} cannot be read: {error.strerror}. Check its name.") from error
    except UnicodeDecodeError as error:
        raise BadTable(f"{path} is no text file in UTF-8. Save the table as CSV in UTF-8.") from error


def chosen_setting(
    source: Source,
    banks: Sequence[str] | None,
    out: Sequence[str] | None,
    lifted: Sequence[str] | None,
    wipers: Sequence[str] | None,
) -> Setting:
    """Return the source's own setting with what the command line says laid over it.

    Raises
    ------
    TracerError
        `UnknownPosition`, `UnknownPoint` or `BadValue`; the message lists what exists.
    """
    from tracer.circuit.settings import parse_setting

    own, given = (
        source.setting,
        parse_setting(source.circuit, banks or (), out or (), lifted or (), wipers or ()),
    )
    return Setting(
        banks={**own.banks, **given.banks},
        out=own.out | given.out,
        lifted=own.lifted | given.lifted,
        wipers={**own.wipers, **given.wipers},
    )


def warn(source: Source) -> None:
    """Print the warnings on stderr."""
    for sentence in source.warnings:
        print(f"tracer: {sentence}", file=sys.stderr)


def _load_wiring(path: Path) -> Source:
    from tracer.circuit.wiring import parse_wiring

    try:
        text = path.read_text("utf-8-sig")
    except UnicodeDecodeError as error:
        raise BadWiring(
            f"{path} is neither a job file nor a wiring list: it is no text in UTF-8. "
            "A scan goes to `tracer nets`, `tracer parts` or `tracer desk`."
        ) from error
    return Source(parse_wiring(text, str(path)))


def _load_job(path: Path) -> Source:
    from tracer.bench.assemble import assemble
    from tracer.cli.progress import watched
    from tracer.job.choices import current_meter, current_setting
    from tracer.job.file import open_job
    from tracer.job.readings import as_reading, readings

    with watched() as progress, open_job(path) as job:
        bench = assemble(job, progress)
        taken = tuple(as_reading(record) for record in readings(job))
        standing = tuple(reading for reading in taken if _has_both(bench.circuit, reading))
        gone = tuple(
            f"Reading {reading.number} ({reading.start} to {reading.end}) is left out: "
            "the circuit no longer has both its points."
            for reading in taken
            if reading not in standing
        )
        said = (*bench.warnings, *gone)
        return Source(
            bench.circuit, standing, current_setting(job), current_meter(job), said, tuple(bench.joins)
        )


def _has_both(circuit: Circuit, reading: Reading) -> bool:
    from tracer.circuit.points import resolve_point

    try:
        resolve_point(circuit, reading.start)
        resolve_point(circuit, reading.end)
    except UnknownPoint:
        return False
    return True

"""Writing the whole report into a folder, each file whole or not at all."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from uuid import uuid4

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.bench.chart import resistance_chart
from tracer.bench.records import Bench, Standing
from tracer.bench.standing import standing
from tracer.bench.tracing import page_of
from tracer.bench.wiring_export import contracted
from tracer.circuit.discharge import discharges
from tracer.circuit.results import Meter, Tint
from tracer.circuit.wiring import print_wiring
from tracer.errors import TargetUnwritable
from tracer.job.choices import current_setting
from tracer.job.edits import now
from tracer.job.file import Job
from tracer.job.marks import marks
from tracer.job.records import SheetRecord
from tracer.job.sheets import sheets
from tracer.progress import NullProgress, Progress, checkpoint
from tracer.report.chart import chart_csv
from tracer.report.checklist import make_checklist
from tracer.report.pages import SheetPicture, checklist_csv, checklist_html, picture_of
from tracer.report.tinted import tinted_sheet

__all__ = ["write_all", "write_files"]


def write_all(
    job: Job, bench: Bench, folder: Path, meter: Meter, progress: Progress | None = None
) -> tuple[Path, ...]:
    """Write sheet.png (sheet-2.png…), checklist.csv and .html, chart.csv and wiring.txt; return their paths.

    Parameters
    ----------
    job : Job
    bench : Bench
    folder : Path
        Made where it is missing. Files of those names in it are replaced.
    meter : Meter
    progress : Progress, optional

    Raises
    ------
    TargetUnwritable
        When `folder` cannot be made or written; nothing is half written.
    Cancelled
        Nothing was written.
    """
    progress = progress or NullProgress()
    checkpoint(progress, "proving", 0.0)
    stands = standing(job, bench, meter)
    files: dict[str, bytes] = {}
    pictures: list[SheetPicture] = []
    records = sheets(job)
    for place, record in enumerate(records):
        checkpoint(progress, f"drawing sheet {record.number}", 0.2 + 0.5 * place / len(records))
        image = _drawn(job, bench, stands, record)
        files["sheet.png" if place == 0 else f"sheet-{place + 1}.png"] = _png(image)
        pictures.append(picture_of(record.number, record.name, image))
    checkpoint(progress, "writing the check list", 0.7)
    checklist = make_checklist(job, bench, stands, meter)
    tinted = [tint for _, tint in stands.proof.tints]
    counts = (sum(tint in {Tint.CARRIED, Tint.PINNED} for tint in tinted), len(tinted))
    chart = resistance_chart(bench.circuit, meter, progress)
    charged = discharges(bench.circuit, current_setting(job), meter)
    page = checklist_html(checklist, chart, pictures, job.path.stem, now(), counts, charged)
    files["chart.csv"] = chart_csv(chart).encode()
    files["checklist.csv"] = checklist_csv(checklist).encode()
    files["checklist.html"] = page.encode()
    files["wiring.txt"] = _wiring(job, bench).encode()
    checkpoint(progress, "writing the files", 0.95)
    written = write_files(folder, files)
    progress.advance("writing the files", 1.0)
    return written


def write_files(folder: Path, files: Mapping[str, bytes]) -> tuple[Path, ...]:
    """Write files by name into a folder: all are written whole under other names before any takes its own.

    Raises
    ------
    TargetUnwritable
        When the folder cannot be made or written.
    """
    folder = Path(folder)
    mark = uuid4().hex[:8]
    parts = {name: folder / f".{name}.{mark}.part" for name in files}
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, data in files.items():
            parts[name].write_bytes(data)
        for name, part in parts.items():
            part.replace(folder / name)
    except OSError as error:
        raise TargetUnwritable(
            f"The report cannot be written to {folder} ({error.strerror or error}). Nothing was half "
            "written. Choose a folder that is writable, and check that the disk has room."
        ) from error
    finally:
        for part in parts.values():
            with suppress(OSError):
                part.unlink(missing_ok=True)
    return tuple(folder / name for name in files)


def _drawn(job: Job, bench: Bench, stands: Standing, record: SheetRecord) -> NDArray[np.uint8]:
    grey = page_of(job, record).grey
    title = f"{job.path.stem}: sheet {record.number}, {record.name}"
    here = marks(job, record.number)
    return tinted_sheet(grey, record.number, bench, stands.proof, marks=here, title=title)


def _png(image: NDArray[np.uint8]) -> bytes:
    # Level 3 of zlib writes a large sheet several times faster than the usual 9, at little more size.
    done, data = cv2.imencode(
        ".png", cv2.cvtColor(image, cv2.COLOR_RGB2BGR), [cv2.IMWRITE_PNG_COMPRESSION, 3]
    )
    assert done
    return data.tobytes()


def _wiring(job: Job, bench: Bench) -> str:
    head = f"# Wiring list of {job.path.stem}, from what was confirmed on its sheets. Written {now()}.\n"
    notes = "".join(f"# {warning}\n" for warning in bench.warnings)
    return head + notes + print_wiring(contracted(bench.circuit))

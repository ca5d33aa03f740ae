"""From a job with a scan to the bench, with a reader that takes all ink for wire."""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
import pytest

from tracer.bench import tracing
from tracer.bench.assemble import assemble
from tracer.circuit.points import resolve_point
from tracer.errors import BadConfirmation, Cancelled
from tracer.job.corners import set_sheet_corners
from tracer.job.edits import undo
from tracer.job.file import Job, create_job, open_job
from tracer.job.mends import add_mend
from tracer.job.records import Tag, TagTerminal
from tracer.job.sheets import add_sheet
from tracer.job.tags import add_tag
from tracer.progress import NullProgress, Progress
from tracer.reader import read as reader
from tracer.reader.layers import Layers
from tracer.scan.corners import Corners
from tracer.scan.page import Page
from tracer.trace.mend import Mend, MendKind

R1 = Tag(
    1, (200, 90, 260, 110), "resistor", "R1", "1k", (TagTerminal("1", 199, 100), TagTerminal("2", 260, 100))
)
R2 = Tag(1, (40, 90, 60, 110), "resistor", "R2", "1k", (TagTerminal("1", 40, 100), TagTerminal("2", 60, 100)))


class Readings:
    """Stands in for the learned reader and counts how often it was asked."""

    def __init__(self) -> None:
        self.count = 0
        self.corners: Corners | None = None

    def read(
        self,
        page: Page,
        progress: Progress = NullProgress(),  # noqa: B008
        corners: Corners | None = None,
    ) -> Layers:
        self.count += 1
        self.corners = corners
        classes = (page.grey < 128).astype(np.uint8)
        cells = np.zeros((-(-classes.shape[0] // 4), -(-classes.shape[1] // 4)), np.uint8)
        page_from_grid = np.array([[1.0, 0, 0], [0, 1.0, 0]])
        return Layers(classes, classes * 255, cells, cells, ("none",), page_from_grid, 3.0, "all ink is wire")


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> Readings:
    readings = Readings()
    monkeypatch.setattr(reader, "read", readings.read)
    monkeypatch.setattr(tracing, "_reader_sha256", lambda: "all ink is wire")
    return readings


@pytest.fixture
def job(tmp_path: Path) -> Job:
    page = np.full((200, 500), 255, np.uint8)
    cv2.line(page, (10, 100), (460, 100), 0, 3)
    cv2.line(page, (400, 100), (400, 180), 0, 3)
    cv2.imwrite(str(tmp_path / "sheet.png"), page)
    made = create_job(tmp_path / "a.tracer")
    add_sheet(made, tmp_path / "sheet.png")
    (tmp_path / "sheet.png").unlink()
    return made


def test_an_unchanged_sheet_is_read_and_traced_once(job: Job, asked: Readings) -> None:
    first = assemble(job)
    assert first.sheets[1].conductors == 1
    assert first.circuit.elements == ()
    job.close()
    with open_job(job.path) as again:
        second = assemble(again)
    assert asked.count == 1
    assert second.sheets[1].conductors == 1


def test_a_tag_cuts_the_conductor_without_another_reading_of_the_sheet(job: Job, asked: Readings) -> None:
    with job:
        assemble(job)
        add_tag(job, R1)
        laid = assemble(job, strict=True)
        assert laid.sheets[1].conductors == 2
        assert resolve_point(laid.circuit, "R1.1") != resolve_point(laid.circuit, "R1.2")
        undo(job)
        assert assemble(job).sheets[1].conductors == 1
        assert asked.count == 1


def test_a_mend_joins_what_the_tag_cut(job: Job, asked: Readings) -> None:
    with job:
        add_tag(job, R1)
        add_mend(job, Mend(MendKind.CUT, 350, 100))
        assert assemble(job).sheets[1].conductors == 3
        undo(job)
        assert assemble(job).sheets[1].conductors == 2


def test_wire_lies_between_the_terminals_of_parts(job: Job, asked: Readings) -> None:
    with job:
        add_tag(job, R1)
        add_tag(job, R2)
        laid = assemble(job, strict=True)
    (wire,) = [e for e in laid.circuit.elements if e.kind == "wire"]
    (place,) = laid.places[wire.reference]
    xs = np.concatenate([line[:, 0] for line in place.lines])
    assert xs.min() == pytest.approx(60, abs=4)
    assert xs.max() == pytest.approx(200, abs=4)


def test_progress_runs_over_all_sheets_and_can_be_stopped(job: Job, asked: Readings, tmp_path: Path) -> None:
    class Watch:
        def __init__(self, most: float) -> None:
            self.most, self.seen = most, [0.0]

        def advance(self, stage: str, share: float) -> None:
            assert stage.startswith("sheet ")
            self.seen.append(share)

        def cancelled(self) -> bool:
            return self.seen[-1] >= self.most

    with job:
        watch = Watch(2.0)
        assemble(job, watch)
        assert watch.seen[-1] == pytest.approx(1.0)
        add_tag(job, R1)
        with pytest.raises(Cancelled):
            assemble(job, Watch(0.3))
        assert assemble(job).sheets[1].conductors == 2


def test_a_damaged_kept_tracing_is_made_again(job: Job, asked: Readings) -> None:
    with job:
        assemble(job)
        job.connection.execute("UPDATE traces SET bytes = x'00' WHERE key LIKE 'traced %'")
        assert assemble(job).sheets[1].conductors == 1


def test_strict_refuses_a_tag_off_the_wire(job: Job, asked: Readings) -> None:
    with job:
        add_tag(job, Tag(1, (90, 10, 110, 30), "chassis", "E1", None, (TagTerminal("1", 100, 12),)))
        assert assemble(job).warnings
        with pytest.raises(BadConfirmation):
            assemble(job, strict=True)


def test_corners_given_by_a_person_are_read_by_and_a_changed_mind_reads_anew(
    job: Job, asked: Readings
) -> None:
    assemble(job)
    assert asked.corners is None
    set_sheet_corners(job, 1, "5,5 480,8 470,190 9,185")
    assemble(job)
    assert asked.count == 2
    assert asked.corners == Corners((5.0, 5.0), (480.0, 8.0), (470.0, 190.0), (9.0, 185.0))
    undo(job)
    assemble(job)
    assert asked.count == 2

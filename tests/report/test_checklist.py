"""The report: words, page, table and files."""

from __future__ import annotations

import csv
import io
import re
from html.parser import HTMLParser
from pathlib import Path

import cv2
import numpy as np
import pytest
from invented import bench

from tracer.bench.readings import take_reading
from tracer.bench.standing import standing
from tracer.cautions import CAUTIONS
from tracer.circuit.discharge import DISCHARGE_CAUTION
from tracer.circuit.elements import Setting
from tracer.circuit.results import Expectation, Meter, Open
from tracer.circuit.wiring import parse_wiring
from tracer.errors import Cancelled, TargetUnwritable
from tracer.job.edits import redo, undo
from tracer.job.file import Job, create_job
from tracer.job.marks import add_mark
from tracer.job.records import Mark, MarkKind
from tracer.job.sheets import add_sheet
from tracer.report import write
from tracer.report.checklist import make_checklist, range_in_words
from tracer.report.legend import DRAWN_ROUTE
from tracer.report.pages import COLUMNS, checklist_csv
from tracer.report.write import write_all, write_files

METER = Meter()
NAMES = ["chart.csv", "checklist.csv", "checklist.html", "sheet.png", "wiring.txt"]


@pytest.fixture
def job(tmp_path: Path) -> Job:
    """Return a job with one passing, one failing and one withdrawn reading, the last brought back."""
    cv2.imwrite(str(tmp_path / "scan.png"), np.full((600, 800), 255, np.uint8))
    made = create_job(tmp_path / "<invented> & set.tracer")
    add_sheet(made, tmp_path / "scan.png")
    laid = bench()
    take_reading(made, laid, "HT1", "R2.1", "1k01", Setting(), METER)
    take_reading(made, laid, "HT2", "V1.6", "OL", Setting(), METER)
    take_reading(made, laid, "HT1", "R1.1", "0.2", Setting(), METER)
    undo(made)
    redo(made)
    add_mark(made, Mark(1, 400.0, 190.0, MarkKind.REPLACED, "2020-01-01T00:00:00+00:00", "a new <450 V> one"))
    return made


class Page(HTMLParser):
    """Gathers a page's text in order, its tags, and every address it names."""

    def __init__(self) -> None:
        super().__init__()
        self.text, self.addresses, self.open = [""], list[str](), list[str]()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.addresses += [value or "" for name, value in attrs if name in {"src", "href"}]
        if tag not in {"meta", "img"}:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.text.append(data)


def test_rows_say_what_was_expected_shown_proved_and_why(job: Job) -> None:
    laid = bench()
    checklist = make_checklist(job, laid, standing(job, laid, METER), METER)
    passing, failing, withdrawn, again = checklist.rows
    assert (passing.start, passing.end, passing.shown, passing.verdict) == ("HT1", "R2.1", "1k01", "pass")
    low, high = re.fullmatch(r"(\d+) to (\w+)", passing.expected).groups()  # type: ignore[union-attr]
    assert int(low) <= 800
    assert high.startswith("1k2")
    assert "R1" in passing.proved
    assert "of wire" in passing.proved
    assert failing.verdict == "high"
    assert failing.why
    assert failing.proved == ""
    assert withdrawn.withdrawn
    assert withdrawn.verdict.endswith("; withdrawn")
    assert again.verdict.endswith("; reading 3 again")
    assert checklist.ahead
    assert [row[:3] for row in checklist.marked] == [("C1", "replaced", "a new <450 V> one")]
    assert any("R1" in row for row in checklist.pinned)
    assert any(row[0] == "R2" for row in checklist.doubted)


def test_the_table_has_a_line_for_each_reading(job: Job) -> None:
    laid = bench()
    checklist = make_checklist(job, laid, standing(job, laid, METER), METER)
    lines = list(csv.DictReader(io.StringIO(checklist_csv(checklist))))
    assert tuple(lines[0]) == COLUMNS
    assert [line["reading"] for line in lines] == ["1", "2", "3", "4"]
    assert lines[0]["verdict"] == "pass"


def test_all_files_are_written_and_read_back(job: Job, tmp_path: Path) -> None:
    folder = tmp_path / "a" / "report"
    written = write_all(job, bench(), folder, METER)
    assert sorted(path.name for path in written) == NAMES == sorted(path.name for path in folder.iterdir())
    image = cv2.imread(str(folder / "sheet.png"))
    assert image is not None
    assert image.shape[1] == 800
    assert image.shape[0] > 600
    circuit = parse_wiring((folder / "wiring.txt").read_text("utf-8"))
    assert {element.reference for element in circuit.elements} == {"R1", "R2", "C1", "V1"}


def test_the_page_needs_nothing_else_and_begins_with_the_cautions(job: Job, tmp_path: Path) -> None:
    write_all(job, bench(), tmp_path / "report", METER)
    page = Page()
    page.feed((tmp_path / "report" / "checklist.html").read_text("utf-8"))
    text = " ".join(" ".join(page.text).split())
    places = [text.index(" ".join(caution.split())) for caution in CAUTIONS]
    assert places == sorted(places)
    assert places[-1] < text.index("Rails") < text.index("HT2")
    assert DRAWN_ROUTE in text
    assert "<invented> & set" in text
    assert "a new <450 V> one" in text
    assert page.open == []
    assert page.addresses
    assert all(address.startswith("data:image/jpeg;base64,") for address in page.addresses)


def test_a_report_in_the_way_of_a_file_writes_nothing(job: Job, tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("something dear")
    with pytest.raises(TargetUnwritable, match="taken"):
        write_all(job, bench(), tmp_path / "taken", METER)
    assert (tmp_path / "taken").read_text() == "something dear"


def test_a_disk_that_fills_up_leaves_the_old_report_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "report"
    write_files(folder, {"a.txt": b"old a", "b.txt": b"old b"})
    whole = Path.write_bytes

    def full(path: Path, data: bytes) -> int:
        if path.name.startswith(".b.txt"):
            whole(path, data[:1])
            raise OSError(28, "No space left on device")
        return whole(path, data)

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(TargetUnwritable, match="No space left"):
        write_files(folder, {"a.txt": b"new a", "b.txt": b"new b"})
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == {
        "a.txt": b"old a",
        "b.txt": b"old b",
    }


def test_cancelling_writes_nothing(job: Job, tmp_path: Path) -> None:
    class Impatient:
        def __init__(self) -> None:
            self.stages: list[str] = []

        def advance(self, stage: str, share: float) -> None:
            self.stages.append(stage)

        def cancelled(self) -> bool:
            return "writing the check list" in self.stages

    with pytest.raises(Cancelled):
        write_all(job, bench(), tmp_path / "report", METER, Impatient())
    assert not (tmp_path / "report").exists()


def test_what_keeps_its_charge_stands_among_the_cautions(job: Job, tmp_path: Path) -> None:
    write_all(job, bench(), tmp_path / "report", METER)
    page = Page()
    page.feed((tmp_path / "report" / "checklist.html").read_text("utf-8"))
    text = " ".join(" ".join(page.text).split())
    assert text.index(DISCHARGE_CAUTION) < text.index("C1 (up to") < text.index("Rails")


def test_an_empty_job_makes_a_report_too(tmp_path: Path) -> None:
    from tracer.bench.layout import lay_out

    with create_job(tmp_path / "empty.tracer") as job:
        written = write_all(job, lay_out({}, ()), tmp_path / "report", METER)
    assert sorted(path.name for path in written) == [
        "chart.csv",
        "checklist.csv",
        "checklist.html",
        "wiring.txt",
    ]
    assert "None taken yet." in (tmp_path / "report" / "checklist.html").read_text("utf-8")


def test_a_second_sheet_has_a_picture_of_its_own(job: Job, tmp_path: Path) -> None:
    from invented import RAILS, TAGS, sheet

    from tracer.bench.layout import lay_out

    add_sheet(job, tmp_path / "scan.png")
    laid = lay_out({1: sheet(), 2: sheet()}, TAGS, (), RAILS)
    names = {path.name for path in write_all(job, laid, tmp_path / "report", METER)}
    assert {"sheet.png", "sheet-2.png"} <= names
    assert write.__all__


def _expectation(low: float | None, high: float | None, is_open: Open = Open.NEVER) -> Expectation:
    return Expectation("a", "b", low, None, high, low, high, is_open, 0.0, ())


@pytest.mark.parametrize(
    ("expectation", "words"),
    [
        (_expectation(4230.0, 5170.0), "4k23 to 5k17"),
        (_expectation(0.0, 0.5), "0 to 0R5"),
        (_expectation(1e6, None), "1M or more"),
        (_expectation(None, None, Open.ALWAYS), "OL"),
        (None, ""),
    ],
)
def test_ranges_in_words(expectation: Expectation | None, words: str) -> None:
    assert range_in_words(expectation) == words

"""The demo's scan, read and traced by the shipped reader, against the truth written beside its drawing.

The truth (``fixtures/demo/wiring.txt``) was written by hand and is read by nothing in the program; the
confirmations hold pixels alone, so every join below comes out of the scan.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tracer.bench.assemble import assemble
from tracer.bench.confirm import apply_confirmations, load_confirmations
from tracer.bench.records import Bench
from tracer.circuit.elements import Circuit
from tracer.circuit.expect import expect
from tracer.circuit.points import terminal_points
from tracer.circuit.wiring import parse_wiring
from tracer.job.edits import undo
from tracer.job.file import Job, create_job
from tracer.job.sheets import add_sheet
from tracer.job.tags import remove_tag, tags
from tracer.resources import asset

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Job]:
    with create_job(tmp_path_factory.mktemp("demo") / "demo.tracer") as made:
        add_sheet(made, asset("demo/sheet.png"))
        apply_confirmations(made, load_confirmations(asset("demo/confirmations.json")))
        yield made


@pytest.fixture(scope="module")
def laid(job: Job) -> Bench:
    return assemble(job, strict=True)


@pytest.fixture(scope="module")
def truth() -> Circuit:
    return parse_wiring((ROOT / "fixtures/demo/wiring.txt").read_text("utf-8"))


def test_every_rail_reads_the_same_to_every_pin(laid: Bench, truth: Circuit) -> None:
    pins = [name for name, _ in terminal_points(truth) if name.startswith("V")]
    for rail in ("HT1", "HT2", "HT3", "chassis"):
        for pin in pins:
            made, true = expect(laid.circuit, rail, pin), expect(truth, rail, pin)
            assert made.open == true.open, (rail, pin)
            for one, other in ((made.low, true.low), (made.expected, true.expected), (made.high, true.high)):
                # Each stretch of wire may add 0.1 Ω, and the way through the sheet has some dozens.
                assert (one is None) == (other is None)
                if one is not None and other is not None:
                    assert one == pytest.approx(other, rel=2e-3, abs=6.0), (rail, pin)


def test_every_element_and_terminal_has_a_place_on_the_page(laid: Bench) -> None:
    height, width = laid.sheets[1].shape
    for element in laid.circuit.elements:
        for place in laid.places[element.reference]:
            assert place.box is not None or place.lines or element.kind == "wire"
            for line in place.lines:
                assert (line >= -1).all()
                assert (line <= (width, height)).all()
    for name, _ in terminal_points(laid.circuit):
        assert 0 <= laid.point_places[name].x < width


def test_a_removed_tag_takes_its_part_out_and_undo_brings_it_back(job: Job, laid: Bench) -> None:
    (tag,) = [tag for tag in tags(job) if tag.reference == "R20"]
    assert tag.id is not None
    remove_tag(job, tag.id)
    without = assemble(job)
    assert not any(element.reference == "R20" for element in without.circuit.elements)
    undo(job)
    again = assemble(job)
    assert again.circuit == laid.circuit

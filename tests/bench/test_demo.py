"""The demo end to end, from the pixels of its scan, against the wiring list written by hand."""

from __future__ import annotations

import shutil
from pathlib import Path

import networkx as nx
import numpy as np
import pytest
from PIL import Image, ImageDraw

from tracer.bench import demo
from tracer.bench.assemble import assemble
from tracer.bench.demo import DemoDone, run_demo
from tracer.circuit.elements import CHASSIS, Circuit, Setting
from tracer.circuit.expect import expect
from tracer.circuit.results import CauseKind, Verdict
from tracer.circuit.wiring import parse_wiring
from tracer.errors import DemoFailed
from tracer.job.file import open_job
from tracer.resources import asset

WIRING = Path("fixtures/demo/wiring.txt")
BONDS = frozenset({"wire", "bond", "chassis", "label"})


@pytest.fixture(scope="module")
def done(tmp_path_factory: pytest.TempPathFactory) -> DemoDone:
    return run_demo(tmp_path_factory.mktemp("demo"))


@pytest.fixture(scope="module")
def traced(done: DemoDone) -> Circuit:
    with open_job(done.job) as job:
        return assemble(job).circuit


@pytest.fixture(scope="module")
def truth() -> Circuit:
    return parse_wiring(WIRING.read_text(encoding="utf-8"), str(WIRING))


def _nets(circuit: Circuit) -> set[frozenset[str]]:
    """Terminals joined by wire, bonds, chassis signs and labels, by networkx."""
    graph: nx.Graph[tuple[str, str]] = nx.Graph()
    for element in circuit.elements:
        for terminal, node in element.terminals:
            graph.add_node(("node", node))
            if element.kind not in BONDS:
                graph.add_edge(("node", node), ("terminal", f"{element.reference}.{terminal}"))
        nodes = [("node", node) for _, node in element.terminals]
        if element.kind in ("wire", "bond"):
            graph.add_edge(*nodes)
        elif element.kind == "chassis":
            graph.add_edge(nodes[0], ("node", CHASSIS))
        elif element.kind == "label":
            graph.add_edge(nodes[0], ("node", str(element.value)))
    nets = (
        frozenset(name for what, name in net if what == "terminal") for net in nx.connected_components(graph)
    )
    return {net for net in nets if net}


def test_every_terminal_lands_on_the_right_net(traced: Circuit, truth: Circuit) -> None:
    assert _nets(traced) == _nets(truth)


@pytest.mark.parametrize("position", ["Mic", "Gram", "Tape"])
@pytest.mark.parametrize(
    ("start", "end"),
    [("HT1", "chassis"), ("HT3", "V1.6"), ("HT2", "V2.6"), ("HT1", "V4.7"), ("chassis", "V2.2")],
)
def test_the_traced_circuit_expects_what_the_wiring_list_expects(
    traced: Circuit, truth: Circuit, start: str, end: str, position: str
) -> None:
    setting = Setting(banks={"INPUT": position})
    ours, theirs = (expect(circuit, start, end, setting) for circuit in (traced, truth))
    assert ours.open == theirs.open
    assert ours.expected == (None if theirs.expected is None else pytest.approx(theirs.expected, rel=1e-6))
    assert ours.low == (None if theirs.low is None else pytest.approx(theirs.low, rel=1e-3))


def test_the_readings_tell_their_story(done: DemoDone) -> None:
    charging, charged, *_ = done.outcomes
    assert charging.verdict is Verdict.WAIT
    assert charging.newly_carried == ()
    assert charged.verdict is Verdict.PASS
    assert "R22" in charged.newly_carried
    drifted = next(o for o in done.outcomes if o.record.end == "V2.6")
    assert drifted.verdict is Verdict.HIGH
    assert (drifted.causes[0].kind, drifted.causes[0].element) == (CauseKind.DRIFTED, "R12")
    assert drifted.causes[0].value == pytest.approx(71_500, rel=0.02)
    switched = next(o for o in done.outcomes if o.record.end == "V1.6")
    assert switched.verdict is Verdict.HIGH
    assert any(
        c.kind is CauseKind.SETTING and c.setting and c.setting.banks.get("INPUT") == "Gram"
        for c in switched.causes
    )
    failed = {drifted.record.number, switched.record.number, charging.record.number}
    assert all(o.verdict is Verdict.PASS for o in done.outcomes if o.record.number not in failed)


def test_without_the_drawn_wire_the_demo_fails(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing but pixels says what is joined: with a wire painted out there is nothing to confirm."""
    copy = tmp_path / "assets"
    shutil.copytree(asset("demo"), copy / "demo")
    scan = Image.open(copy / "demo" / "sheet.png").convert("L")
    paper = int(np.median(np.asarray(scan)))
    ImageDraw.Draw(scan).rectangle((159, 1050, 283, 1110), fill=paper)
    scan.save(copy / "demo" / "sheet.png")
    monkeypatch.setattr(demo, "asset", lambda name: copy / name)
    with pytest.raises(DemoFailed, match="SK2"):
        run_demo(tmp_path / "out")

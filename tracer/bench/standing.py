"""How the job stands: tints, shares by rail, counts."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

import networkx as nx

from tracer.bench.records import Bench, RailShare, Standing
from tracer.bench.repairs import undone_by_repair
from tracer.bench.spoken import is_traced
from tracer.circuit.elements import Circuit, Setting
from tracer.circuit.network import build_network
from tracer.circuit.points import resolve_point
from tracer.circuit.prove import prove
from tracer.circuit.results import Meter, Proof, Reading, Tint
from tracer.circuit.stand import bank_positions
from tracer.circuit.wiring import print_wiring
from tracer.errors import TracerError
from tracer.job.choices import current_setting
from tracer.job.file import Job
from tracer.job.readings import as_reading, network_text, readings

__all__ = ["rail_shares", "standing", "usable_readings"]

_PROVED = frozenset({Tint.CARRIED, Tint.PINNED})
_MOVED = (
    "Reading {number} no longer counts: {point} is a name that an earlier tracing gave to a place on a wire. "
    "Take it again at a terminal."
)
_REPAIRED = "Reading {} no longer counts: it went through {}, which was replaced after it. Take it again."
_JOINING = frozenset({"wire", "bond", "label"})


def standing(job: Job, bench: Bench, meter: Meter) -> Standing:
    """Prove over all readings that were not withdrawn.

    Parameters
    ----------
    job : Job
    bench : Bench
        As `assemble` laid it out.
    meter : Meter
        Readings are judged as if all were taken with it.

    Raises
    ------
    BadValue
        When a part's printed value cannot be read.
    """
    usable, skipped = usable_readings(job, bench)
    proof = prove(bench.circuit, usable, meter)
    counts = Counter(str(tint) for _, tint in proof.tints)
    shares = rail_shares(bench.circuit, proof, current_setting(job), meter)
    return Standing(proof, shares, {str(tint): counts.get(str(tint), 0) for tint in Tint}, skipped)


def usable_readings(job: Job, bench: Bench) -> tuple[tuple[Reading, ...], tuple[tuple[int, str], ...]]:
    """Return the readings that still count, and why others do not.

    Those count whose points and setting the circuit still has, and which went through nothing that was
    replaced since.
    """
    circuit, repaired = bench.circuit, undone_by_repair(job, bench)
    usable: list[Reading] = []
    skipped: list[tuple[int, str]] = []
    for record in readings(job):
        if record.number in repaired:
            skipped.append((record.number, _REPAIRED.format(record.number, repaired[record.number])))
            continue
        moved = next((point for point in (record.start, record.end) if is_traced(point)), None)
        if moved is not None and network_text(job, record.network) != print_wiring(circuit):
            skipped.append((record.number, _MOVED.format(number=record.number, point=moved)))
            continue
        try:
            for point in (record.start, record.end):
                resolve_point(circuit, point)
            bank_positions(circuit, record.setting)
        except TracerError as error:
            skipped.append((record.number, f"Reading {record.number} no longer counts: {error}"))
        else:
            usable.append(as_reading(record))
    return tuple(usable), tuple(skipped)


def rail_shares(circuit: Circuit, proof: Proof, setting: Setting, meter: Meter) -> tuple[RailShare, ...]:
    """Return, for each rail, how many of its elements are carried, of those that an ohmmeter can carry.

    A rail's elements are the wires and bonds of its net, and the parts with a terminal on that net that
    pass a steady current under `setting`: a capacitor or a valve out of its socket cannot be carried.
    """
    tints = dict(proof.tints)
    passing = {branch.part for branch in build_network(circuit, setting, meter).branches if not branch.blocks}
    nets: nx.Graph[str] = nx.Graph()
    nets.add_nodes_from(circuit.rails)
    for element in circuit.elements:
        nodes = [node for _, node in element.terminals]
        if element.kind == "label" and element.value:
            nodes.append(element.value)
        nets.add_nodes_from(nodes)
        if element.kind in _JOINING:
            nx.add_path(nets, nodes)
    shares = []
    for rail in circuit.rails:
        net = nx.node_connected_component(nets, rail)
        on_it = [
            element.reference
            for element in circuit.elements
            if element.kind not in {"label", "chassis"}
            and element.reference in passing
            and any(node in net for _, node in element.terminals)
        ]
        shares.append(RailShare(rail, _count(tints.get(name) for name in on_it), len(on_it)))
    return tuple(shares)


def _count(tints: Iterable[Tint | None]) -> int:
    return sum(tint in _PROVED for tint in tints)

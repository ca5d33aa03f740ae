"""The networks of many settings, against each one made by itself."""

from __future__ import annotations

from dataclasses import replace

from tests.circuit.made_sets import made_set
from tracer.circuit.elements import Bank, Element, Setting
from tracer.circuit.network import build_network
from tracer.circuit.results import Meter
from tracer.circuit.settings import every_setting
from tracer.circuit.switched import networks_in


def test_every_setting_is_as_by_itself() -> None:
    circuit = made_set(3, 4)
    both = Element(
        "S90",
        "contact",
        (("common", "A1"), ("make", "HT1"), ("break", "OUT")),
        None,
        (("closed", "INPUT:Tape&MODE:Test"),),
    )
    circuit = replace(
        circuit, elements=(*circuit.elements, both), banks=(*circuit.banks, Bank("MODE", ("Use", "Test")))
    )
    meter = Meter(reversed_leads=True)
    settings = [
        replace(each, out=frozenset({"LS1"}), lifted=frozenset({"S90.make", "R3.1"}), wipers={"P1": 0.25})
        for each in every_setting(circuit)
    ]
    assert len(settings) == 6
    networks = list(networks_in(circuit, settings, meter))
    for setting, network in zip(settings, networks, strict=True):
        alone = build_network(circuit, setting, meter)
        assert network.branches == alone.branches
        assert network.nodes == alone.nodes
        assert network.splits == alone.splits
        assert network.notes == alone.notes
        assert network.lifted == alone.lifted
        assert network.reversed_leads
        assert network.graph is networks[0].graph
        assert network.graph.starts.tolist() == alone.graph.starts.tolist()
    # Off by itself; Disc and Tape alike but for the contact that needs both banks.
    assert len({id(network) for network in networks}) == 3


def test_no_settings_and_no_contacts() -> None:
    circuit = made_set(3, 1)
    assert list(networks_in(circuit, [])) == []
    plain = replace(circuit, elements=tuple(each for each in circuit.elements if each.kind != "contact"))
    one, other = networks_in(plain, [Setting({"INPUT": at}) for at in ("Off", "Tape")])
    assert one is other

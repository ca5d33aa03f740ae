"""The networks of one circuit in many settings of its switches: contacts differ, all else is made once."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from tracer.circuit.branch import Branch
from tracer.circuit.elements import Circuit, Element, Setting
from tracer.circuit.network import Network, branches_in, build_network
from tracer.circuit.results import Meter

__all__ = ["networks_in"]


def networks_in(
    circuit: Circuit, settings: Sequence[Setting], meter: Meter | None = None
) -> Iterator[Network]:
    """Yield the network of each setting, the same object where two come to the same.

    Parameters
    ----------
    circuit : Circuit
    settings : sequence of Setting
        Alike in all but where the banks stand.
    meter : Meter, optional

    Raises
    ------
    BadValue, BadWiring, UnknownPosition
        As `build_network`.

    Examples
    --------
    >>> from tracer.circuit.wiring import parse_wiring
    >>> circuit = parse_wiring('''
    ... bank S: Off, On, Spare
    ... contact S1: common=HT make=A; closed=S:On
    ... ''')
    >>> off, on, spare = networks_in(circuit, [Setting({"S": at}) for at in ("Off", "On", "Spare")])
    >>> off is spare, off.high.tolist(), on.high.tolist()
    (True, [inf], [0.5])
    """
    switched = [element for element in circuit.elements if element.option("closed") is not None]
    made: dict[tuple[Branch, ...], Network] = {}
    first: Network | None = None
    for setting in settings:
        if first is None:
            first = build_network(circuit, setting, meter)
            made[_contacts(first, switched)] = first
            yield first
            continue
        branches = tuple(
            branch for element in switched for branch in branches_in(circuit, element, setting, meter)
        )
        if branches not in made:
            made[branches] = _with(first, branches)
        yield made[branches]


def _contacts(network: Network, switched: Sequence[Element]) -> tuple[Branch, ...]:
    numbers = (number for element in switched for number in network.branch_numbers[element.reference])
    return tuple(network.branches[number] for number in numbers)


def _with(network: Network, branches: Sequence[Branch]) -> Network:
    """Return a network with some of its branches in the place of those of the same names."""
    every = list(network.branches)
    for branch in branches:
        every[network.number_of_branch[branch.name]] = branch
    return replace(network, branches=tuple(every), laid=network.graph)

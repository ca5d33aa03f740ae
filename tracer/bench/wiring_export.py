"""The circuit with its stretches of wire contracted, for a wiring list that a person can read."""

from __future__ import annotations

from tracer.circuit.elements import Circuit

__all__ = ["contracted"]


def contracted(circuit: Circuit) -> Circuit:
    """Return an electrically equal circuit without wires and bonds: rails, chassis, N1, N2…"""
    raise NotImplementedError

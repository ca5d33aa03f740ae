"""Tables that fill a circuit in: at which positions contacts are closed, and the ohms of coils and windings.

Both are CSV (RFC 4180) with a heading. A service sheet prints them beside the drawing, and typing them row by
row is quicker than option by option.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Sequence
from dataclasses import replace

from tracer.circuit.conditions import condition_positions
from tracer.circuit.elements import Circuit, Element
from tracer.circuit.values import parse_tolerance, parse_value
from tracer.errors import BadTable, BadValue

__all__ = ["with_coil_ohms", "with_contacts"]

_WOUND = frozenset({"coil", "transformer", "speaker", "meter"})


def with_contacts(circuit: Circuit, text: str, source: str = "contacts") -> Circuit:
    """Return a circuit whose contacts are closed as a table says.

    Parameters
    ----------
    circuit : Circuit
    text : str
        CSV headed ``contact,bank,position``: a row for each position at which a contact is closed. A contact
        with rows of several banks is closed where all of them stand so. Contacts that are not in the table
        stay as they are.
    source : str
        What to call the table in a message.

    Raises
    ------
    BadTable
        A row names no contact, bank or position of the circuit; with its line.

    Examples
    --------
    >>> from tracer.circuit.wiring import parse_wiring
    >>> plain = parse_wiring("bank INPUT: Off, Disc, Tape\\ncontact S1: common=A make=B")
    >>> with_contacts(plain, "contact,bank,position\\nS1,INPUT,Disc\\nS1,INPUT,Tape").elements[0].options
    (('closed', 'INPUT:Disc,Tape'),)
    """
    banks = {bank.name: bank for bank in circuit.banks}
    closed: dict[str, dict[str, list[str]]] = {}
    for line, (name, bank, position) in _rows(text, source, ("contact", "bank", "position")):
        element = _element(circuit, name)
        if element is None or element.kind != "contact":
            raise BadTable(f"{source}, line {line}: no contact {name!r} in this circuit.")
        if bank not in banks:
            known = ", ".join(banks) or "none"
            raise BadTable(f"{source}, line {line}: no switch bank {bank!r}; the banks are: {known}.")
        positions = condition_positions(banks[bank])
        if position not in positions:
            known = ", ".join(positions)
            raise BadTable(
                f"{source}, line {line}: bank {bank} has no position {position!r}; it has {known}."
            )
        closed.setdefault(name, {}).setdefault(bank, []).append(position)
    return _with_options(
        circuit,
        {
            name: {"closed": "&".join(f"{bank}:{','.join(at)}" for bank, at in parts.items())}
            for name, parts in closed.items()
        },
    )


def with_coil_ohms(circuit: Circuit, text: str, source: str = "coils") -> Circuit:
    """Return a circuit whose coils and windings have the ohms that a table tells.

    Parameters
    ----------
    circuit : Circuit
    text : str
        CSV headed ``part,winding,ohms`` and, if wanted, ``tolerance``; the winding is empty for a part that
        has only one.
    source : str
        What to call the table in a message.

    Raises
    ------
    BadTable
        A row names no wound part or winding of the circuit, or its ohms cannot be read; with its line.

    Examples
    --------
    >>> from tracer.circuit.wiring import parse_wiring
    >>> plain = parse_wiring("transformer T1: pri.1=A pri.2=B sec.1=C sec.2=D\\ncoil L1: 1=A 2=C; 10H")
    >>> table = "part,winding,ohms,tolerance\\nT1,pri,30,10%\\nL1,,250,"
    >>> [element.options for element in with_coil_ohms(plain, table).elements]
    [(('ohms.pri', '30'), ('tol', '10%')), (('ohms', '250'),)]
    """
    told: dict[str, dict[str, str]] = {}
    columns = ("part", "winding", "ohms")
    for line, (name, winding, ohms, tolerance) in _rows(
        text, source, columns, ("tolerance",), empty=("winding",)
    ):
        element = _element(circuit, name)
        if element is None or element.kind not in _WOUND:
            raise BadTable(f"{source}, line {line}: no coil, transformer, speaker or meter {name!r} here.")
        windings = {terminal.rpartition(".")[0] for terminal, _ in element.terminals} - {""}
        if (winding or windings) and winding not in windings:
            known = ", ".join(sorted(windings)) or "none of its own names"
            raise BadTable(f"{source}, line {line}: {name} has no winding {winding!r}; it has {known}.")
        try:
            for section in ohms.split("+"):
                parse_value(section, "ohm")
            if tolerance:
                parse_tolerance(tolerance)
        except BadValue as error:
            raise BadTable(f"{source}, line {line}: {error}") from error
        told.setdefault(name, {})[f"ohms.{winding}" if winding else "ohms"] = ohms
        if tolerance:
            told[name]["tol"] = tolerance
    return _with_options(circuit, told)


def _element(circuit: Circuit, name: str) -> Element | None:
    return next((element for element in circuit.elements if element.reference == name), None)


def _with_options(circuit: Circuit, told: dict[str, dict[str, str]]) -> Circuit:
    elements = tuple(
        replace(element, options=tuple({**dict(element.options), **told.get(element.reference, {})}.items()))
        for element in circuit.elements
    )
    return replace(circuit, elements=elements)


def _rows(
    text: str,
    source: str,
    columns: Sequence[str],
    optional: Sequence[str] = (),
    empty: Sequence[str] = (),
) -> Iterator[tuple[int, tuple[str, ...]]]:
    reader = csv.DictReader(io.StringIO(text), skipinitialspace=True)
    reader.fieldnames = [heading.strip().lower() for heading in reader.fieldnames or ()]
    missing = [column for column in columns if column not in reader.fieldnames]
    if missing:
        raise BadTable(f"{source}, line 1: the heading must be {','.join(columns)}; {missing[0]} is missing.")
    for row in reader:
        cells = tuple((row.get(column) or "").strip() for column in (*columns, *optional))
        blank = [name for name, cell in zip(columns, cells, strict=False) if not cell and name not in empty]
        if blank:
            raise BadTable(f"{source}, line {reader.line_num}: {blank[0]} is empty.")
        yield reader.line_num, cells

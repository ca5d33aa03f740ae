"""One line of a wiring list: an element, a bank, rails or a point."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from tracer.circuit.conditions import parse_condition
from tracer.circuit.elements import CHASSIS, Bank, BankStyle, Element
from tracer.circuit.kinds import Kind, kinds
from tracer.circuit.laws import law_of
from tracer.circuit.values import format_value, parse_printed, parse_tolerance, parse_value
from tracer.errors import BadValue, BadWiring

__all__ = [
    "FLAGS",
    "NAME",
    "POSITION",
    "Conventions",
    "fault_of_option",
    "parse_bank",
    "parse_conventions",
    "parse_element",
    "parse_point",
    "parse_rails",
]

NAME = re.compile(r"[^\s:;=,#&][^\s:;=,&]*")
"""A reference, node, rail, bank or point: no spaces and none of ``: ; = , &``; no ``#`` in front."""

POSITION = re.compile(r"[^\s:;=,#&+]([^:;=,&+]*[^\s:;=,&+])?")
"""A position of a bank; spaces may stand inside."""

_TERMINAL = re.compile(r"[!-~]+")
_OPTION = re.compile(r"[A-Za-z][A-Za-z0-9_]*(\.[^\s:;=,&]+)?")
FLAGS = ("out", "plugged")
"""Options that are a bare word."""


@dataclass(frozen=True, slots=True)
class Conventions:
    """How a sheet prints values, where it does not as `tracer.circuit.values` takes them.

    Attributes
    ----------
    m_is_thousand : bool
        The letter M alone on a resistor or pot means thousand; "meg" and MΩ stay a million.
    bare_is_micro : bool
        A capacitor's bare number is in µF.
    """

    m_is_thousand: bool = False
    bare_is_micro: bool = False


def parse_conventions(rest: str) -> Conventions:
    """Return what a ``values`` line says: ``values M=1000, bare=uF``."""
    found = {}
    for part in rest.rstrip(";").split(","):
        word = re.sub(r"\s+", "", part).replace("\u00b5", "u").replace("\u03bc", "u").casefold()
        if word not in _CONVENTIONS:
            raise BadWiring(f"{part.strip()!r} is no convention of a sheet; write M=1000, bare=uF or both")
        found[_CONVENTIONS[word]] = True
    return Conventions(**found)


_CONVENTIONS = {"m=1000": "m_is_thousand", "bare=uf": "bare_is_micro"}


def parse_rails(rest: str) -> tuple[str, ...]:
    """Return the names on a ``rail`` line."""
    return tuple(_name(part.strip(), "rail") for part in rest.split(","))


def parse_point(head: str, rest: str) -> tuple[str, str]:
    """Return the name and the node of a ``point`` line."""
    return _name(head, "point"), _node(rest.strip())


def parse_bank(head: str, rest: str) -> Bank:
    """Return the bank of a ``bank`` line."""
    listed, _, word = rest.partition(";")
    style = word.strip()
    if style not in {"", "keys", "independent"}:
        raise BadWiring(f"{style!r} is no style of a bank; write keys, independent or nothing")
    positions = tuple(position.strip() for position in listed.split(","))
    for position in positions:
        if not POSITION.fullmatch(position):
            raise BadWiring(f"{position!r} is no position; list them like Off, Disc, Tape")
        if positions.count(position) > 1:
            raise BadWiring(f"position {position!r} is listed twice")
    return Bank(_name(head, "bank"), positions, BankStyle(style) if style else BankStyle.ROTARY)


def parse_element(
    head: str,
    rest: str,
    line: int,
    conventions: Conventions = Conventions(),
) -> Element:
    """Return the element of a part's line; `head` is what stands before the first colon.

    A value that `conventions` read otherwise is written as this program prints it.
    """
    kind, reference = _kind_and_reference(head)
    terminals, *segments = (segment.strip() for segment in rest.split(";"))
    pairs = _terminals(kind, terminals)
    value, options = _value_and_options(kind, segments, conventions)
    if kind.name == "label" and value is None:
        raise BadWiring("a label needs the name it carries, like: label HT1@1: 1=A; HT1")
    return Element(reference, kind.name, pairs, value, options, line)


def _kind_and_reference(head: str) -> tuple[Kind, str]:
    words = head.split()
    for count in range(len(words), 0, -1):
        kind = kinds().get(" ".join(words[:count]).casefold())
        if kind:
            if len(words) != count + 1:
                raise BadWiring(f"a {kind.name} needs one reference without spaces before the colon")
            return kind, _name(words[count], "reference")
    listed = ", ".join(["bank", "rail", "point", *kinds(), "values"])
    raise BadWiring(f"{' '.join(words[:-1]) or head!r} is no kind; the kinds are {listed}")


def _terminals(kind: Kind, text: str) -> tuple[tuple[str, str], ...]:
    pairs = []
    for word in re.sub(r"\s*=\s*", "=", text).split():
        name, equals, node = word.partition("=")
        if not equals or not name:
            raise BadWiring(f"{word!r} is no terminal; write terminal=node, like {kind.example!r}")
        if not node or "=" in node:
            raise BadWiring(f"terminal {name!r} has no node; write {name}=node")
        if not _TERMINAL.fullmatch(name):
            raise BadWiring(f"terminal {name!r} has signs other than plain letters, digits and marks")
        pairs.append((name, _node(node)))
    fault = kind.fault_of_terminals([name for name, _ in pairs])
    if fault:
        raise BadWiring(fault)
    order = {name: place for place, name in enumerate(kind.terminals + kind.alternative_terminals)}
    return tuple(sorted(pairs, key=lambda pair: order.get(pair[0], 0)))


def _value_and_options(
    kind: Kind, segments: list[str], conventions: Conventions
) -> tuple[str | None, tuple[tuple[str, str], ...]]:
    value: str | None = None
    options: dict[str, str] = {}
    for segment in segments:
        name, equals, content = (part.strip() for part in segment.partition("="))
        if not segment:
            continue
        if not equals and name not in FLAGS:
            if value is not None:
                raise BadWiring(f"{value!r} and {name!r} are two values; write options like rated=450V")
            value = name
            continue
        if not _OPTION.fullmatch(name) or (equals and not content):
            raise BadWiring(f"{segment!r} is no option; write options like tol=10%")
        if name in options:
            raise BadWiring(f"option {name!r} is given twice")
        fault = None if name in FLAGS else fault_of_option(name, content)
        if fault:
            raise BadWiring(fault)
        options[name] = content
    if value is not None and kind.unit:
        try:
            value = _in_our_words(value, kind.unit, conventions)
        except BadValue as error:
            raise BadWiring(str(error)) from error
    return value, tuple(options.items())


def _in_our_words(value: str, unit: str, conventions: Conventions) -> str:
    """Return a value as it stands, or written anew where only the sheet's conventions can read it right."""
    printed = parse_printed(
        value,
        unit,
        m_is_thousand=conventions.m_is_thousand,
        bare_is_micro=conventions.bare_is_micro,
    )
    try:
        if parse_printed(value, unit) == printed:
            return value
    except BadValue:
        pass  # a bare number, which its convention alone makes clear
    tolerance = "" if printed.tolerance is None else f" {100.0 * printed.tolerance:g}%"
    return f"{format_value(printed.number, unit)}{tolerance}"


def fault_of_option(name: str, content: str) -> str | None:
    """Say what is wrong with an option, or return None."""
    check = _CHECKS.get(name.partition(".")[0])
    if check is None:
        return f"{name!r} is no option; the options are {', '.join([*_CHECKS, *FLAGS])}"
    try:
        check(content)
    except BadValue as error:
        return f"option {name}: {error}"
    return None


def _fraction(content: str) -> None:
    try:
        inside = 0 <= float(content) <= 1
    except ValueError:
        inside = False
    if not inside:
        raise BadValue(f"{content!r} is no place of a wiper; write 0 (at terminal 1) to 1")


def _sections(content: str) -> None:
    for section in content.split("+"):
        parse_value(section, "ohm")


def _heater(content: str) -> None:
    volts, stroke, amps = content.partition("/")
    if not stroke:
        raise BadValue(f"{content!r} is no heater; write volts/amperes like 6.3V/0.3A")
    parse_value(volts, "volt")
    parse_value(amps, "ampere")


def _watts(content: str) -> None:
    if not re.fullmatch(r"\d+(\.\d+)?\s*[Ww]?", content):
        raise BadValue(f"{content!r} is no power; write it like 15W")


_CHECKS: dict[str, Callable[[str], object]] = {
    "tol": parse_tolerance,
    "ohms": _sections,
    "rated": lambda content: parse_value(content, "volt"),
    "amps": lambda content: parse_value(content, "ampere"),
    "watts": _watts,
    "heater": _heater,
    "at": _fraction,
    "shaft": str,
    "law": law_of,
    "closed": parse_condition,
    "type": str,
    "note": str,
}


def _name(text: str, what: str) -> str:
    if not NAME.fullmatch(text):
        raise BadWiring(f"{text!r} is no name of a {what}; it takes no spaces and none of : ; = , &")
    return text


def _node(text: str) -> str:
    return CHASSIS if text.casefold() == CHASSIS else _name(text, "node")

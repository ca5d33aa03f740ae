"""How each tint is drawn: a colour and a line pattern, from ``assets/palette.json``."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from tracer.circuit.results import Tint
from tracer.resources import asset

__all__ = ["TINT_WORDS", "TintStyle", "tint_styles"]

TINT_WORDS: Mapping[Tint, str] = MappingProxyType(
    {
        Tint.NOT_MEASURED: "not measured: no reading crosses it",
        Tint.CARRIED: "carried: a break here would have shown",
        Tint.PINNED: "pinned: carried, and its value held within its limits",
        Tint.SUSPECT: "suspect: may explain a reading that failed",
        Tint.BAD: "bad: explains a failed reading, and nothing else does",
        Tint.ONE_OF_TWO: "one of two: one of a pair is at fault",
        Tint.CONTRADICTED: "contradicted: readings disagree about it",
    }
)
"""What each tint means, for a legend."""


@dataclass(frozen=True, slots=True)
class TintStyle:
    """A tint's look.

    Attributes
    ----------
    colour : (int, int, int)
        Red, green, blue, 0 to 255.
    width : float
        Line width, usual stroke widths of the sheet.
    dash : tuple of float
        Mark, gap, mark, gap… in usual stroke widths; empty for an unbroken line.
    core : bool
        Whether a light line runs down the middle.
    """

    colour: tuple[int, int, int]
    width: float
    dash: tuple[float, ...]
    core: bool

    @property
    def hex(self) -> str:
        """Return the colour as ``#RRGGBB``."""
        return "#{:02X}{:02X}{:02X}".format(*self.colour)


def tint_styles() -> Mapping[Tint, TintStyle]:
    """Return the style of every tint.

    Colours: Okabe and Ito, *Color Universal Design*, 2008 (values from memory).

    Examples
    --------
    >>> tint_styles()[Tint.CARRIED].hex
    '#009E73'
    """
    listed = json.loads(asset("palette.json").read_text("utf-8"))["tints"]
    return MappingProxyType({Tint(name): _style(entry) for name, entry in listed.items()})


def _style(entry: Mapping[str, object]) -> TintStyle:
    text = str(entry["colour"]).lstrip("#")
    red, green, blue = (int(text[place : place + 2], 16) for place in (0, 2, 4))
    dash = entry["dash"]
    assert isinstance(dash, list)
    return TintStyle(
        (red, green, blue), float(str(entry["width"])), tuple(float(d) for d in dash), bool(entry["core"])
    )

"""The names and numbers that the drawn truth and the network share."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Final

__all__ = [
    "BACKGROUND",
    "BODY",
    "CLASS_COUNT",
    "CLASS_NAMES",
    "CROSSING",
    "DOT",
    "FURNITURE",
    "KIND_CELL",
    "KIND_NAMES",
    "LETTERING",
    "UNKNOWN",
    "WIRE",
    "kind_index",
]

# The same numbers as the reader's class map; tests/training compares the two.
BACKGROUND: Final = 0
WIRE: Final = 1
DOT: Final = 2
CROSSING: Final = 3
BODY: Final = 4
LETTERING: Final = 5
FURNITURE: Final = 6
CLASS_NAMES: Final = ("background", "wire", "dot", "crossing", "body", "lettering", "furniture")
CLASS_COUNT: Final = len(CLASS_NAMES)
UNKNOWN: Final = 255  # where a warped truth has nothing to say

KIND_CELL: Final = 4  # page px per cell of the kind map, each way


def _proposable_kinds() -> tuple[str, ...]:
    listed = json.loads((Path(__file__).parents[2] / "shared" / "kinds.json").read_text("utf-8"))["kinds"]
    return ("none", *(str(entry["kind"]) for entry in listed if entry["proposable"]))


KIND_NAMES: Final = _proposable_kinds()


def kind_index(kind: str) -> int:
    """Index of `kind` in `KIND_NAMES`; kinds that no reader proposes count as ``"other"``.

    Examples
    --------
    >>> KIND_NAMES[kind_index("resistor")]
    'resistor'
    >>> KIND_NAMES[kind_index("varistor")]
    'other'
    """
    return KIND_NAMES.index(kind if kind in KIND_NAMES else "other")

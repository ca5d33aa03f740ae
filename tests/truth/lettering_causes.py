"""Why references and values are not read or not given: a table by cause, on the sheets of the truth tables.

``python tests/truth/lettering_causes.py --set small`` draws, reads and names the sheets and says of each name
that is missing or wrong where it was lost. ``--list`` prints each of them.
"""

from __future__ import annotations

import argparse
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from measuring import match_parts
from sheets import SETS, SheetOrder, draw, orders

from tracer.reader.letters import read_lettering
from tracer.reader.read import read
from tracer.reader.text_line import TextLine
from tracer.scan.page import Page
from tracer.trace.naming import name_proposals
from tracer.trace.sheet import Proposal
from tracer.trace.trace import trace
from tracer.training.truth import DrawnPart

__all__ = ["CAUSES", "Lost", "causes", "main"]

CAUSES = (
    "part not proposed",
    "nothing read near it",
    "misread",
    "read, given to none",
    "read, another given",
)
UNASKED = frozenset({"link", "wire", "bond"})
REACH = 8.0  # letter heights from a part within which its lettering stands


@dataclass(frozen=True)
class Lost:
    """What a part should have been given, what it was, and why; `cause` is empty where that is right."""

    part: DrawnPart
    field: str
    wanted: str
    given: str | None
    cause: str


def causes(
    parts: Sequence[DrawnPart], proposals: Sequence[Proposal], lines: Sequence[TextLine]
) -> Iterator[Lost]:
    """Yield each reference and value of a sheet's parts, right or not."""
    found = {part.number: other for part, other in match_parts(parts, proposals)}
    for part in parts:
        for field in ("reference", "value"):
            wanted = getattr(part, field)
            if wanted:
                other = found.get(part.number)
                given = getattr(other, field) if other is not None else None
                yield Lost(part, field, wanted, given, _cause(part, wanted, given, other, lines))


def _cause(
    part: DrawnPart, wanted: str, given: str | None, other: Proposal | None, lines: Sequence[TextLine]
) -> str:
    if given is not None and _plain(given) == _plain(wanted):
        return ""
    if other is None:
        return CAUSES[0]
    near = {_plain(text) for line in lines if _is_near(part, line) for text in _texts(line)}
    if _plain(wanted) in near:
        return CAUSES[3] if given is None else CAUSES[4]
    return CAUSES[2] if any(len(text) > 1 for text in near) else CAUSES[1]


def _texts(line: TextLine) -> Iterator[str]:
    yield line.text
    yield from (word.text for word in line.words)


def _is_near(part: DrawnPart, line: TextLine) -> bool:
    xs, ys = [x for x, _ in line.box], [y for _, y in line.box]
    across = max(min(xs) - part.box[2], part.box[0] - max(xs))
    down = max(min(ys) - part.box[3], part.box[1] - max(ys))
    return max(across, down) <= REACH * line.height


def _plain(text: str) -> str:
    return text.replace(" ", "").replace("µ", "u")


def _of_sheet(order: SheetOrder) -> list[Lost]:
    truth = draw(order)
    page = Page(truth.image, Path("drawn.png"), 1, None, "drawn")
    layers = read(page)
    height, width = truth.image.shape
    lines = read_lettering(page, layers)
    sheet = name_proposals(trace(layers, (height, width)), lines)
    return list(causes([part for part in truth.parts if part.kind not in UNASKED], sheet.proposals, lines))


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--set", choices=SETS, default="small", dest="which")
    parser.add_argument("--list", action="store_true", help="each name that is missing or wrong")
    options = parser.parse_args()
    counts: dict[tuple[str, int, str], Counter[str]] = defaultdict(Counter)
    for order in orders(options.which):
        for lost in _of_sheet(order):
            counts[order.group, order.level, lost.field][lost.cause] += 1
            if options.list and lost.cause:
                told = f"{lost.part.kind} {lost.field} {lost.wanted} -> {lost.given}: {lost.cause}"
                print(order.group, order.name, order.manner, order.level, told)
    print(f"{'group':12}{'level':6}{'name':11}{'right':>14}", *(f"{cause:>21}" for cause in CAUSES))
    for (group, level, field), count in sorted(counts.items()):
        right = f"{count['']} / {count.total()}"
        print(f"{group:12}{level:<6}{field:11}{right:>14}", *(f"{count[cause]:>21}" for cause in CAUSES))


if __name__ == "__main__":
    main()

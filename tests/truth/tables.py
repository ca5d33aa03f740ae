"""The truth tables of a page reader: every figure that its card states, with counts and intervals.

Run it on any weights folder (``reader.onnx`` beside ``reader.json``), from the root of the repository::

    python tests/truth/tables.py FOLDER --out figures.json
    python tests/truth/tables.py installed --set small

``--set small`` takes half a minute, ``standard`` under three on two free processors, ``full`` ten. The same
set is the same sheets pixel for pixel, so two readers are compared sheet by sheet with ``--against
OLD.json``. ``--scans FOLDER`` adds real sheets labelled by eye, ``--card CARD`` writes the sums into the card
of the weights. Level 0 is clean, 1 an office scan, 2 a photocopy, 3 a poor photocopy of a copy.
"""

from __future__ import annotations

import argparse
import json
import os
import time
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import cache
from pathlib import Path

from counting import SheetFigures
from measuring import follow, measure
from printing import by_sheet, print_changes, print_tables, summary, write_card
from sheets import SETS, SheetOrder, draw, orders

from tracer.reader.weights import Weights, load_weights

__all__ = ["compute", "weights_of"]


@cache
def weights_of(folder: str) -> Weights:
    """Open the weights in a folder, or the ``installed`` ones."""
    if folder == "installed":
        return load_weights()
    return load_weights(Path(folder) / "reader.onnx", Path(folder) / "reader.json")


def _one(task: tuple[str, SheetOrder]) -> tuple[SheetOrder, SheetFigures]:
    folder, order = task
    truth = draw(order)
    sheet = follow(truth, weights_of(folder))
    return order, measure(truth, sheet, along=order.group != "drawn")


def compute(
    folder: str, which: str, processes: int = 2, scans: Path | None = None
) -> dict[SheetOrder, SheetFigures]:
    """Measure the weights in `folder` on a set of sheets, and on labelled scans."""
    tasks = [(folder, order) for order in orders(which, scans)]
    if processes < 2:
        return dict(map(_one, tasks))
    with ProcessPoolExecutor(processes) as pool:
        return dict(pool.map(_one, tasks))


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command line."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("folder", help="folder with reader.onnx and reader.json, or 'installed'")
    parser.add_argument("--set", choices=SETS, default="standard", dest="which")
    parser.add_argument("--out", type=Path, help="write all figures there as JSON")
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--against", type=Path, help="figures of another reader, to compare sheet by sheet")
    parser.add_argument("--scans", type=Path, help="folder of labelled scans")
    parser.add_argument(
        "--card", type=Path, help="card of the same weights; its figures are brought up to date"
    )
    options = parser.parse_args(arguments)
    before = json.loads(options.against.read_text(encoding="utf-8"))["sheets"] if options.against else None
    os.environ.setdefault("OMP_NUM_THREADS", "1")
    started = time.monotonic()
    figures = compute(options.folder, options.which, options.processes, options.scans)
    found, rows = summary(figures), by_sheet(figures)
    print_tables(found)
    print(f"\n{len(figures)} sheets in {time.monotonic() - started:.0f} s")
    if options.out:
        facts = {
            "set": options.which,
            "sha256": weights_of(options.folder).sha256,
            "groups": found,
            "sheets": rows,
        }
        options.out.write_text(json.dumps(facts, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
    if options.card:
        write_card(options.card, weights_of(options.folder), options.which, found)
    if before:
        print_changes(before, rows)


if __name__ == "__main__":
    main()

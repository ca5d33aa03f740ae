"""Average the weights of readers trained one from another, and export the mean as a reader.

``python -m tracer.training.average FIRST.pt SECOND.pt --out DIR``. Only weights of one line of training
may be averaged (the second went on from the first with ``--start``): they lie in one valley, where the mean
is often lower than either end (Izmailov et al. 2018, "Averaging weights leads to wider optima").
"""

from __future__ import annotations

import argparse
from pathlib import Path

import torch
from torch import Tensor

from tracer.training.export import export_reader
from tracer.training.measure import measure
from tracer.training.network import ReaderNetwork

__all__ = ["average", "main"]


def average(states: list[dict[str, Tensor]]) -> dict[str, Tensor]:
    """Mean of several states, entry by entry; whole numbers (step counters) are taken from the last.

    Examples
    --------
    >>> average([{"w": torch.tensor([1.0])}, {"w": torch.tensor([2.0])}])["w"].item()
    1.5
    """
    return {
        name: torch.stack([state[name] for state in states]).mean(dim=0)
        if value.is_floating_point()
        else value
        for name, value in states[-1].items()
    }


def main() -> None:
    """Average, measure, export."""
    parser = argparse.ArgumentParser(prog="python -m tracer.training.average", description=__doc__)
    parser.add_argument("weights", type=Path, nargs="+", help="reader.pt files of one line of training")
    parser.add_argument("--out", type=Path, required=True, help="folder for the reader and its card")
    parser.add_argument(
        "--measure", type=int, default=12, help="sheets to measure on at each level; 0 for none"
    )
    options = parser.parse_args()
    states = [torch.load(path, map_location="cpu", weights_only=True) for path in options.weights]
    network = ReaderNetwork()
    network.load_state_dict(average(states))
    network.eval()
    options.out.mkdir(parents=True, exist_ok=True)
    torch.save(network.state_dict(), options.out / "reader.pt")
    figures = measure(network, "cpu", options.measure) if options.measure else {}
    card = {
        "command": "python -m tracer.training.average FIRST.pt SECOND.pt --out DIR",
        "figures": {"pixel_iou_and_kind_share": figures},
    }
    export_reader(network, options.out, card)


if __name__ == "__main__":
    main()

"""Average the weights of recognisers trained one from another, and export the mean.

``python -m tracer.training.letters_average FIRST.pt SECOND.pt --card SECOND/letters.json --out DIR``; why a
mean of one line of training is good is told in `tracer.training.average`.
"""

from __future__ import annotations

import argparse
import json
from pathlib import Path

import torch

from tracer.training.average import average
from tracer.training.letters_export import export_letters
from tracer.training.letters_network import LettersNetwork

__all__ = ["main"]


def main() -> None:
    """Average and export; the card is that of the last run, with how the mean was made."""
    parser = argparse.ArgumentParser(prog="python -m tracer.training.letters_average", description=__doc__)
    parser.add_argument("weights", type=Path, nargs="+", help="letters.pt files of one line of training")
    parser.add_argument("--card", type=Path, required=True, help="of the last run")
    parser.add_argument("--out", type=Path, required=True)
    options = parser.parse_args()
    network: LettersNetwork = LettersNetwork()
    states = [torch.load(path, map_location="cpu", weights_only=True) for path in options.weights]
    network.load_state_dict(average(states))
    options.out.mkdir(parents=True, exist_ok=True)
    torch.save(network.state_dict(), options.out / "letters.pt")
    card = json.loads(options.card.read_text("utf-8"))
    kept = {name: card[name] for name in ("command", "fonts_from", "seed", "made_on", "torch", "run")}
    mean = (
        f"the mean of the weights of the last {len(states)} runs: python -m tracer.training.letters_average"
    )
    export_letters(network.eval(), options.out, {**kept, "averaged": mean})


if __name__ == "__main__":
    main()

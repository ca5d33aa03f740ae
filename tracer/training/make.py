"""Make the shipped reader again, in one command: ``python -m tracer.training.make --out DIR``.

It trains from nothing, goes on from there at half the rate, and ships the mean of the two, as the card beside
the weights tells. About 12 minutes on one H100. A training is not repeatable to the bit, so the weights come
out other than the shipped ones; the figures should come out alike.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
from pathlib import Path

__all__ = ["commands", "main"]


def commands(out: Path, minutes: float = 7.0, *more: str) -> list[list[str]]:
    """The runs in their order, `minutes` long the first and four sevenths of it the second.

    Examples
    --------
    >>> [command[2] for command in commands(Path("made"))]
    ['tracer.training.train', 'tracer.training.train', 'tracer.training.average']
    """
    first, second = out / "first", out / "second"
    train = [sys.executable, "-m", "tracer.training.train", "--measure", "0", *more]
    average = [sys.executable, "-m", "tracer.training.average", str(first / "reader.pt")]
    return [
        [*train, "--out", str(first), "--minutes", f"{minutes:g}", "--seed", "0"],
        [
            *train,
            *("--out", str(second), "--minutes", f"{minutes * 4 / 7:g}", "--seed", "2"),
            *("--start", str(first / "reader.pt"), "--rate", "1.5e-3"),
        ],
        [*average, str(second / "reader.pt"), "--out", str(out)],
    ]


def main() -> None:
    """Run them; stop at the first that fails."""
    parser = argparse.ArgumentParser(prog="python -m tracer.training.make", description=__doc__)
    parser.add_argument("--out", type=Path, required=True, help="folder for the reader, its card and weights")
    parser.add_argument("--minutes", type=float, default=7.0, help="length of the first training")
    options, more = parser.parse_known_args()
    for command in commands(options.out, options.minutes, *more):
        subprocess.run(command, check=True)


if __name__ == "__main__":
    main()

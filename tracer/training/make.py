"""Make the shipped reader again, in one command: ``python -m tracer.training.make --out DIR``.

It trains from nothing, goes on from there at two thirds of the rate, goes on twice from that at a third, and
ships the mean of the last three, as the card beside the weights tells. About 25 minutes on one H100. A
training is not repeatable to the bit, so the weights come out other than the shipped ones; the figures
should come out alike.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
from pathlib import Path

__all__ = ["commands", "main"]


def commands(out: Path, minutes: float = 8.4, *more: str) -> list[list[str]]:
    """The runs in their order, `minutes` long the first and the others in proportion to it.

    Examples
    --------
    >>> [command[2].rpartition(".")[2] for command in commands(Path("made"))]
    ['train', 'train', 'train', 'train', 'average']
    """
    first, second, third, fourth = (out / name for name in ("first", "second", "third", "fourth"))

    def train(folder: Path, share: float, seed: int, rate: str, start: Path | None = None) -> list[str]:
        command = [sys.executable, "-m", "tracer.training.train", "--measure", "0", *more]
        command += [
            "--out",
            str(folder),
            "--minutes",
            f"{minutes * share:g}",
            "--seed",
            str(seed),
            "--rate",
            rate,
        ]
        return command if start is None else [*command, "--start", str(start / "reader.pt")]

    return [
        train(first, 1.0, 11, "3e-3"),
        train(second, 1.1, 12, "2e-3", first),
        train(third, 0.42, 14, "1e-3", second),
        train(fourth, 0.42, 15, "1e-3", second),
        [
            *(sys.executable, "-m", "tracer.training.average"),
            *(str(folder / "reader.pt") for folder in (second, third, fourth)),
            *("--out", str(out)),
        ],
    ]


def main() -> None:
    """Run them; stop at the first that fails."""
    parser = argparse.ArgumentParser(prog="python -m tracer.training.make", description=__doc__)
    parser.add_argument("--out", type=Path, required=True, help="folder for the reader, its card and weights")
    parser.add_argument("--minutes", type=float, default=8.4, help="length of the first training")
    options, more = parser.parse_known_args()
    for command in commands(options.out, options.minutes, *more):
        subprocess.run(command, check=True)


if __name__ == "__main__":
    main()

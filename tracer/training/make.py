"""Make the shipped reader again, in one command: ``python -m tracer.training.make --out DIR``.

It trains from nothing and goes on from there in pairs, each pair apart by its seed alone, starting from the
mean of the last; the mean of the last pair, its convolutions brought to bytes, is what is shipped. About 80
minutes on one H100. A training is not repeatable to the bit, and the shipped weights saw the earlier sheets
of a generator that has grown since, so the weights come out other than the shipped ones.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

__all__ = ["commands", "main"]

_HERE = "tracer.training"


@dataclass(frozen=True, slots=True)
class _Run:
    """One training: what its folder is called, which weights it goes on from (more than one: their mean)."""

    name: str
    start: tuple[str, ...]
    minutes: float
    seed: int
    rate: str


_RUNS = (
    _Run("first", (), 8.4, 11, "3e-3"),
    _Run("second", ("first",), 9.2, 12, "2e-3"),
    _Run("third-a", ("second",), 3.5, 14, "1e-3"),
    _Run("third-b", ("second",), 3.5, 15, "1e-3"),
    _Run("fourth-a", ("second", "third-a", "third-b"), 9.1, 20, "2e-3"),
    _Run("fourth-b", ("second", "third-a", "third-b"), 9.1, 21, "2e-3"),
    _Run("fifth-a", ("fourth-a",), 9.3, 22, "1.4e-3"),
    _Run("fifth-b", ("fourth-b",), 9.3, 23, "1.4e-3"),
    _Run("sixth-a", ("fifth-a", "fifth-b"), 8.9, 24, "1e-3"),
    _Run("sixth-b", ("fifth-a", "fifth-b"), 8.9, 25, "1e-3"),
)
_SHIPPED = ("sixth-a", "sixth-b")


def commands(out: Path, share: float = 1.0, *more: str) -> list[list[str]]:
    """The runs in their order, each `share` of its full length.

    Parameters
    ----------
    out : Path
        Folder for every run's own folder, and for the reader that is shipped.
    share : float
        Part of each training's minutes; small ones try the way through.
    *more : str
        Further arguments of every training.

    Examples
    --------
    >>> [command[2].rpartition(".")[2] for command in commands(Path("made"))][:5]
    ['train', 'train', 'train', 'train', 'average']
    >>> commands(Path("made"))[-1][2].rpartition(".")[2]
    'quantise'
    """
    listed: list[list[str]] = []
    means: set[tuple[str, ...]] = set()

    def mean(names: tuple[str, ...], folder: Path) -> list[str]:
        weights = (str(out / name / "reader.pt") for name in names)
        return [sys.executable, "-m", f"{_HERE}.average", *weights, "--out", str(folder), "--measure", "0"]

    for run in _RUNS:
        start = out / "-".join(run.start)
        if len(run.start) > 1 and run.start not in means:
            means.add(run.start)
            listed.append(mean(run.start, start))
        command = [sys.executable, "-m", f"{_HERE}.train", "--out", str(out / run.name), "--measure", "0"]
        command += ["--minutes", f"{run.minutes * share:g}", "--seed", str(run.seed), "--rate", run.rate]
        command += ["--start", str(start / "reader.pt")] if run.start else []
        listed.append([*command, *more])
    listed.append(mean(_SHIPPED, out / "floats"))
    listed.append([sys.executable, "-m", f"{_HERE}.quantise", str(out / "floats"), "--out", str(out)])
    return listed


def main() -> None:
    """Run them; stop at the first that fails."""
    parser = argparse.ArgumentParser(prog="python -m tracer.training.make", description=__doc__)
    parser.add_argument("--out", type=Path, required=True, help="folder for the reader, its card and weights")
    parser.add_argument("--share", type=float, default=1.0, help="part of each training's full length")
    options, more = parser.parse_known_args()
    for command in commands(options.out, options.share, *more):
        subprocess.run(command, check=True)


if __name__ == "__main__":
    main()

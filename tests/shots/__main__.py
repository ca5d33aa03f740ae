"""``python -m tests.shots OUT [NAME…]``: pictures of the window in every state, at several sizes of type."""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

SIZES = {
    "": (1.0, 1440, 900),
    "fhd200": (2.0, 960, 540),
    "uhd300": (3.0, 1280, 720),
    "fhd300": (3.0, 640, 360),
}
"""By the ending of the file's name: screen px per px of type, and the window's width and height in those.
A full-HD screen set to 200 %, a 4K screen and a full-HD screen set to 300 % leave no more room than this."""

SHORT = frozenset(
    {"start", "measure", "causes", "card", "keys", "cautions", "lists", "contacts", "corners", "settling"}
)
"""What is also taken at the larger sizes."""


def main(arguments: list[str]) -> int:
    """Make each size in a process of its own: Qt takes its scale when it begins."""
    parser = argparse.ArgumentParser(prog="python -m tests.shots", description=__doc__)
    parser.add_argument("out", type=Path, help="folder that the pictures go into")
    parser.add_argument("only", nargs="*", help="names of states; all when none is given")
    parser.add_argument("--sizes", nargs="+", choices=["usual", *SIZES], help="sizes; all when none is given")
    parser.add_argument("--size", choices=[*SIZES], help=argparse.SUPPRESS)
    asked = parser.parse_args(arguments)
    if asked.size is not None:
        from tests.shots.states import take

        _, wide, high = SIZES[asked.size]
        wanted = set(asked.only) if asked.only else (SHORT if asked.size else None)
        take(asked.out, asked.size, (wide, high), wanted)
        return 0
    asked.out.mkdir(parents=True, exist_ok=True)
    for size, (scale, _, _) in SIZES.items():
        if asked.sizes and (size or "usual") not in asked.sizes:
            continue
        with TemporaryDirectory() as home:
            where = dict.fromkeys(("HOME", "XDG_CONFIG_HOME", "XDG_DATA_HOME"), home)
            stage = {"QT_QPA_PLATFORM": "offscreen", "QT_SCALE_FACTOR": str(scale)}
            command = [sys.executable, "-m", "tests.shots", str(asked.out), *asked.only, f"--size={size}"]
            subprocess.run(command, env={**os.environ, **where, **stage}, check=True)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

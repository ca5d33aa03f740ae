"""Reads and traces one drawn page in a process of its own and prints what it took, as JSON.

``python tests/speed/page_peak.py WIDTH HEIGHT STROKE``; memory is the process's peak in MB.
"""

from __future__ import annotations

import json
import resource
import sys
from pathlib import Path
from time import perf_counter

import numpy as np
from drawn_pages import drawn_page

from tracer.reader.read import read
from tracer.reader.weights import load_weights
from tracer.scan.page import Page
from tracer.trace.flood import FloodIndex
from tracer.trace.sheet import TracedSheet
from tracer.trace.trace import trace


def peak() -> float:
    """Return the most memory that this process has held so far, MB.

    On Linux `getrusage` hands on what the parent held when it began this process, so the kernel's own mark
    is asked first.
    """
    status = Path("/proc/self/status")
    if status.exists():
        line = next(line for line in status.read_text().splitlines() if line.startswith("VmHWM"))
        return float(line.split()[1]) * 1024 / 1e6
    unit = 1.0 if sys.platform == "darwin" else 1024.0
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * unit / 1e6


def flood_ms(sheet: TracedSheet, clicks: int = 1000) -> float:
    """Return the 95th percentile of a click's flood at places drawn by lot, ms."""
    index, rng, took = FloodIndex(sheet), np.random.default_rng(1), []
    for x, y in rng.uniform((0, 0), sheet.shape[::-1], (clicks, 2)):
        start = perf_counter()
        conductor = index.conductor_at(x, y)
        if conductor is not None:
            index.segments_of(conductor)
        took.append(1000 * (perf_counter() - start))
    return float(np.percentile(took, 95))


def main() -> None:
    """Read, trace, print."""
    width, height, stroke = int(sys.argv[1]), int(sys.argv[2]), float(sys.argv[3])
    grey = drawn_page((width, height), stroke)
    weights = load_weights()
    took = {"megapixels": grey.size / 1e6, "before": peak()}
    start = perf_counter()
    layers = read(Page(grey, Path("drawn.png"), 1, 300.0, "drawn"), weights=weights)
    took |= {"read": peak(), "read seconds": perf_counter() - start}
    start = perf_counter()
    sheet = trace(layers, (height, width))
    took |= {"trace": peak(), "trace seconds": perf_counter() - start, "conductors": sheet.conductors}
    took["flood ms"] = flood_ms(sheet)
    print(json.dumps(took))


if __name__ == "__main__":
    main()

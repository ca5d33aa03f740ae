"""How long a page takes to read and trace, and how much memory, beside the plain way of doing it.

The plain way is what general libraries offer without learning: scikit-image's Sauvola threshold (Sauvola
and Pietikäinen 2000), skeleton and labels. It tells wires from nothing else, so it measures time alone. Both
ways run in one test on one page, so their ratio says the same on a fast machine and on a busy one.

``pytest tests/speed/test_speed_reading.py -s`` prints the figures of a quarter of an A3 sheet; ``-m big``
those of whole ones and of 70 megapixels.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from time import perf_counter

import numpy as np
import pytest
from drawn_pages import A3, LARGEST, drawn_page
from numpy.typing import NDArray
from pytest_benchmark.fixture import BenchmarkFixture
from skimage.filters import threshold_sauvola
from skimage.measure import label
from skimage.morphology import skeletonize

from tracer.errors import TracerError
from tracer.reader.read import read
from tracer.reader.weights import Weights, load_weights
from tracer.scan.page import Page
from tracer.trace.trace import trace

QUARTER = (A3[0] // 2, A3[1] // 2)
MOST_MEMORY = {QUARTER: 800.0, A3: 1200.0, LARGEST: 2000.0}
"""MB, the process as a whole; floors against a fall."""


@pytest.fixture(scope="module")
def weights() -> Weights:
    try:
        return load_weights()
    except TracerError as error:
        pytest.skip(f"no reader installed: {error}")


def plain_way(grey: NDArray[np.uint8]) -> int:
    """Threshold, thin and count connected lines."""
    lines = skeletonize(grey < threshold_sauvola(grey, 25))  # type: ignore[no-untyped-call]
    return int(label(lines, connectivity=2).max())  # type: ignore[no-untyped-call]


def read_and_trace(grey: NDArray[np.uint8], weights: Weights) -> tuple[float, float, int]:
    """Return the seconds that reading and tracing took, and how many conductors were found."""
    start = perf_counter()
    layers = read(Page(grey, Path("drawn.png"), 1, 300.0, "drawn"), weights=weights)
    between = perf_counter()
    sheet = trace(layers, (grey.shape[0], grey.shape[1]))
    return between - start, perf_counter() - between, sheet.conductors


def compare(benchmark: BenchmarkFixture, size: tuple[int, int], stroke: float, weights: Weights) -> None:
    """Time both ways on one page and print them."""
    grey = drawn_page(size, stroke)
    timed = benchmark.pedantic(read_and_trace, (grey, weights), rounds=1)  # type: ignore[no-untyped-call]
    reading, tracing, conductors = timed
    start = perf_counter()
    assert plain_way(grey) > 0
    plain = perf_counter() - start
    times = (reading + tracing) / plain
    benchmark.extra_info.update(plain_seconds=plain, times=times, reading=reading, tracing=tracing)
    print(
        f"\n{grey.size / 1e6:.1f} Mpx, stroke {stroke:g} px: read {reading:.1f} s, trace {tracing:.1f} s,"
        f" plain way {plain:.1f} s, ratio {times:.1f}"
    )
    assert conductors > 20


@pytest.mark.parametrize("stroke", [3.0])
def test_a_quarter_sheet_beside_the_plain_way(
    benchmark: BenchmarkFixture, weights: Weights, stroke: float
) -> None:
    compare(benchmark, QUARTER, stroke, weights)


@pytest.mark.big
@pytest.mark.timeout(900)
@pytest.mark.parametrize("stroke", [2.0, 3.0, 4.0])
def test_an_a3_sheet_beside_the_plain_way(
    benchmark: BenchmarkFixture, weights: Weights, stroke: float
) -> None:
    compare(benchmark, A3, stroke, weights)


@pytest.mark.timeout(1800)
@pytest.mark.parametrize(
    ("size", "stroke"),
    [
        (QUARTER, 3.0),
        pytest.param(A3, 2.0, marks=pytest.mark.big),
        pytest.param(A3, 3.0, marks=pytest.mark.big),
        pytest.param(A3, 4.0, marks=pytest.mark.big),
        pytest.param(LARGEST, 3.0, marks=pytest.mark.big),
    ],
)
def test_memory_stays_within_bounds(weights: Weights, size: tuple[int, int], stroke: float) -> None:
    script = Path(__file__).with_name("page_peak.py")
    arguments = [sys.executable, str(script), *map(str, size), str(stroke)]
    took = json.loads(subprocess.run(arguments, capture_output=True, text=True, check=True).stdout)
    print(
        f"\n{took['megapixels']:.1f} Mpx, stroke {stroke:g} px: {took['before']:.0f} MB before,"
        f" {took['read']:.0f} MB at most after reading ({took['read seconds']:.0f} s),"
        f" {took['trace']:.0f} MB after tracing ({took['trace seconds']:.0f} s);"
        f" a flood {took['flood ms']:.2f} ms at the 95th percentile"
    )
    assert took["conductors"] > 20
    assert took["trace"] < MOST_MEMORY[size]

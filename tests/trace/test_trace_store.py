"""Stored tracings, look-up by place, cancelling, and what it all costs."""

from __future__ import annotations

import io
import time
import tracemalloc

import numpy as np
import pytest
from drawn_map import Drawn

from tracer.errors import Cancelled, DamagedJob
from tracer.progress import NullProgress
from tracer.reader.layers import Layers, Pixel
from tracer.trace.flood import FloodIndex
from tracer.trace.sheet import TracedSheet
from tracer.trace.store import from_bytes, to_bytes
from tracer.trace.trace import trace


def small_sheet() -> TracedSheet:
    drawn = Drawn(200, 260)
    drawn.wire((10, 40), (250, 40))
    drawn.wire((60, 10), (60, 190))
    drawn.wire((120, 40), (120, 190))
    drawn.box(170, 30, 200, 50, "resistor")
    return trace(drawn.layers(), drawn.shape)


def large_layers() -> Layers:
    """A sheet of A3 at 300 dpi (4961 x 3508 page px, 17.4 megapixels), stroke 5 px, crowded with wires."""
    rng = np.random.default_rng(3)
    drawn = Drawn(2105, 2977, scale=5 / 3)
    for number in range(700):
        x, y = int(rng.integers(20, 2900)), int(rng.integers(20, 2050))
        length = int(rng.integers(60, 500))
        end = (min(x + length, 2950), y) if number % 2 else (x, min(y + length, 2080))
        drawn.wire((x, y), end)
        if number % 4 == 0:
            drawn.dot(x, y)
        if number % 3 == 0 and x < 2900 and y < 2000:
            drawn.box(x - 20, y - 12, x + 20, y + 12, "resistor")
    return drawn.layers()


def test_a_sheet_comes_back_as_it_went() -> None:
    sheet = small_sheet()
    back = from_bytes(to_bytes(sheet))
    assert (back.shape, back.stroke, back.conductors) == (sheet.shape, sheet.stroke, sheet.conductors)
    assert back.joins == sheet.joins
    assert back.proposals == sheet.proposals
    assert back.reader_sha256 == sheet.reader_sha256
    for one, other in zip(sheet.segments, back.segments, strict=True):
        assert (one.id, one.width, one.joins, one.conductor) == (
            other.id,
            other.width,
            other.joins,
            other.conductor,
        )
        assert other.line.dtype == np.float32
        assert np.array_equal(one.line, other.line)


def test_an_empty_sheet_comes_back() -> None:
    drawn = Drawn(20, 30)
    assert from_bytes(to_bytes(trace(drawn.layers(), drawn.shape))).segments == ()


def test_damaged_bytes_are_refused() -> None:
    data = to_bytes(small_sheet())
    pickled = io.BytesIO()
    np.savez(pickled, record=np.array([{"version": 1}], dtype=object))
    for bad in (b"", b"no archive", data[: len(data) // 2], pickled.getvalue()):
        with pytest.raises(DamagedJob, match="Trace that sheet again"):
            from_bytes(bad)


def test_look_up_goes_by_stroke_widths_and_takes_the_nearest() -> None:
    sheet = small_sheet()
    index = FloodIndex(sheet)
    assert index.conductor_at(300, 81) is not None
    assert index.conductor_at(300, 81 + 1.9 * sheet.stroke + sheet.stroke / 2) is not None
    assert index.conductor_at(300, 81 + 4 * sheet.stroke) is None
    assert index.segment_at(121, 300) in index.segments_of(index.conductor_at(121, 300) or 0)
    assert index.segments_of(999) == ()


class Impatient(NullProgress):
    def cancelled(self) -> bool:
        return True


def test_tracing_can_be_cancelled() -> None:
    drawn = Drawn(50, 50)
    with pytest.raises(Cancelled):
        trace(drawn.layers(), drawn.shape, progress=Impatient())


def test_an_a3_sheet_is_traced_in_little_memory() -> None:
    layers = large_layers()
    started = time.process_time()
    sheet = trace(layers, (3508, 4961))
    took = time.process_time() - started
    tracemalloc.start()
    trace(layers, (3508, 4961))
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    index = FloodIndex(sheet)
    places = np.random.default_rng(1).uniform((0, 0), (4961, 3508), (200, 2))
    each = []
    for x, y in places:
        before = time.process_time()
        index.segments_of(index.conductor_at(float(x), float(y)) or 0)
        each.append(time.process_time() - before)
    slowest = max(each) * 1e3
    print(f"\n{len(sheet.segments)} segments in {took:.1f} s, {peak / 1e6:.0f} MB; look-up {slowest:.2f} ms")
    assert peak < 24 * layers.classes.size


@pytest.mark.parametrize("pixel", list(Pixel))
def test_a_page_of_one_class_alone_is_no_trouble(pixel: Pixel) -> None:
    drawn = Drawn(120, 160)
    drawn.area(0, 0, 160, 120, pixel)
    sheet = trace(drawn.layers(), drawn.shape)
    assert sheet.proposals == ()
    assert sheet.conductors <= 1


def test_a_page_of_noise_is_traced_without_trouble() -> None:
    drawn = Drawn(240, 300)
    rng = np.random.default_rng(11)
    drawn.classes[:] = rng.integers(0, len(Pixel), drawn.classes.shape)
    drawn.kinds[:] = rng.integers(0, 8, drawn.kinds.shape)
    sheet = trace(drawn.layers(), drawn.shape)
    assert {segment.conductor for segment in sheet.segments} == set(range(1, sheet.conductors + 1))
    assert from_bytes(to_bytes(sheet)).joins == sheet.joins

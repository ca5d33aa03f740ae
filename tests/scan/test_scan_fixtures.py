"""The files under ``fixtures`` are those listed, and each scan does what it is listed for."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

import numpy as np
import pytest

from tracer.errors import BadPassword, DamagedImage, EmptyFile, TooLarge, TracerError
from tracer.scan.level import level
from tracer.scan.open import open_page, page_count
from tracer.scan.stroke import usual_stroke

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
ENTRIES = json.loads((FIXTURES / "index.json").read_text(encoding="utf-8"))
SCAN = FIXTURES / "scan"


@pytest.mark.parametrize("entry", ENTRIES, ids=lambda entry: entry["file"])
def test_listed_file_has_its_hash(entry: dict[str, str]) -> None:
    data = (FIXTURES / entry["file"]).read_bytes()
    assert hashlib.sha256(data).hexdigest() == entry["sha256"]
    assert all(entry[field].strip() for field in ("source", "licence", "purpose"))


def test_every_file_is_listed() -> None:
    kept = {path.relative_to(FIXTURES).as_posix() for path in FIXTURES.glob("*/*") if "__" not in str(path)}
    assert kept == {entry["file"] for entry in ENTRIES}


def test_good_files_show_the_same_sheet() -> None:
    first = open_page(SCAN / "two_pages.tif")
    assert page_count(SCAN / "two_pages.tif") == 2
    assert np.array_equal(open_page(SCAN / "two_pages.tif", 2).grey, first.grey[::-1])
    assert first.dpi == pytest.approx(300)
    assert np.array_equal(open_page(SCAN / "ink_transparent.gif").grey, first.grey)
    assert np.array_equal(open_page(SCAN / "turned_by_exif.jpg").grey < 128, first.grey < 128)
    flat = level(open_page(SCAN / "uneven_light.png").grey)
    off = (flat < 128) != (first.grey < 128)
    assert off[:, 40:].mean() < 0.001
    assert usual_stroke(flat).width == pytest.approx(usual_stroke(first.grey).width, rel=0.1)


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("cut_short.png", DamagedImage),
        ("header_claims_too_much.png", TooLarge),
        ("encrypted.pdf", BadPassword),
        ("empty.png", EmptyFile),
    ],
)
def test_bad_files_have_their_own_error(name: str, kind: type[TracerError]) -> None:
    with pytest.raises(kind, match=name):
        open_page(SCAN / name)

"""The network, its tiles and its export, where torch is installed (the ``training`` extra)."""

import json
from pathlib import Path

import numpy as np
import pytest

torch = pytest.importorskip("torch")

from tracer.training.augment import blacken, cut_tiles, spoil_tiles  # noqa: E402
from tracer.training.average import average  # noqa: E402
from tracer.training.classes import BODY, CLASS_COUNT, CLASS_NAMES, KIND_NAMES, UNKNOWN, WIRE  # noqa: E402
from tracer.training.export import export_reader  # noqa: E402
from tracer.training.layout import draw_sheet  # noqa: E402
from tracer.training.network import ReaderNetwork, Readout  # noqa: E402


@pytest.fixture(scope="module")
def pool() -> tuple["torch.Tensor", ...]:
    sheets = [draw_sheet(seed, 384, 384, stroke=3.0) for seed in (3, 4)]
    parts = ([sheet.image for sheet in sheets], [s.classes for s in sheets], [s.kinds for s in sheets])
    return tuple(torch.from_numpy(np.stack(part)) for part in parts)


def test_tiles_keep_picture_and_truth_together(pool: tuple["torch.Tensor", ...]) -> None:
    torch.manual_seed(1)
    tiles = cut_tiles(*pool, 12, 128)
    assert tiles.images.shape == (12, 1, 128, 128)
    assert tiles.kinds.shape == (12, 32, 32)
    known = tiles.classes != UNKNOWN
    wire = tiles.images[:, 0][known & (tiles.classes == WIRE)]
    paper = tiles.images[:, 0][known & (tiles.classes == 0)]
    assert wire.mean() < 0.45
    assert paper.mean() > 0.95
    body = torch.nn.functional.max_pool2d((tiles.classes == BODY).float()[:, None], 4)[:, 0] > 0
    named = (tiles.kinds > 0) & (tiles.kinds != UNKNOWN)
    assert body[named].float().mean() > 0.9


def test_spoiling_keeps_the_range_and_differs_from_tile_to_tile(pool: tuple["torch.Tensor", ...]) -> None:
    torch.manual_seed(2)
    tiles = blacken(cut_tiles(*pool, 6, 128))
    spoilt = spoil_tiles(tiles.images[:1].repeat(6, 1, 1, 1))
    assert spoilt.min() >= 0
    assert spoilt.max() <= 1
    assert (spoilt[0] - spoilt[1]).abs().mean() > 0.003


def test_network_answers_pixel_by_pixel() -> None:
    scores, kinds = ReaderNetwork().eval()(torch.ones(2, 1, 64, 96))
    assert scores.shape == (2, CLASS_COUNT, 64, 96)
    assert kinds.shape == (2, len(KIND_NAMES), 16, 24)


def test_network_is_small() -> None:
    assert sum(part.numel() for part in ReaderNetwork().parameters()) < 2_000_000


def test_mean_of_weights() -> None:
    one, other = (
        {"w": torch.tensor([1.0]), "n": torch.tensor(3)},
        {"w": torch.tensor([3.0]), "n": torch.tensor(5)},
    )
    assert average([one, other]) == {"w": torch.tensor([2.0]), "n": torch.tensor(5)}


def test_exported_reader_says_the_same_at_any_size(tmp_path: Path) -> None:
    onnxruntime = pytest.importorskip("onnxruntime")
    pytest.importorskip("onnx")
    torch.manual_seed(3)
    network = ReaderNetwork().eval()
    target = export_reader(network, tmp_path, {"seed": 3})
    card = json.loads((tmp_path / "reader.json").read_text("utf-8"))
    assert card["class_names"] == list(CLASS_NAMES)
    assert card["kind_names"][0] == "none"
    session = onnxruntime.InferenceSession(str(target), providers=["CPUExecutionProvider"])
    for height, width in ((64, 96), (128, 32)):
        page = torch.rand(1, 1, height, width)
        with torch.no_grad():
            expected = [answer.numpy() for answer in Readout(network)(page)]
        given = session.run(None, {"page": page.numpy()})
        assert [answer.shape for answer in given] == [answer.shape for answer in expected]
        assert (given[0] == expected[0]).mean() > 0.999
        assert np.abs(given[1].astype(int) - expected[1].astype(int)).max() <= 1

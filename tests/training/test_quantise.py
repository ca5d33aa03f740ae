"""A reader in bytes answers as the one in floats does."""

from __future__ import annotations

import json
import sys
from hashlib import sha256
from pathlib import Path

import numpy as np
import onnx
import onnxruntime
import pytest
from numpy.typing import NDArray
from onnx import numpy_helper
from scipy.special import softmax
from small_reader import save_small_reader, small_reader

from tracer.reader.weights import load_weights
from tracer.training import quantise as module
from tracer.training.classes import CLASS_COUNT
from tracer.training.quantise import calibration_pages, main, quantise, quantise_folder
from tracer.training.readout import CLASS_SCORES, KIND_SCORES, scores_alone, with_answers
from tracer.training.safe_sums import pair_sums

ANSWERS = ["classes", "sureness", "kinds", "kind_sureness"]


def run(model: onnx.ModelProto, page: NDArray[np.float32], outputs: list[str]) -> list[NDArray[np.generic]]:
    options = onnxruntime.SessionOptions()
    options.log_severity_level = 3
    session = onnxruntime.InferenceSession(
        model.SerializeToString(), options, providers=["CPUExecutionProvider"]
    )
    return list(session.run(outputs, {"page": page}))


@pytest.fixture(scope="module")
def pages() -> list[NDArray[np.float32]]:
    return list(calibration_pages(sheets=1, side=256))


def test_pages_show_ink_on_white_and_are_the_same_each_time(pages: list[NDArray[np.float32]]) -> None:
    assert len(pages) == 4
    for page, again in zip(pages, calibration_pages(sheets=1, side=256), strict=True):
        assert page.shape == (1, 1, 256, 256)
        assert page.dtype == np.float32
        assert page.min() == 0.0
        assert np.median(page) > 0.9
        assert np.array_equal(page, again)


def test_answers_from_scores_are_those_of_a_softmax(pages: list[NDArray[np.float32]]) -> None:
    alone = scores_alone(small_reader())
    cells, kinds = run(alone, pages[1], [CLASS_SCORES, KIND_SCORES])
    assert cells.shape == (1, 4 * CLASS_COUNT, 128, 128)
    quads = cells.reshape(CLASS_COUNT, 2, 2, 128, 128)
    scores = quads.transpose(0, 3, 1, 4, 2).reshape(CLASS_COUNT, 256, 256)
    answers = run(with_answers(alone, CLASS_COUNT), pages[1], ANSWERS)
    for shares, best, sure in (
        (softmax(scores, axis=0), *answers[:2]),
        (softmax(kinds[0], axis=0), *answers[2:]),
    ):
        assert best.dtype == sure.dtype == np.uint8
        assert (best[0] == shares.argmax(axis=0)).mean() > 0.9999
        assert np.abs(sure[0] - np.rint(255 * shares.max(axis=0))).max() <= 1


def test_answers_are_those_of_the_export(pages: list[NDArray[np.float32]]) -> None:
    exported = run(small_reader(), pages[2], ANSWERS)
    cheap = run(with_answers(scores_alone(small_reader()), CLASS_COUNT), pages[2], ANSWERS)
    for one, other in zip(exported, cheap, strict=True):
        assert one.shape == other.shape
        assert (np.abs(one.astype(int) - other.astype(int)) <= 1).mean() > 0.9999


def test_bytes_answer_as_floats_do(pages: list[NDArray[np.float32]]) -> None:
    whole = quantise(small_reader(), pages)
    page = next(iter(calibration_pages(sheets=1, side=320)))
    classes, sureness, kinds, kind_sureness = run(small_reader(), page, ANSWERS)
    seen, sure, told, kind_sure = run(whole, page, ANSWERS)
    assert len(np.unique(classes)) > 3
    assert (seen == classes).mean() > 0.97
    assert (told == kinds).mean() > 0.97
    assert np.abs(sure.astype(int) - sureness).mean() < 4
    assert np.abs(kind_sure.astype(int) - kind_sureness).mean() < 4


def test_no_pair_of_products_runs_over(pages: list[NDArray[np.float32]]) -> None:
    whole = quantise(small_reader(), pages)
    weights = [
        numpy_helper.to_array(tensor)
        for tensor in whole.graph.initializer
        if tensor.data_type == onnx.TensorProto.INT8 and len(tensor.dims) == 4
    ]
    assert len(weights) == 3  # all but the scores of kinds
    for weight in weights:
        assert np.abs(weight.astype(int)).max() > 40
        assert pair_sums(weight).max() * 255 <= np.iinfo(np.int16).max


def test_a_quantised_reader_is_not_quantised_again(pages: list[NDArray[np.float32]]) -> None:
    with pytest.raises(ValueError, match="already"):
        quantise(quantise(small_reader(), pages), pages)


def test_another_graph_is_refused() -> None:
    model = small_reader()
    del model.graph.node[1:]
    with pytest.raises(ValueError, match="no reader's graph"):
        scores_alone(model)


def test_a_folder_is_quantised_with_its_card(tmp_path: Path, pages: list[NDArray[np.float32]]) -> None:
    before = save_small_reader(tmp_path)
    target = quantise_folder(before, tmp_path / "quick", pages)
    weights = load_weights(target, target.with_name("reader.json"))
    card = json.loads(target.with_name("reader.json").read_text(encoding="utf-8"))
    assert weights.sha256 == card["sha256"] == sha256(target.read_bytes()).hexdigest()
    assert card["quantised"]["from_sha256"] == sha256((before / "reader.onnx").read_bytes()).hexdigest()
    assert load_weights(before / "reader.onnx", before / "reader.json").sha256 != weights.sha256


def test_the_command(
    tmp_path: Path,
    pages: list[NDArray[np.float32]],
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    save_small_reader(tmp_path)
    out = tmp_path / "out"
    monkeypatch.setattr(module, "calibration_pages", lambda: iter(pages))
    monkeypatch.setattr(sys, "argv", ["quantise", str(tmp_path), "--out", str(out)])
    main()
    assert capsys.readouterr().out.strip().endswith(str(out / "reader.onnx"))
    assert (out / "reader.json").exists()

"""Make a trained reader quick on a processor: ``python -m tracer.training.quantise FOLDER --out DIR``.

`FOLDER` holds the ``reader.onnx`` and ``reader.json`` of a training; `DIR` gets the same reader with whole
numbers in place of floats, a quarter of the size and three to four times as fast, and a card that tells so.

Every convolution works on bytes (Jacob et al. 2018, "Quantization and training of neural networks for
efficient integer-arithmetic-only inference"), its weights on a scale of their own for each channel. How far
each layer's values reach is measured on sheets drawn for it, spoilt at every level; the weights' scales are
such that older processors come to the same sums (`tracer.training.safe_sums`). The scores of kinds stay in
floats: they cost next to nothing.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import tempfile
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any, Final

import numpy as np
import onnx
from numpy.typing import NDArray
from onnxruntime.quantization import (
    CalibrationDataReader,
    CalibrationMethod,
    QuantFormat,
    QuantType,
    quantize_static,
)

from tracer.training.classes import CLASS_COUNT
from tracer.training.layout import draw_sheet
from tracer.training.readout import KIND_SCORES, scores_alone, with_answers
from tracer.training.safe_sums import spare_sums
from tracer.training.spoil import LEVELS, spoil

__all__ = ["calibration_pages", "main", "quantise", "quantise_folder"]

_SHEETS: Final = 4  # at each level of spoiling
_SIDE: Final = 512  # px
_STROKES: Final = (1.8, 2.7)  # px, about what pages are brought to
_FIRST_SEED: Final = 3000  # neither trained nor measured on
_REACH: Final = 99.999  # percentile; what lies beyond is clipped, lest one outlier make all the rest coarse
_PAPER_SHARE: Final = 60  # percentile of a page's greys taken as its paper


def calibration_pages(sheets: int = _SHEETS, side: int = _SIDE) -> Iterator[NDArray[np.float32]]:
    """Draw the pages that the layers' reach is measured on, (1, 1, side, side), 0 ink to 1 paper."""
    for level in range(len(LEVELS)):
        for number, stroke in enumerate(np.linspace(*_STROKES, sheets)):
            seed = _FIRST_SEED + 100 * level + number
            grey = spoil(draw_sheet(seed, side, side, stroke=float(stroke)), level, seed).image
            black, white = np.percentile(grey, (1, _PAPER_SHARE))
            levelled = (grey.astype(np.float32) - black) / max(white - black, 1.0)
            yield np.clip(levelled, 0.0, 1.0).astype(np.float32)[None, None]


def quantise(model: onnx.ModelProto, pages: Iterable[NDArray[np.float32]]) -> onnx.ModelProto:
    """Return a reader's graph with its convolutions in bytes; the same input and the same answers.

    Raises
    ------
    ValueError
        When it is no reader's graph, or quantised already.
    """
    with tempfile.TemporaryDirectory() as folder:
        floats, whole = Path(folder) / "floats.onnx", Path(folder) / "bytes.onnx"
        onnx.save(onnx.shape_inference.infer_shapes(scores_alone(model)), str(floats))
        quantize_static(
            str(floats),
            str(whole),
            _Pages(pages),
            quant_format=QuantFormat.QDQ,
            op_types_to_quantize=["Conv", "Relu", "Add", "Resize"],
            nodes_to_exclude=[KIND_SCORES],
            per_channel=True,
            activation_type=QuantType.QUInt8,
            weight_type=QuantType.QInt8,
            calibrate_method=CalibrationMethod.Percentile,
            extra_options={"CalibPercentile": _REACH},
        )
        made = onnx.load(str(whole))
        spare_sums(made, onnx.load(str(floats)))
        return with_answers(made, CLASS_COUNT)


def quantise_folder(folder: Path, out: Path, pages: Iterable[NDArray[np.float32]] | None = None) -> Path:
    """Quantise the reader in `folder` and write it with its card to `out`; return the weights' path."""
    data = (folder / "reader.onnx").read_bytes()
    card: dict[str, Any] = json.loads((folder / "reader.json").read_text(encoding="utf-8"))
    model = quantise(onnx.load_from_string(data), calibration_pages() if pages is None else pages)
    out.mkdir(parents=True, exist_ok=True)
    target = out / "reader.onnx"
    target.write_bytes(model.SerializeToString())
    card["sha256"] = hashlib.sha256(target.read_bytes()).hexdigest()
    card["quantised"] = {
        "from_sha256": hashlib.sha256(data).hexdigest(),
        "how": "convolutions in bytes, a scale for each channel of the weights; kind scores in floats",
        "command": "python -m tracer.training.quantise FOLDER --out DIR",
    }
    (out / "reader.json").write_text(json.dumps(card, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
    return target


class _Pages(CalibrationDataReader):  # type: ignore[misc, unused-ignore]
    """Hands pages to the calibration one by one."""

    def __init__(self, pages: Iterable[NDArray[np.float32]]) -> None:
        self._pages = iter(pages)

    def get_next(self) -> dict[str, NDArray[np.float32]] | None:
        page = next(self._pages, None)
        return None if page is None else {"page": page}


def main() -> None:
    """Run the command line."""
    parser = argparse.ArgumentParser(prog="python -m tracer.training.quantise", description=__doc__)
    parser.add_argument("folder", type=Path, help="folder with reader.onnx and reader.json, in floats")
    parser.add_argument("--out", type=Path, required=True, help="folder for the quick reader and its card")
    options = parser.parse_args()
    print(quantise_folder(options.folder, options.out))


if __name__ == "__main__":
    main()

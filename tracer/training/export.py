"""Writing a trained reader as ONNX, with its card."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path
from typing import Any

import torch

from tracer.training.classes import CLASS_NAMES, KIND_CELL, KIND_NAMES
from tracer.training.network import ReaderNetwork, Readout

__all__ = ["export_reader"]


def export_reader(network: ReaderNetwork, folder: Path, card: dict[str, Any]) -> Path:
    """Write ``reader.onnx`` and ``reader.json`` to `folder`; `card` says how it was made.

    The graph takes ``page`` (1, 1, H, W) float32 and gives ``classes``, ``sureness`` (1, H, W) and
    ``kinds``, ``kind_sureness`` (1, H/4, W/4), all uint8. Batch normalisation is folded away.
    """
    target = folder / "reader.onnx"
    readout = Readout(network).eval()
    axes = {"page": {2: "height", 3: "width"}}
    for name in ("classes", "sureness"):
        axes[name] = {1: "height", 2: "width"}
    for name in ("kinds", "kind_sureness"):
        axes[name] = {1: "cells_down", 2: "cells_across"}
    torch.onnx.export(
        readout,
        (torch.ones(1, 1, 256, 320),),
        str(target),
        input_names=["page"],
        output_names=["classes", "sureness", "kinds", "kind_sureness"],
        dynamic_axes=axes,
        opset_version=17,
        do_constant_folding=True,
        dynamo=False,
    )
    full = {
        "sha256": hashlib.sha256(target.read_bytes()).hexdigest(),
        "what": "The learned reader: a grey page in, the class of each pixel and the kind of each body out.",
        "input": {
            "name": "page", "shape": [1, 1, "H", "W"], "dtype": "float32", "paper": 1.0, "ink": 0.0,
            "multiple_of": 32, "stroke_px": 2.5, "strokes_px": [1.7, 2.7], "pad_with": 1.0,
        },
        "outputs": ["classes", "sureness", "kinds", "kind_sureness"],
        "class_names": list(CLASS_NAMES),
        "kind_names": list(KIND_NAMES),
        "kind_cell_px": KIND_CELL,
        "trained_on": "Sheets drawn and spoilt by tracer.training alone; no scan of any real sheet.",
        **card,
    }  # fmt: skip
    (folder / "reader.json").write_text(json.dumps(full, indent=1, ensure_ascii=False) + "\n", "utf-8")
    return target

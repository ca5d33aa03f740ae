"""Writing the recogniser as ONNX, its weights in half precision: half the file, the same speed."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path
from typing import Any, Final

import numpy as np
import onnx
import torch
from onnx import TensorProto, helper, numpy_helper

from tracer.training.letters_network import ROWS, LettersNetwork, LettersReadout
from tracer.training.letters_text import ALPHABET

__all__ = ["export_letters", "halve_weights"]

_SMALL: Final = 1024  # numbers; smaller tensors stay as they are


def halve_weights(model: onnx.ModelProto) -> onnx.ModelProto:
    """Keep large weights as float16, each cast to float32 once, as a session opens."""
    graph = model.graph
    casts = []
    for tensor in graph.initializer:
        values = numpy_helper.to_array(tensor)
        if tensor.data_type != TensorProto.FLOAT or values.size < _SMALL:
            continue
        name = tensor.name
        tensor.CopyFrom(numpy_helper.from_array(values.astype(np.float16), f"{name}_half"))
        casts.append(
            helper.make_node("Cast", [f"{name}_half"], [name], f"{name}_whole", to=TensorProto.FLOAT)
        )
    nodes = list(graph.node)
    del graph.node[:]
    graph.node.extend([*casts, *nodes])
    onnx.checker.check_model(model)
    return model


def export_letters(network: LettersNetwork, folder: Path, card: dict[str, Any]) -> Path:
    """Write ``letters.onnx`` and ``letters.json``; `card` says how it was made.

    The graph takes ``strips`` (B, 1, 32, W) float32 and gives ``chances`` (B, W / 2, 1 + signs) float32.
    """
    target = folder / "letters.onnx"
    torch.onnx.export(
        LettersReadout(network).eval(),
        (torch.ones(2, 1, ROWS, 160),),
        str(target),
        input_names=["strips"],
        output_names=["chances"],
        dynamic_axes={"strips": {0: "count", 3: "width"}, "chances": {0: "count", 1: "columns"}},
        opset_version=17,
        do_constant_folding=True,
        dynamo=False,
    )
    onnx.save(halve_weights(onnx.load(str(target))), str(target))
    full = {
        "sha256": hashlib.sha256(target.read_bytes()).hexdigest(),
        "what": "The recogniser of lettering: strips of grey in, the chance of each sign along them out.",
        "input": {"name": "strips", "shape": ["B", 1, ROWS, "W"], "dtype": "float32", "paper": 1.0},
        "letter_share_of_height": 0.75,
        "output": "chances",
        "alphabet": ALPHABET,
        "trained_on": "Lines drawn and spoilt by tracer.training alone; no scan of any real sheet.",
        **card,
    }  # fmt: skip
    (folder / "letters.json").write_text(json.dumps(full, indent=1, ensure_ascii=False) + "\n", "utf-8")
    return target

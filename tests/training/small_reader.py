"""A reader's graph as a training exports it, three convolutions deep, its weights drawn by lot."""

from __future__ import annotations

import json
from hashlib import sha256
from pathlib import Path

import numpy as np
import onnx
from onnx import TensorProto, helper, numpy_helper

from tracer.training.classes import CLASS_COUNT, CLASS_NAMES, KIND_NAMES

__all__ = ["save_small_reader", "small_reader"]

_CHANNELS = 8


def small_reader(seed: int = 1) -> onnx.ModelProto:
    """Page in, classes, kinds and how sure they are out, with a softmax over scores moved apart."""
    rng = np.random.default_rng(seed)
    node = helper.make_node
    shapes = {
        "stem": (_CHANNELS, 1, 5, 5),
        "body": (_CHANNELS, _CHANNELS, 3, 3),
        "classes_of": (4 * CLASS_COUNT, _CHANNELS, 3, 3),
        "kinds_of": (len(KIND_NAMES), _CHANNELS, 3, 3),
    }
    held = [numpy_helper.from_array(np.array(1, np.float32), "one")]
    for name, shape in shapes.items():
        spread = 3.0 / np.sqrt(np.prod(shape[1:]))
        held.append(numpy_helper.from_array(rng.normal(0, spread, shape).astype(np.float32), f"{name}.w"))
        held.append(numpy_helper.from_array(rng.normal(0, 0.3, shape[0]).astype(np.float32), f"{name}.b"))

    def convolve(name: str, entering: str, leaving: str, stride: int = 1) -> onnx.NodeProto:
        size = shapes[name][2]
        return node(
            "Conv",
            [entering, f"{name}.w", f"{name}.b"],
            [leaving],
            name,
            kernel_shape=[size, size],
            strides=[stride, stride],
            pads=[size // 2] * 4,
        )

    nodes = [
        node("Sub", ["one", "page"], ["ink"]),
        convolve("stem", "ink", "x0", 2),
        node("Relu", ["x0"], ["x1"], "relu0"),
        convolve("body", "x1", "x2"),
        node("Add", ["x1", "x2"], ["x3"], "add"),
        node("Relu", ["x3"], ["x4"], "relu1"),
        convolve("classes_of", "x4", "cells"),
        node("DepthToSpace", ["cells"], ["scores0"], blocksize=2, mode="CRD"),
        convolve("kinds_of", "x4", "scores1", 2),
    ]
    for number, (best, sure) in enumerate((("classes", "sureness"), ("kinds", "kind_sureness"))):
        nodes += [
            node("Softmax", [f"scores{number}"], [f"shares{number}"], axis=1),
            node("ArgMax", [f"shares{number}"], [f"at{number}"], axis=1, keepdims=0),
            node("Cast", [f"at{number}"], [best], to=TensorProto.UINT8),
            node("ReduceMax", [f"shares{number}"], [f"most{number}"], axes=[1], keepdims=0),
            node("Mul", [f"most{number}", "full"], [f"of255{number}"]),
            node("Round", [f"of255{number}"], [f"whole{number}"]),
            node("Cast", [f"whole{number}"], [sure], to=TensorProto.UINT8),
        ]
    held.append(numpy_helper.from_array(np.array(255, np.float32), "full"))
    page = helper.make_tensor_value_info("page", TensorProto.FLOAT, [1, 1, "height", "width"])
    outputs = [
        helper.make_tensor_value_info(name, TensorProto.UINT8, [1, None, None])
        for name in ("classes", "sureness", "kinds", "kind_sureness")
    ]
    graph = helper.make_graph(nodes, "small", [page], outputs, held)
    return helper.make_model(graph, opset_imports=[helper.make_opsetid("", 17)], ir_version=8)


def save_small_reader(folder: Path) -> Path:
    """Write it with its card, as ``reader.onnx`` and ``reader.json``; return the folder."""
    data = small_reader().SerializeToString()
    (folder / "reader.onnx").write_bytes(data)
    card = {
        "sha256": sha256(data).hexdigest(),
        "input": {"stroke_px": 2.3, "strokes_px": [1.7, 2.7]},
        "class_names": list(CLASS_NAMES),
        "kind_names": list(KIND_NAMES),
    }
    (folder / "reader.json").write_text(json.dumps(card), encoding="utf-8")
    return folder

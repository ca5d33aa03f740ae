"""A network of five ordinary operators with the reader's inputs and outputs, for testing what surrounds it.

It calls ink WIRE, is as sure as the 33 × 33 px around a pixel are dark, and gives a kind to each cell
with ink in it.
"""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

import onnx
from onnx import TensorProto, helper

from tracer.reader.layers import Pixel

__all__ = ["KIND_NAMES", "save_tiny_network"]

KIND_NAMES = ("none", "resistor")


def save_tiny_network(folder: Path, stroke: float = 3.0) -> tuple[Path, Path]:
    """Write the network and its card; give both paths."""
    model, card = folder / "tiny.onnx", folder / "tiny.json"
    model.write_bytes(_network().SerializeToString())
    fields = {
        "sha256": hashlib.sha256(model.read_bytes()).hexdigest(),
        "input": {"stroke_px": stroke, "strokes_px": [0.73 * stroke, 1.17 * stroke]},
        "class_names": [pixel.name.lower() for pixel in Pixel],
        "kind_names": list(KIND_NAMES),
    }
    card.write_text(json.dumps(fields), encoding="utf-8")
    return model, card


def _network() -> onnx.ModelProto:
    node = helper.make_node
    nodes = [
        node("Sub", ["one", "page"], ["ink"]),
        node("Greater", ["ink", "half"], ["is_ink"]),
        node("Cast", ["is_ink"], ["classes4"], to=TensorProto.UINT8),
        node("Squeeze", ["classes4", "axis"], ["classes"]),
        node(
            "AveragePool",
            ["ink"],
            ["around"],
            kernel_shape=[33, 33],
            pads=[16, 16, 16, 16],
            count_include_pad=1,
        ),
        node("Mul", ["around", "full"], ["around255"]),
        node("Cast", ["around255"], ["sureness4"], to=TensorProto.UINT8),
        node("Squeeze", ["sureness4", "axis"], ["sureness"]),
        node("MaxPool", ["ink"], ["cells"], kernel_shape=[4, 4], strides=[4, 4]),
        node("Greater", ["cells", "half"], ["has_ink"]),
        node("Cast", ["has_ink"], ["kinds4"], to=TensorProto.UINT8),
        node("Squeeze", ["kinds4", "axis"], ["kinds"]),
        node("Mul", ["cells", "full"], ["cells255"]),
        node("Cast", ["cells255"], ["kind_sureness4"], to=TensorProto.UINT8),
        node("Squeeze", ["kind_sureness4", "axis"], ["kind_sureness"]),
    ]
    constants = [
        helper.make_tensor("one", TensorProto.FLOAT, [], [1.0]),
        helper.make_tensor("half", TensorProto.FLOAT, [], [0.5]),
        helper.make_tensor("full", TensorProto.FLOAT, [], [255.0]),
        helper.make_tensor("axis", TensorProto.INT64, [1], [1]),
    ]
    page = helper.make_tensor_value_info("page", TensorProto.FLOAT, [1, 1, "H", "W"])
    outputs = [
        helper.make_tensor_value_info(name, TensorProto.UINT8, [1, None, None])
        for name in ("classes", "sureness", "kinds", "kind_sureness")
    ]
    graph = helper.make_graph(nodes, "tiny", [page], outputs, constants)
    return helper.make_model(graph, opset_imports=[helper.make_opsetid("", 17)], ir_version=9)

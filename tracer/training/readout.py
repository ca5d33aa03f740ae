"""The last step of a reader's graph, made cheap: from the scores to the winning class and how sure it is.

As exported, a third of the reader's time goes into a softmax over seven values at each pixel and into moving
scores of four neighbours to their places. Here the scores stay where the last convolution left them, four
pixels to a cell; what is moved is the answer alone.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Final

import numpy as np
import onnx
from onnx import ModelProto, NodeProto, TensorProto, helper, numpy_helper

__all__ = ["CLASS_SCORES", "KIND_SCORES", "OPSET", "scores_alone", "with_answers"]

CLASS_SCORES: Final = "class_scores"
KIND_SCORES: Final = "kind_scores"
OPSET: Final = 17
_NEIGHBOURS: Final = 4  # pixels to one cell of the last convolution, two by two
_IR: Final = 8
_FULL: Final = 255.0


def scores_alone(model: ModelProto) -> ModelProto:
    """Return the graph up to its scores.

    Parameters
    ----------
    model : ModelProto
        A reader as `tracer.training.export.export_reader` writes it, or as `with_answers` does.

    Returns
    -------
    ModelProto
        Gives `CLASS_SCORES` (1, 4 × classes, H/2, W/2), the four pixels of a cell together class by class,
        and `KIND_SCORES` (1, kinds, H/4, W/4), float32.

    Raises
    ------
    ValueError
        When the graph does not end as a reader does, or is quantised already.
    """
    if any(node.op_type == "QuantizeLinear" for node in model.graph.node):
        raise ValueError("this reader is quantised already; start from the floats of its training")
    graph = onnx.GraphProto()
    graph.CopyFrom(model.graph)
    makers = {name: node for node in graph.node for name in node.output}
    last = [_last_convolution(makers, answer) for answer in ("classes", "kinds")]
    for node, name in zip(last, (CLASS_SCORES, KIND_SCORES), strict=True):
        before, node.name = node.output[0], name
        for other in graph.node:
            for names in (other.input, other.output):
                for place, known in enumerate(names):
                    names[place] = name if known == before else known
    nodes = _needed(graph.node, (CLASS_SCORES, KIND_SCORES))
    used = {name for node in nodes for name in node.input}
    held = [tensor for tensor in graph.initializer if tensor.name in used]
    channels = {tensor.name: tensor.dims[0] for tensor in held if tensor.dims}
    outputs = [
        helper.make_tensor_value_info(name, TensorProto.FLOAT, [1, channels[node.input[1]], None, None])
        for node, name in zip(last, (CLASS_SCORES, KIND_SCORES), strict=True)
    ]
    page = helper.make_tensor_value_info("page", TensorProto.FLOAT, [1, 1, "height", "width"])
    return _checked(helper.make_graph(nodes, "reader", [page], outputs, held))


def with_answers(model: ModelProto, classes: int) -> ModelProto:
    """Put the answers after the scores: `classes`, `sureness`, `kinds` and `kind_sureness`, all uint8.

    Sureness is the winner's share of the softmax: one over the sum of exp(score - best score).
    """
    four = numpy_helper.from_array(np.array([classes, _NEIGHBOURS, 0, 0], np.int64), "split")
    full = numpy_helper.from_array(np.array(_FULL, np.float32), "full")
    axes = [numpy_helper.from_array(np.array([axis], np.int64), f"axis{axis}") for axis in (0, 1)]
    nodes = [
        *model.graph.node,
        helper.make_node("Reshape", [CLASS_SCORES, "split"], ["split_scores"], "split_scores"),
        *_answer("split_scores", 0, ("classes", "sureness"), spread=True),
        *_answer(KIND_SCORES, 1, ("kinds", "kind_sureness"), spread=False),
    ]
    outputs = [
        helper.make_tensor_value_info(name, TensorProto.UINT8, [1, down, across])
        for names, down, across in (
            (("classes", "sureness"), "height", "width"),
            (("kinds", "kind_sureness"), "cells_down", "cells_across"),
        )
        for name in names
    ]
    held = [*model.graph.initializer, four, full, *axes]
    return _checked(helper.make_graph(nodes, "reader", list(model.graph.input), outputs, held))


def _answer(scores: str, axis: int, names: tuple[str, str], *, spread: bool) -> list[NodeProto]:
    """Nodes for the winner along `axis` and its sureness; `spread` moves a cell's four pixels apart."""
    best, sure = names
    reduced = {"axes": [axis], "keepdims": 1}
    steps: list[tuple[str, list[str], str, dict[str, Any]]] = [
        ("ArgMax", [scores], f"{best}_at", {"axis": axis, "keepdims": 1}),
        ("Cast", [f"{best}_at"], f"{best}_told", {"to": TensorProto.FLOAT}),
        ("ReduceMax", [scores], f"{best}_score", reduced),
        ("Sub", [scores, f"{best}_score"], f"{best}_below", {}),
        ("Exp", [f"{best}_below"], f"{best}_shares", {}),
        ("ReduceSum", [f"{best}_shares", f"axis{axis}"], f"{best}_sum", {"keepdims": 1}),
        ("Div", ["full", f"{best}_sum"], f"{sure}_exact", {}),
        ("Round", [f"{sure}_exact"], f"{sure}_told", {}),
    ]
    for name in names:
        told = f"{name}_told"
        if spread:
            steps.append(("DepthToSpace", [told], f"{name}_apart", {"blocksize": 2, "mode": "CRD"}))
            told = f"{name}_apart"
        steps.append(("Cast", [told], f"{name}_bytes", {"to": TensorProto.UINT8}))
        steps.append(("Squeeze", [f"{name}_bytes", "axis1"], name, {}))
    return [helper.make_node(kind, inputs, [made], made, **how) for kind, inputs, made, how in steps]


def _last_convolution(makers: dict[str, NodeProto], answer: str) -> NodeProto:
    """Go up from an answer to the convolution that made its scores."""
    name = answer
    while (node := makers.get(name)) is not None:
        if node.op_type == "Conv":
            return node
        name = node.input[0]
    raise ValueError(f"no convolution leads to {answer}: this is no reader's graph")


def _needed(nodes: Iterable[NodeProto], wanted: Iterable[str]) -> list[NodeProto]:
    """Keep the nodes that `wanted` tensors hang on, in their order."""
    needed, kept = set(wanted), []
    for node in reversed(list(nodes)):
        if needed.intersection(node.output):
            needed.update(node.input)
            kept.append(node)
    return kept[::-1]


def _checked(graph: onnx.GraphProto) -> ModelProto:
    model = helper.make_model(graph, opset_imports=[helper.make_opsetid("", OPSET)], ir_version=_IR)
    onnx.checker.check_model(model)
    return model

"""Weights of bytes that read the same on every processor.

Processors before VNNI multiply bytes in pairs and add the two products in 16 bits, where the sum can run over
(Intel, "Intrinsics Guide", _mm256_maddubs_epi16: it saturates). With values of up to 255 it cannot as long as
two neighbouring weights of one sign add up to no more than 128.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray
from onnx import ModelProto, NodeProto, numpy_helper

__all__ = ["pair_sums", "spare_sums"]

_LARGEST: Final = 127.0  # of one weight, and of a pair before each of the two is rounded by up to a half
_QUANTISED: Final = "_quantized"  # what onnxruntime hangs on the name of a tensor that it quantised


def pair_sums(weights: NDArray[np.floating | np.integer]) -> NDArray[np.float64]:
    """Largest sum of two neighbours of one sign for each channel, as the multiplication meets them.

    Parameters
    ----------
    weights : (leaving, entering, h, w)

    Returns
    -------
    (leaving,) float64
        A weight counts as a pair with nothing, too.

    Examples
    --------
    >>> pair_sums(np.array([[[[3.0]], [[4.0]], [[-9.0]]]]))
    array([9.])
    """
    rows = np.asarray(weights, np.float64).transpose(0, 2, 3, 1).reshape(len(weights), -1)
    most = np.abs(rows).max(axis=1)
    for sign in (1.0, -1.0):
        same = np.maximum(sign * rows, 0.0)
        if same.shape[1] > 1:
            most = np.maximum(most, (same[:, 1:] + same[:, :-1]).max(axis=1))
    return np.asarray(most)


def spare_sums(whole: ModelProto, floats: ModelProto) -> None:
    """Give every quantised convolution the finest scales at which no pair can run over, in place.

    Parameters
    ----------
    whole : ModelProto
        With quantise and dequantise nodes, as `onnxruntime.quantization` makes it.
    floats : ModelProto
        What it was made from.
    """
    held = {tensor.name: tensor for tensor in whole.graph.initializer}
    exact = {tensor.name: numpy_helper.to_array(tensor) for tensor in floats.graph.initializer}
    makers = {name: node for node in whole.graph.node for name in node.output}

    def put(name: str, values: NDArray[np.generic]) -> None:
        held[name].CopyFrom(numpy_helper.from_array(values, name))

    for node in whole.graph.node:
        weights = makers.get(node.input[1]) if node.op_type == "Conv" else None
        if weights is None or weights.op_type != "DequantizeLinear":
            continue
        values = exact[_source(weights)]
        sums = pair_sums(values)
        scales = np.where(sums > 0, sums / _LARGEST, 1.0).astype(np.float32)
        put(weights.input[0], np.rint(values / scales[:, None, None, None]).astype(np.int8))
        put(weights.input[1], scales)
        if len(node.input) < 3:
            continue
        bias = makers[node.input[2]]
        entering = numpy_helper.to_array(held[makers[node.input[0]].input[1]])
        put(bias.input[0], np.rint(exact[_source(bias)] / (scales * entering)).astype(np.int32))
        put(bias.input[1], scales * entering)


def _source(node: NodeProto) -> str:
    """Name the float tensor that a dequantised one was made from."""
    return str(node.input[0]).removesuffix(_QUANTISED)

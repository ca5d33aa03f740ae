"""Opening a network's weights for onnxruntime."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any, Final

import onnxruntime

from tracer.errors import WeightsDamaged

__all__ = ["INSTALL_AGAIN", "open_session"]

INSTALL_AGAIN: Final = "Install the program again."
_THREADS: Final = 2


def open_session(data: bytes, model: Path) -> Any:
    """Return an inference session on the processor, quiet and on at most two threads.

    Parameters
    ----------
    data : bytes
        Of the ONNX file.
    model : Path
        Where they came from, for the message.

    Raises
    ------
    WeightsDamaged
        When they cannot be run.
    """
    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = min(_THREADS, os.cpu_count() or 1)
    options.inter_op_num_threads = 1
    options.log_severity_level = 3
    try:
        return onnxruntime.InferenceSession(data, options, providers=["CPUExecutionProvider"])
    except Exception as error:  # onnxruntime raises a dozen unrelated kinds of its own
        raise WeightsDamaged(f"{model}: the weights cannot be run ({error}). {INSTALL_AGAIN}") from error

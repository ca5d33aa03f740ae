"""Opening a network's weights for onnxruntime."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any, Final

import onnxruntime

from tracer.errors import WeightsDamaged

__all__ = ["INSTALL_AGAIN", "THREADS", "giving_back", "open_session"]

INSTALL_AGAIN: Final = "Install the program again."
THREADS: Final = min(2, os.cpu_count() or 1)
"""Threads that the program's networks share."""


def open_session(data: bytes, model: Path, threads: int = THREADS, *, frugal: bool = False) -> Any:
    """Return an inference session on the processor, quiet.

    Parameters
    ----------
    data : bytes
        Of the ONNX file.
    model : Path
        Where they came from, for the message.
    threads : int
        That one run may use.
    frugal : bool
        Plan no memory ahead for inputs of one size: a third less is held at once.

    Raises
    ------
    WeightsDamaged
        When they cannot be run.
    """
    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = threads
    options.inter_op_num_threads = 1
    options.enable_mem_pattern = not frugal
    options.log_severity_level = 3
    try:
        return onnxruntime.InferenceSession(data, options, providers=["CPUExecutionProvider"])
    except Exception as error:  # onnxruntime raises a dozen unrelated kinds of its own
        raise WeightsDamaged(f"{model}: the weights cannot be run ({error}). {INSTALL_AGAIN}") from error


def giving_back() -> Any:
    """Return the options of a run after which a session gives its idle memory back."""
    options = onnxruntime.RunOptions()
    options.add_run_config_entry("memory.enable_memory_arena_shrinkage", "cpu:0")
    return options

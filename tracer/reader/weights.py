"""The learned reader's weights, checked against their card before they run."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final, Protocol

import numpy as np
from numpy.typing import NDArray
from onnxruntime import InferenceSession

from tracer.errors import FileMissing, WeightsDamaged
from tracer.reader.layers import Pixel
from tracer.reader.sessions import INSTALL_AGAIN, giving_back, open_session
from tracer.resources import asset

__all__ = ["Runner", "Weights", "load_weights"]

_LEAST: Final = 32  # px, the smallest page
_OUTPUTS: Final = ("classes", "sureness", "kinds", "kind_sureness")


class Runner(Protocol):
    """What is asked of the inference session; several threads may ask at once."""

    def run(self, outputs: list[str], inputs: dict[str, NDArray[np.float32]]) -> list[NDArray[np.uint8]]:
        """Run the network once."""


@dataclass(frozen=True, slots=True, eq=False)
class Weights:
    """A network ready to run.

    It takes float32 (1, 1, H, W), 0 ink to 1 paper, H and W multiples of 32, and gives uint8
    ``classes`` and ``sureness`` (1, H, W), ``kinds`` and ``kind_sureness`` (1, H/4, W/4).

    Attributes
    ----------
    runner : Runner
        The inference session.
    input_name : str
        Of the network's only input.
    stroke : float
        The usual stroke width to bring a page to, px.
    strokes : (float, float)
        The thinnest and thickest usual strokes of a page that need not be brought there.
    kind_names : tuple of str
        What the numbers in ``kinds`` mean; the first is "none".
    sha256 : str
        Of the weights file.
    """

    runner: Runner
    input_name: str
    stroke: float
    strokes: tuple[float, float]
    kind_names: tuple[str, ...]
    sha256: str

    def give_back(self) -> None:
        """Hand the memory that the last pages took back to the system; a session keeps it otherwise."""
        if isinstance(self.runner, InferenceSession):
            least = np.ones((1, 1, _LEAST, _LEAST), np.float32)
            self.runner.run(list(_OUTPUTS), {self.input_name: least}, giving_back())


def load_weights(model: Path | None = None, card: Path | None = None) -> Weights:
    """Load the reader's weights.

    Parameters
    ----------
    model, card : Path, optional
        The ONNX file and its JSON card (fields ``sha256``, ``input.stroke_px``,
        ``input.strokes_px``, ``class_names``, ``kind_names``);
        ``assets/reader.onnx`` and ``assets/reader.json`` unless given.

    Raises
    ------
    WeightsDamaged
        When either is missing, they do not belong together, or the file cannot be run.
    """
    try:
        model = model or asset("reader.onnx")
        card = card or asset("reader.json")
        data, told = model.read_bytes(), card.read_bytes()
    except FileMissing as error:
        raise WeightsDamaged(f"The reader's weights are missing: {error}") from error
    except OSError as error:
        raise WeightsDamaged(f"The reader's weights cannot be read: {error}. {INSTALL_AGAIN}") from error
    digest = hashlib.sha256(data).hexdigest()
    (thinnest, stroke, thickest), kind_names, expected = _card_fields(told, card)
    if digest != expected:
        raise WeightsDamaged(
            f"{model}: the weights are not those of their card (SHA-256 {digest[:12]}… "
            f"instead of {expected[:12]}…). {INSTALL_AGAIN}"
        )
    session = _session(data, model)
    name = session.get_inputs()[0].name
    return Weights(session, name, stroke, (thinnest, thickest), kind_names, digest)


def _card_fields(told: bytes, card: Path) -> tuple[tuple[float, float, float], tuple[str, ...], str]:
    """Thinnest, wanted and thickest stroke, the kinds' names and the hash of the weights."""
    try:
        fields = json.loads(told)
        stroke = float(fields["input"]["stroke_px"])
        thinnest, thickest = (float(edge) for edge in fields["input"]["strokes_px"])
        class_names = tuple(fields["class_names"])
        kind_names = tuple(str(name) for name in fields["kind_names"])
        expected = str(fields["sha256"]).lower()
    except (ValueError, KeyError, TypeError) as error:
        raise WeightsDamaged(f"{card}: the reader's card is damaged ({error!r}). {INSTALL_AGAIN}") from error
    known = tuple(pixel.name.lower() for pixel in Pixel)
    if not 0 < thinnest <= stroke <= thickest or kind_names[:1] != ("none",) or class_names != known:
        raise WeightsDamaged(f"{card}: the reader's card makes no sense. {INSTALL_AGAIN}")
    return (thinnest, stroke, thickest), kind_names, expected


def _session(data: bytes, model: Path) -> Any:
    session = open_session(data, model, threads=1, frugal=True)  # tiles are read side by side instead
    outputs = {output.name for output in session.get_outputs()}
    if len(session.get_inputs()) != 1 or not outputs.issuperset(_OUTPUTS):
        raise WeightsDamaged(f"{model}: these are the weights of something else. {INSTALL_AGAIN}")
    return session

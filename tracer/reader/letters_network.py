"""Running the recogniser: strips of grey in, signs with their chances out."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from tracer.errors import FileMissing, WeightsDamaged
from tracer.reader.sessions import INSTALL_AGAIN, open_session
from tracer.reader.text_line import Sign
from tracer.resources import asset

__all__ = [
    "LETTER_ROWS",
    "MARGIN",
    "ROWS",
    "WIDEST",
    "LetterWeights",
    "StripRead",
    "load_letters",
    "read_strips",
]

ROWS: Final = 32
"""Rows of a strip."""

LETTER_ROWS: Final = 24
"""Of which the letters fill these."""

MARGIN: Final = 5
"""Columns of paper before and behind the text."""

WIDEST: Final = 1600
"""Columns of the longest text."""

_COLUMN: Final = 2  # px of a strip to a column of the answer
_STEP: Final = 16  # strips are padded to a multiple of this
_BATCH: Final = 32


@dataclass(frozen=True, slots=True, eq=False)
class LetterWeights:
    """The recogniser, ready to run.

    Attributes
    ----------
    session : onnxruntime.InferenceSession
        Takes float32 (B, 1, 32, W), gives the chances (B, W / 2, 1 + signs), 0 the blank.
    alphabet : str
        Its signs in order.
    sha256 : str
        Of the weights file.
    """

    session: Any
    alphabet: str
    sha256: str


@dataclass(frozen=True, slots=True, eq=False)
class StripRead:
    """A strip as it was read: its likeliest signs, and the chances (columns, 1 + signs) they come from."""

    signs: tuple[Sign, ...]
    chances: NDArray[np.float32]


def load_letters(model: Path | None = None, card: Path | None = None) -> LetterWeights | None:
    """Load the recogniser; None where the installation has none.

    Parameters
    ----------
    model, card : Path, optional
        ``assets/letters.onnx`` and ``assets/letters.json`` (fields ``sha256``, ``alphabet``) unless given.

    Raises
    ------
    WeightsDamaged
        When they do not belong together or cannot be run.
    """
    try:
        model, card = model or asset("letters.onnx"), card or asset("letters.json")
        data, fields = model.read_bytes(), json.loads(card.read_text("utf-8"))
        expected, alphabet = str(fields["sha256"]), str(fields["alphabet"])
    except (FileMissing, FileNotFoundError):
        return None
    except (OSError, ValueError, KeyError, TypeError) as error:
        raise WeightsDamaged(
            f"{card}: the recogniser's card is damaged ({error!r}). {INSTALL_AGAIN}"
        ) from error
    digest = hashlib.sha256(data).hexdigest()
    if digest != expected:
        raise WeightsDamaged(f"{model}: the weights are not those of their card. {INSTALL_AGAIN}")
    session = open_session(data, model)
    return LetterWeights(session, alphabet, digest)


def read_strips(strips: Sequence[NDArray[np.float32]], weights: LetterWeights) -> list[StripRead]:
    """Read strips of any widths, in batches of like width; the answers keep the order of the strips."""
    read: dict[int, StripRead] = {}
    order = sorted(range(len(strips)), key=lambda number: strips[number].shape[1])
    for start in range(0, len(order), _BATCH):
        some = order[start : start + _BATCH]
        widest = -(-strips[some[-1]].shape[1] // _STEP) * _STEP
        batch = np.ones((len(some), 1, ROWS, widest), np.float32)
        for row, number in enumerate(some):
            batch[row, 0, :, : strips[number].shape[1]] = strips[number]
        (chances,) = weights.session.run(["chances"], {"strips": batch})
        for row, number in enumerate(some):
            width = strips[number].shape[1]
            own = chances[row, : -(-width // _COLUMN)]
            read[number] = StripRead(_signs(own, weights.alphabet, width - 2 * MARGIN), own)
    return [read[number] for number in range(len(strips))]


def _signs(chances: NDArray[np.float32], alphabet: str, width: int) -> tuple[Sign, ...]:
    """The likeliest sign of each column, runs of one sign made one and blanks left out (best path)."""
    best = chances.argmax(axis=1)
    signs: list[Sign] = []
    before = 0
    for column, number in enumerate(best):
        chance = float(chances[column, number])
        place = min(max((_COLUMN * (column + 0.5) - MARGIN) / width, 0.0), 1.0)
        if number and number == before:
            signs[-1] = Sign(signs[-1].text, max(signs[-1].confidence, chance), signs[-1].place)
        elif number:
            signs.append(Sign(alphabet[number - 1], chance, round(place, 3)))
        before = int(number)
    while signs and signs[-1].text == " ":
        signs.pop()
    while signs and signs[0].text == " ":
        signs.pop(0)
    return tuple(signs)

"""Lettering that was read: signs, words and lines, with how sure the reading is of each."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any, TypeAlias

from tracer.errors import DamagedJob

__all__ = ["Quad", "Sign", "TextLine", "Word", "lines_from_bytes", "lines_to_bytes"]

Quad: TypeAlias = tuple[tuple[float, float], tuple[float, float], tuple[float, float], tuple[float, float]]
"""Four corners, page px, as one reads: where the text begins at the top, its end at the top, and on round."""


@dataclass(frozen=True, slots=True)
class Sign:
    """One sign of a word; `confidence` is its chance, `place` where along the word it stands, both 0 to 1."""

    text: str
    confidence: float
    place: float = 0.0


@dataclass(frozen=True, slots=True)
class Word:
    """Signs that stand together, as they were read; `box` is on the page.

    `texts` are the likeliest readings with their chances, the one that is shown among them; empty where they
    were not kept.
    """

    text: str
    box: Quad
    confidence: float
    signs: tuple[Sign, ...]
    texts: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True, slots=True)
class TextLine:
    """Words on one base line.

    Attributes
    ----------
    text : str
        The line with plain slips of reading put right where only one form makes sense; see
        `tracer.reader.letters_grammar`.
    box : Quad
        Its corners, page px.
    angle : float
        Degrees clockwise as seen from level lettering: about 0, -90 (reads upwards) or 90.
    confidence : float
        Of its least sure sign, 0 to 1.
    raw : str
        The line exactly as it was read.
    words : tuple of Word
        Its words as they were read, in reading order.
    height : float
        Of its letters, page px.
    """

    text: str
    box: Quad
    angle: float
    confidence: float
    raw: str
    words: tuple[Word, ...]
    height: float


def lines_to_bytes(lines: Sequence[TextLine]) -> bytes:
    """Pack lines as JSON, to be kept beside a tracing."""
    return json.dumps([asdict(line) for line in lines], ensure_ascii=False, separators=(",", ":")).encode()


def lines_from_bytes(data: bytes) -> tuple[TextLine, ...]:
    """Unpack what `lines_to_bytes` packed.

    Raises
    ------
    DamagedJob
        When the bytes are nothing of the kind.

    Examples
    --------
    >>> box = ((0.0, 0.0), (9.0, 0.0), (9.0, 5.0), (0.0, 5.0))
    >>> word = Word("R1", box, 0.9, (Sign("R", 0.9, 0.2), Sign("1", 0.95, 0.8)))
    >>> line = TextLine("R1", box, 0.0, 0.9, "R1", (word,), 5.0)
    >>> lines_from_bytes(lines_to_bytes([line])) == (line,)
    True
    """
    try:
        return tuple(_line(entry) for entry in json.loads(data))
    except (ValueError, KeyError, TypeError) as error:
        raise DamagedJob(
            f"The stored lettering of a sheet cannot be read ({error}). Trace that sheet again."
        ) from error


def _line(entry: dict[str, Any]) -> TextLine:
    given = {**entry, "box": _quad(entry["box"]), "words": tuple(_word(word) for word in entry["words"])}
    return TextLine(**given)


def _word(entry: dict[str, Any]) -> Word:
    texts = tuple((str(text), float(chance)) for text, chance in entry.get("texts", ()))
    signs = tuple(Sign(**sign) for sign in entry["signs"])
    return Word(**{**entry, "box": _quad(entry["box"]), "signs": signs, "texts": texts})


def _quad(corners: Sequence[Sequence[float]]) -> Quad:
    a, b, c, d = ((float(x), float(y)) for x, y in corners)
    return a, b, c, d

"""What a sheet's notes say of its values: "ALL RESISTORS IN OHMS, K = 1000", "CAPACITORS IN MFD".

The wordings are common practice. A note is proposed and shown, never obeyed silently.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from difflib import SequenceMatcher
from typing import Final

from tracer.reader.text_line import TextLine
from tracer.trace.sheet import Convention, ConventionKind

__all__ = ["conventions"]

_RESISTORS: Final = ("RESISTORS", "RESISTANCES", "RESISTOR", "RESISTANCE")
_CAPACITORS: Final = ("CAPACITORS", "CONDENSERS", "CAPACITANCES", "CAPACITOR", "CONDENSER", "CAPACITANCE")
_OHMS: Final = ("OHMS", "OHM")
_MICRO: Final = ("MFD", "MFDS", "UF", "MICROFARADS", "MICROFARAD")
_PICO: Final = ("PF", "PFD", "MMFD", "MMF", "UUF", "PICOFARADS", "PICOFARAD", "MICROMICROFARADS")
_THOUSAND: Final = re.compile(r"\b([KM])\s*=\s*1[,.]?000\b(?![,.]?\d)")
_MILLION: Final = re.compile(r"\bM\s*=\s*(1[,.]?000[,.]?000|MEG)")
_ALIKE: Final = 0.78  # of two words' letters; a note's long words may have a slip of reading
_BELOW: Final = 1.6  # letter heights to the next line of the same note


def conventions(lines: Sequence[TextLine]) -> tuple[Convention, ...]:
    """Find what the notes among a sheet's lines say, each thing once, in the order of the notes."""
    found: dict[ConventionKind, Convention] = {}
    for note in _notes(lines):
        text = " ".join(line.text for line in note)
        for kind in _said(text):
            points = [corner for line in note for corner in line.box]
            xs, ys = [x for x, _ in points], [y for _, y in points]
            sure = min(line.confidence for line in note)
            found.setdefault(
                kind, Convention(kind, text, (min(xs), min(ys), max(xs), max(ys)), round(sure, 3))
            )
    return tuple(found.values())


def _notes(lines: Sequence[TextLine]) -> Iterator[list[TextLine]]:
    """Yield each line alone, and with up to two that follow below it at the same left edge."""
    level = sorted((line for line in lines if abs(line.angle) < 10), key=lambda line: line.box[0][1])
    for number, first in enumerate(level):
        yield [first]
        run = [first]
        for other in level[number + 1 :]:
            last = run[-1]
            below = (other.box[0][1] - last.box[3][1]) / last.height
            aside = abs(other.box[0][0] - first.box[0][0]) / last.height
            if -0.3 <= below <= _BELOW and aside <= 6.0:
                run.append(other)
                yield list(run)
            if len(run) == 3 or below > _BELOW:
                break


def _said(text: str) -> Iterator[ConventionKind]:
    """Yield what one note says."""
    upper = text.upper().replace("µ", "U").replace("Μ", "U")
    for letter in _THOUSAND.findall(upper):
        yield ConventionKind.K_IS_THOUSAND if letter == "K" else ConventionKind.M_IS_THOUSAND
    if _MILLION.search(upper):
        yield ConventionKind.M_IS_MILLION
    words = re.findall(r"[A-Z][A-Z.]*", upper)
    for subject, units in (
        (_RESISTORS, ((_OHMS, ConventionKind.BARE_OHMS),)),
        (_CAPACITORS, ((_PICO, ConventionKind.BARE_PICO), (_MICRO, ConventionKind.BARE_MICRO))),
    ):
        start = next((at for at, word in enumerate(words) if _likeness(word, subject) > 0), None)
        if start is None:
            continue
        for word in words[start + 1 :]:
            if _likeness(word, (*_RESISTORS, *_CAPACITORS)) > 0:
                break
            likeness, kind = max((_likeness(word, some), kind) for some, kind in units)
            if likeness > 0:
                yield kind
                break


def _likeness(word: str, some: Sequence[str]) -> float:
    """How like one of `some` a word is, 0 to 1; long words may have a slip or two, others must be right."""
    plain = word.replace(".", "")
    if plain in some:
        return 1.0
    long = [SequenceMatcher(None, plain, one).ratio() for one in some if min(len(plain), len(one)) >= 7]
    return max((ratio for ratio in long if ratio >= _ALIKE), default=0.0)

"""Lines of lettering made by hand, for tests of what is done with them."""

from __future__ import annotations

from tracer.reader.text_line import Sign, TextLine, Word


def line(text: str, x: float, y: float, confidence: float = 0.95, high: float = 15.0) -> TextLine:
    """A level line with its top left corner at (x, y), its letters `high` px tall."""
    words, at = [], x
    for word in text.split():
        wide = 0.7 * high * len(word)
        box = ((at, y), (at + wide, y), (at + wide, y + high), (at, y + high))
        words.append(Word(word, box, confidence, tuple(Sign(sign, confidence) for sign in word)))
        at += wide + 0.6 * high
    ends = words[-1].box
    around = (words[0].box[0], ends[1], ends[2], words[0].box[3])
    return TextLine(text, around, 0.0, confidence, text, tuple(words), high)

"""Drawing a line of lettering as the recogniser will meet it: cut out, scaled, with bits of what is near."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from tracer.training.lettering import LETTERS, Lettering, letter_strokes
from tracer.training.letters_alternates import alternate_strokes
from tracer.training.letters_forms import FORMS
from tracer.training.letters_hand import freehand_strokes, random_hand, rounded
from tracer.training.letters_surround import surround
from tracer.training.letters_text import ALPHABET, random_text

__all__ = [
    "BUILT_IN",
    "FREEHAND",
    "HEIGHT",
    "STENCIL",
    "WIDTH",
    "DrawnLine",
    "draw_line",
    "font_files",
    "signs_of",
]

HEIGHT: Final = 48
"""Rows of a drawn line."""

WIDTH: Final = 10 * HEIGHT
"""Columns, at the right end bare paper; ten lines on top of each other make a square."""

BUILT_IN: Final = "built in"
"""In the place of a font file: Pillow's own face."""

STENCIL: Final = "stroke"
"""In the place of a face: the single-stroke alphabet, as from a stencil or a practised hand."""

FREEHAND: Final = "freehand"
"""In the place of a face: a writer made up anew for each line."""

_LETTER: Final = 0.75  # share of the rows that the lettering fills, as the line finder's cut gives it
_FINER: Final = 2
_SIGNS: Final = {
    STENCIL: frozenset(LETTERS) & frozenset(ALPHABET),
    FREEHAND: frozenset(FORMS) | {" "},
}
_TOFU: Final = "\uffff"


@dataclass(frozen=True, slots=True, eq=False)
class DrawnLine:
    """A line: `image` is (HEIGHT, WIDTH) uint8, ink 0 on paper 255."""

    image: NDArray[np.uint8]
    text: str


def font_files(folder: Path) -> tuple[str, ...]:
    """The faces in a folder, by name."""
    return tuple(str(path) for path in sorted(folder.rglob("*")) if path.suffix.lower() in {".ttf", ".otf"})


@cache
def _font(face: str, size: int) -> ImageFont.FreeTypeFont | ImageFont.ImageFont:
    return ImageFont.load_default(size) if face == BUILT_IN else ImageFont.truetype(face, size)


@cache
def signs_of(face: str) -> frozenset[str]:
    """The signs of `ALPHABET` that a face, `STENCIL` or `FREEHAND` has."""
    if face in _SIGNS:
        return _SIGNS[face]
    font = _font(face, 40)
    missing = bytes(font.getmask(_TOFU))
    found = {" "}
    for sign in ALPHABET:
        mask = font.getmask(sign)
        if sign != " " and mask.size[0] and mask.size[1] and bytes(mask) != missing and any(bytes(mask)):
            found.add(sign)
    return frozenset(found)


def draw_line(rng: np.random.Generator, faces: tuple[str, ...], *, other_forms: float = 0.0) -> DrawnLine:
    """Draw a random line in one of `faces`, each as likely as the next.

    Parameters
    ----------
    rng : numpy.random.Generator
    faces : tuple of str
        Font files, `STENCIL` and `FREEHAND`; name one more than once to draw it more often.
    other_forms : float
        Chance that a line in `STENCIL` has some signs in another form, each of a size of its own.
    """
    face = faces[int(rng.integers(0, len(faces)))]
    text = random_text(rng)
    for _ in range(20):
        if set(text) <= signs_of(face):
            break
        text = random_text(rng)
    else:
        face, text = STENCIL, "R1"
    if face == FREEHAND:
        ink, capital = _freehand(text, rng), _FINER * HEIGHT * _LETTER
    elif face == STENCIL:
        ink, capital = _stroked(text, rng, other_forms), _FINER * HEIGHT * _LETTER
    else:
        ink, capital = _printed(text, face, rng), HEIGHT * _LETTER
    return DrawnLine(surround(_fit(ink, capital, rng), WIDTH, HEIGHT, rng), text)


def _freehand(text: str, rng: np.random.Generator) -> Image.Image:
    """A made-up writer's hand; 255 is ink."""
    high = HEIGHT * _LETTER * _FINER
    strokes = freehand_strokes(_spread(text, rng), random_hand(rng), rng)
    every = np.concatenate([points for points, _ in strokes])
    low = every.min(axis=0)
    room = every.max(axis=0) - low
    image = Image.new("L", (int(high * (room[0] + 1)) + 2, int(high * (room[1] + 1)) + 2))
    brush = ImageDraw.Draw(image)
    for points, width in strokes:
        pen = max(2.0, high * width)
        path = [(float(x), float(y)) for x, y in (points - low + 0.5) * high]
        brush.line(path, fill=255, width=round(pen), joint="curve")
        for x, y in (path[0], path[-1]):
            brush.ellipse((x - pen / 2, y - pen / 2, x + pen / 2, y + pen / 2), fill=255)
    return image


def _stroked(text: str, rng: np.random.Generator, other_forms: float) -> Image.Image:
    """The single-stroke alphabet, steady as a stencil or as unsteady as a hand; 255 is ink."""
    high = float(HEIGHT * _LETTER * _FINER)
    shaky = bool(rng.random() < 0.6)
    style = Lettering(
        "stroke", float(rng.normal(0, 0.15)), float(rng.uniform(0.42, 0.85)),
        float(rng.uniform(0.01, 0.07)) if shaky else float(rng.uniform(0, 0.012)),
    )  # fmt: skip
    spaced = _spread(text, rng)
    strokes = alternate_strokes if rng.random() < other_forms else letter_strokes
    pieces = strokes(spaced, high, style, rng)
    pen = high * float(rng.uniform(0.06, 0.24))
    times = 2 if rng.random() < 0.6 else 0
    size = (int(high * (style.narrow * 1.25 * len(spaced) + 2.5)), int(high * 2.4))
    image = Image.new("L", size)
    brush = ImageDraw.Draw(image)
    middle = np.array(size) / 2
    for piece in pieces:
        points = rounded(piece, times) + middle
        path = [(float(x), float(y)) for x, y in points]
        brush.line(path, fill=255, width=max(1, round(pen)), joint="curve")
        for x, y in (path[0], path[-1]):
            brush.ellipse((x - pen / 2, y - pen / 2, x + pen / 2, y + pen / 2), fill=255)
    return image


def _spread(text: str, rng: np.random.Generator) -> str:
    """Now and then all letters stand one space apart."""
    return " ".join(text) if len(text) < 7 and " " not in text and rng.random() < 0.02 else text


def _printed(text: str, face: str, rng: np.random.Generator) -> Image.Image:
    """A face, its letters at times spaced, each a little off its place as a typewriter strikes."""
    font = _font(face, HEIGHT)
    wide = int(sum(font.getlength(sign) for sign in text) * 1.5) + 4 * HEIGHT
    image = Image.new("L", (wide, 3 * HEIGHT))
    brush = ImageDraw.Draw(image)
    if rng.random() < 0.5:
        brush.text((HEIGHT, HEIGHT // 2), text, fill=255, font=font)
        return image
    gap, stray = float(rng.uniform(-0.03, 0.16)) * HEIGHT, float(rng.choice([0.0, 0.0, 0.8, 1.6]))
    slashed, raised = rng.random() < 0.12, rng.random() < 0.2
    x = float(HEIGHT)
    for sign in text:
        y = HEIGHT / 2 + float(rng.normal(0, stray))
        if sign == "." and raised:  # the point at half height, as printed in Britain
            y -= float(rng.uniform(0.2, 0.36)) * HEIGHT
        brush.text((x, y), sign, fill=255, font=font)
        if sign == "0" and slashed:
            _slash(brush, font.getbbox(sign), (x, y), rng)
        x += font.getlength(sign) + gap
    return image


def _slash(
    brush: ImageDraw.ImageDraw,
    box: tuple[float, float, float, float],
    at: tuple[float, float],
    rng: np.random.Generator,
) -> None:
    """Strike a nought through, from its lower left to its upper right."""
    left, top, right, bottom = box[0] + at[0], box[1] + at[1], box[2] + at[0], box[3] + at[1]
    over, pen = float(rng.uniform(-0.12, 0.1)) * (right - left), int(rng.integers(2, 6))
    brush.line((left - over, bottom + over, right + over, top - over), fill=255, width=pen)


def _fit(ink: Image.Image, capital: float, rng: np.random.Generator) -> Image.Image:
    """Trim to the ink and scale as the line finder's cut does; a capital is `capital` px tall."""
    box = ink.getbbox() or (0, 0, 1, 1)
    cut = ink.crop(box)
    tall = max(cut.height, 0.62 * capital)  # a lone dash or point is not blown up
    share = rng.uniform(0.82, 1.08) if rng.random() < 0.8 else rng.uniform(0.55, 0.85)  # specks widen a cut
    scale = HEIGHT * _LETTER / tall * float(share)
    wide = cut.width * scale * float(np.exp(rng.normal(0, 0.15)))
    wide = min(max(wide, 2.0), WIDTH - 16.0)
    return cut.resize((max(2, round(wide)), max(2, round(cut.height * scale))), Image.Resampling.BOX)

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
from tracer.training.letters_text import ALPHABET, random_text
from tracer.training.strokes import Points

__all__ = ["HEIGHT", "WIDTH", "DrawnLine", "draw_line", "font_files", "signs_of"]

HEIGHT: Final = 48
"""Rows of a drawn line."""

WIDTH: Final = 10 * HEIGHT
"""Columns, at the right end bare paper; ten lines on top of each other make a square."""

_LETTER: Final = 0.75  # share of the rows that the lettering fills, as the line finder's cut gives it
_FINER: Final = 2
_STROKE_SIGNS: Final = frozenset(LETTERS) & frozenset(ALPHABET)
_TOFU: Final = "\uffff"
_BUILT_IN: Final = "built in"


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
    return ImageFont.load_default(size) if face == _BUILT_IN else ImageFont.truetype(face, size)


@cache
def signs_of(face: str) -> frozenset[str]:
    """The signs of `ALPHABET` that a face has; ``"stroke"`` is the single-stroke alphabet."""
    if face == "stroke":
        return _STROKE_SIGNS
    font = _font(face, 40)
    missing = bytes(font.getmask(_TOFU))
    found = {" "}
    for sign in ALPHABET:
        mask = font.getmask(sign)
        if sign != " " and mask.size[0] and mask.size[1] and bytes(mask) != missing and any(bytes(mask)):
            found.add(sign)
    return frozenset(found)


def draw_line(
    rng: np.random.Generator, faces: tuple[str, ...], *, hand: float = 0.45, other_forms: float = 0.0
) -> DrawnLine:
    """Draw a random line in one of `faces`, or with chance `hand` in the single-stroke alphabet.

    With chance `other_forms` such a line has some signs in another form, each of a size of its own.
    """
    face = "stroke" if rng.random() < hand else faces[int(rng.integers(0, len(faces)))]
    text = random_text(rng)
    for _ in range(20):
        if set(text) <= signs_of(face):
            break
        text = random_text(rng)
    else:
        face, text = "stroke", "R1"
    ink = _stroked(text, rng, other_forms) if face == "stroke" else _printed(text, face, rng)
    ink, text = _fit(ink, text, rng)
    return DrawnLine(_surround(ink, rng), text)


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
    pen = high * float(rng.uniform(0.06, 0.2))
    rounded = rng.random() < 0.6
    size = (int(high * (style.narrow * 1.25 * len(spaced) + 2.5)), int(high * 2.4))
    image = Image.new("L", size)
    brush = ImageDraw.Draw(image)
    middle = np.array(size) / 2
    for piece in pieces:
        points = (_rounded(piece) if rounded and len(piece) > 2 else piece) + middle
        path = [(float(x), float(y)) for x, y in points]
        brush.line(path, fill=255, width=max(1, round(pen)), joint="curve")
        for x, y in (path[0], path[-1]):
            brush.ellipse((x - pen / 2, y - pen / 2, x + pen / 2, y + pen / 2), fill=255)
    return image


def _spread(text: str, rng: np.random.Generator) -> str:
    """Now and then all letters stand one space apart."""
    return " ".join(text) if len(text) < 7 and " " not in text and rng.random() < 0.02 else text


def _rounded(piece: Points) -> Points:
    """Cut a polyline's corners twice (Chaikin 1974), its ends kept."""
    for _ in range(2):
        first, last = piece[:1], piece[-1:]
        near, far = 0.75 * piece[:-1] + 0.25 * piece[1:], 0.25 * piece[:-1] + 0.75 * piece[1:]
        piece = np.concatenate([first, np.stack([near, far], axis=1).reshape(-1, 2), last])
    return piece


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
    x = float(HEIGHT)
    for sign in text:
        brush.text((x, HEIGHT / 2 + float(rng.normal(0, stray))), sign, fill=255, font=font)
        x += font.getlength(sign) + gap
    return image


def _fit(ink: Image.Image, text: str, rng: np.random.Generator) -> tuple[Image.Image, str]:
    """Trim to the ink and scale to the share of the rows that a cut line fills."""
    box = ink.getbbox() or (0, 0, 1, 1)
    cut = ink.crop(box)
    least = 0.62 * HEIGHT * _LETTER * (_FINER if ink.height > 3 * HEIGHT else 1)
    tall = max(cut.height, least)  # a lone dash or point is not blown up
    scale = HEIGHT * _LETTER / tall * float(rng.uniform(0.82, 1.08))
    wide = cut.width * scale * float(np.exp(rng.normal(0, 0.15)))
    wide = min(max(wide, 2.0), WIDTH - 16.0)
    return cut.resize((max(2, round(wide)), max(2, round(cut.height * scale))), Image.Resampling.BOX), text


def _surround(ink: Image.Image, rng: np.random.Generator) -> NDArray[np.uint8]:
    """Set the line on its strip with what may lie near: wires that touch, bits of other lettering."""
    strip = Image.new("L", (WIDTH, HEIGHT))
    left = int(rng.integers(3, max(4, min(12, WIDTH - ink.width))))
    top = round((HEIGHT - ink.height) / 2 + float(rng.normal(0, 1.6)))
    strip.paste(ink, (left, top))
    brush = ImageDraw.Draw(strip)
    pen = int(rng.integers(2, 8))
    end = left + ink.width
    pick = rng.random()
    if pick < 0.06:  # a wire along the top or the bottom
        y = float(rng.choice([rng.uniform(0, 4), rng.uniform(HEIGHT - 5, HEIGHT - 1)]))
        brush.line((0, y, min(WIDTH, end + 6), y + rng.normal(0, 1)), fill=255, width=pen)
    elif pick < 0.12:  # an upright one beside the ends
        x = float(rng.choice([rng.uniform(0, max(1, left - 1)), end + rng.uniform(2, 9)]))
        brush.line((x, 0, x + rng.normal(0, 1), HEIGHT), fill=255, width=pen)
    elif pick < 0.2:  # the stump of a wire or of a letter above or below
        x, reach = float(rng.uniform(left, end)), float(rng.uniform(2, 7))
        y = 0.0 if rng.random() < 0.5 else float(HEIGHT)
        brush.line((x, y, x + rng.normal(0, 6), abs(y - reach)), fill=255, width=pen)
    image = 255 - np.asarray(strip)
    return np.ascontiguousarray(image)

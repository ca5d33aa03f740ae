"""Measure the recogniser on faces it never learned from, spoilt with the whole page as sheets are.

``python -m tracer.training.letters_measure --model letters.onnx --fonts HELD_OUT --card letters.json``
"""

from __future__ import annotations

import argparse
import json
import re
from collections.abc import Iterable
from pathlib import Path
from typing import Any, Final

import numpy as np
import onnxruntime
from numpy.typing import NDArray
from PIL import Image

from tracer.training.letters_draw import FREEHAND, HEIGHT, STENCIL, draw_line, font_files
from tracer.training.letters_text import ALPHABET
from tracer.training.spoil import LEVELS, spoil
from tracer.training.truth import DrawnPart, SheetTruth

__all__ = ["main", "measure_letters"]

_ROWS: Final = 32
_LETTER_ROWS: Final = 24
_MARGIN: Final = 5
_PAGE: Final = (1200, 1400)  # rows, columns
_TALL: Final = (20, 34)  # px of a letter on the page, from and to
_LINES: Final = 60
_PART_TEXT: Final = re.compile(
    r"[A-Z]{1,3}\d{1,4}[a-dA-D]?|\d*[.,kKMRnpuµ]?\d+ ?([kKMRnpuµHVA]|[kKM]?Ω|[µunp]F|m[HAV]|meg|ohms)?"
)


def measure_letters(model: Path, faces: tuple[str, ...], pages: int = 4, seed: int = 1) -> dict[str, Any]:
    """Give the share of lines read without any fault, by level of spoiling and face.

    Parameters
    ----------
    model : Path
        The ONNX file.
    faces : tuple of str
        Faces to draw with, as `draw_line` takes them.
    pages : int
        Of `_LINES` lines each, for every face and level.
    seed : int
        The same seed draws and spoils the same lines.
    """
    session = onnxruntime.InferenceSession(str(model), providers=["CPUExecutionProvider"])
    found: dict[str, Any] = {}
    for level, name in enumerate(LEVELS):
        shares = {}
        for face in faces:
            lines = [pair for page in range(pages) for pair in _spoilt_lines(face, level, seed + page)]
            marks = [
                (_read(session, cut) == text, _PART_TEXT.fullmatch(text) is not None) for cut, text in lines
            ]
            shares[Path(face).stem] = {
                "all lines": _share(right for right, _ in marks),
                "references and values": _share(right for right, told in marks if told),
            }
        found[name] = shares
    return found


def _share(marks: Iterable[bool]) -> float:
    return round(float(np.mean(list(marks))), 3)


def _spoilt_lines(face: str, level: int, seed: int) -> list[tuple[NDArray[np.uint8], str]]:
    """Letter a page, spoil it, and cut the lines out where the spoiling moved them to."""
    rng = np.random.default_rng(seed)
    page = np.full(_PAGE, 255, np.uint8)
    parts, texts = [], []
    rows, columns = _LINES // 3, 3
    for number in range(_LINES):
        line = draw_line(rng, (face,))
        ink = np.argwhere(line.image < 128)
        (top, left), (bottom, right) = ink.min(axis=0), ink.max(axis=0) + 1
        scale = float(rng.uniform(*_TALL)) / (0.75 * HEIGHT)
        size = (max(2, round((right - left) * scale)), max(2, round((bottom - top) * scale)))
        if size[0] > _PAGE[1] // columns - 40:
            size = (_PAGE[1] // columns - 40, size[1])
        small = Image.fromarray(line.image[top:bottom, left:right]).resize(size, Image.Resampling.BOX)
        x, y = 20 + number % columns * (_PAGE[1] // columns), 12 + number // columns * (_PAGE[0] // rows)
        page[y : y + size[1], x : x + size[0]] = np.asarray(small)
        parts.append(DrawnPart(number + 1, "", "", "", "", (x, y, x + size[0], y + size[1]), ()))
        texts.append(line.text)
    flat = np.zeros_like(page)
    sheet = SheetTruth(page, flat, flat[::4, ::4].copy(), ("none",), 3.0, (), tuple(parts), (), ())
    moved = spoil(sheet, level, seed)
    return [(_cut(moved.image, part.box), texts[part.number - 1]) for part in moved.parts]


def _cut(page: NDArray[np.uint8], box: tuple[float, float, float, float]) -> NDArray[np.uint8]:
    """Cut a box out and level its light between its own ink and paper."""
    x0, y0, x1, y1 = (round(edge) for edge in box)
    cut = page[max(y0, 0) : y1 + 1, max(x0, 0) : x1 + 1].astype(np.float64)
    ink, paper = float(cut.min()), float(np.percentile(cut, 85))
    level = np.clip((cut - ink) / max(paper - ink, 1.0), 0, 1) * 255
    return level.astype(np.uint8)


def _read(session: Any, cut: NDArray[np.uint8]) -> str:
    scale = _LETTER_ROWS / max(cut.shape[0], 14)
    size = (max(2, round(cut.shape[1] * scale)), max(2, min(_ROWS, round(cut.shape[0] * scale))))
    small = np.asarray(Image.fromarray(cut).resize(size, Image.Resampling.BILINEAR), dtype=np.float32)
    strip = np.ones((1, 1, _ROWS, size[0] + 2 * _MARGIN + 16), np.float32)
    top = (_ROWS - size[1]) // 2
    strip[0, 0, top : top + size[1], _MARGIN : _MARGIN + size[0]] = small / 255
    (chances,) = session.run(["chances"], {"strips": strip})
    best = chances[0].argmax(axis=1)
    pairs = zip([0, *best[:-1]], best, strict=True)
    return "".join(ALPHABET[number - 1] for before, number in pairs if number and number != before)


def main() -> None:
    """Measure, print, and write the figures into the card."""
    parser = argparse.ArgumentParser(prog="python -m tracer.training.letters_measure", description=__doc__)
    parser.add_argument("--model", type=Path, required=True)
    parser.add_argument("--fonts", type=Path, required=True, help="folder of faces not learned from")
    parser.add_argument("--card", type=Path, help="to write the figures into")
    options = parser.parse_args()
    figures = measure_letters(options.model, (*font_files(options.fonts), STENCIL, FREEHAND))
    for level, shares in figures.items():
        print(level, shares)
    if options.card is not None:
        card = json.loads(options.card.read_text("utf-8"))
        card["figures"] = {**card.get("figures", {}), "lines_read_without_fault": figures}
        options.card.write_text(json.dumps(card, indent=1, ensure_ascii=False) + "\n", "utf-8")


if __name__ == "__main__":
    main()

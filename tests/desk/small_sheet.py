"""A rail, two resistors and a chassis sign, drawn with straight strokes; all places are page px."""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from tracer.job.records import Tag, TagTerminal
from tracer.reader.layers import Layers, Pixel

HIGH, WIDE, STROKE = 480, 720, 3
NAMES = ("none", "resistor", "chassis", "label")
R1, R2 = (200, 90, 290, 112), (429, 180, 451, 270)
CHASSIS = (422, 330, 458, 350)
FEED = [(60, 101), (200, 101)]
MIDDLE = [(290, 101), (620, 101)]
DROP = [(440, 101), (440, 180)]
FOOT = [(440, 270), (440, 330)]
ON_MIDDLE, ON_FEED, ON_FOOT, ON_PAPER = (360.0, 101.0), (120.0, 101.0), (440.0, 300.0), (150.0, 400.0)

TAGS = (
    Tag(1, R1, "resistor", "R1", "4k7", (TagTerminal("1", 199, 101), TagTerminal("2", 290, 101))),
    Tag(1, R2, "resistor", "R2", "10k", (TagTerminal("1", 440, 179), TagTerminal("2", 440, 271))),
    Tag(1, CHASSIS, "chassis", "E1", None, (TagTerminal("1", 440, 329),)),
    Tag(1, (52, 70, 74, 90), "label", "HT1@1", "HT1", (TagTerminal("1", 62, 101),)),
)
"""What a person would confirm. From HT1 to the chassis: 4k7 + 10k."""


def write(path: Path) -> Path:
    """Write the sheet as a picture and return its path."""
    grey = np.full((HIGH, WIDE), 255, np.uint8)
    for wire in (FEED, MIDDLE, DROP, FOOT):
        cv2.line(grey, wire[0], wire[1], 0, STROKE)
    for box in (R1, R2):
        cv2.rectangle(grey, box[:2], (box[2] - 1, box[3] - 1), 0, STROKE)
    cv2.rectangle(grey, CHASSIS[:2], (CHASSIS[2] - 1, CHASSIS[3] - 1), 90, -1)
    cv2.circle(grey, (440, 101), 6, 0, -1)
    cv2.imwrite(str(path), grey)
    return path


def layers() -> Layers:
    """Return what a reader without fault says of the sheet."""
    classes: NDArray[np.uint8] = np.zeros((HIGH, WIDE), np.uint8)
    kinds = np.zeros((HIGH // 4, WIDE // 4), np.uint8)
    for wire in (FEED, MIDDLE, DROP, FOOT):
        cv2.line(classes, wire[0], wire[1], int(Pixel.WIRE), STROKE)
    cv2.circle(classes, (440, 101), 6, int(Pixel.DOT), -1)
    for box, kind in ((R1, "resistor"), (R2, "resistor"), (CHASSIS, "chassis")):
        classes[box[1] : box[3], box[0] : box[2]] = Pixel.BODY
        kinds[box[1] // 4 : -(-box[3] // 4), box[0] // 4 : -(-box[2] // 4)] = NAMES.index(kind)
    sure, sure_kinds = np.full_like(classes, 255), np.full_like(kinds, 255)
    to_page = np.array([[1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])
    return Layers(classes, sure, kinds, sure_kinds, NAMES, to_page, float(STROKE), "drawn")

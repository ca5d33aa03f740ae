"""What else a word may say: the likeliest texts of a strip, each with its chance.

A best path through the recogniser's columns gives one text. Where it wavers between two signs the others are
worth keeping: what a reference or a value can be tells between them later, and so do the sheet's other names.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

__all__ = ["likely_texts"]

_BEAMS: Final = 10
_MOST: Final = 6
_LEAST: Final = 0.01  # chance of a sign in a column, and of a text, that is followed up
_BARE: Final = 0.995


def likely_texts(chances: NDArray[np.float32], alphabet: str) -> tuple[tuple[str, float], ...]:
    """Give the likeliest texts, the first the likeliest, at most six.

    Parameters
    ----------
    chances : (columns, 1 + signs) float32
        Of each sign in each column, the blank first.
    alphabet : str
        The signs.

    Returns
    -------
    tuple of (str, float)
        Texts and their chances; those of a word that is read beyond doubt are one.

    Notes
    -----
    A prefix beam search (Hannun and others, arXiv:1408.2873): it holds for each beginning
    of a text the chance that its last column was a blank, and that it was not.

    Examples
    --------
    >>> columns = np.array([[0.0, 0.9, 0.1], [0.9, 0.05, 0.05], [0.1, 0.0, 0.9]], np.float32)
    >>> [text for text, _ in likely_texts(columns, "AB")][:2]
    ['AB', 'A']
    """
    beams: dict[tuple[int, ...], tuple[float, float]] = {(): (1.0, 0.0)}
    for column in chances:
        blank = float(column[0])
        if blank > _BARE:
            beams = {text: (blank * (ended + going), 0.0) for text, (ended, going) in beams.items()}
            continue
        some = [(int(sign), float(column[sign])) for sign in np.nonzero(column > _LEAST)[0] if sign]
        beams = _longer(beams, blank, some)
    texts = sorted(((ended + going, text) for text, (ended, going) in beams.items()), reverse=True)
    found = [("".join(alphabet[sign - 1] for sign in text), chance) for chance, text in texts]
    return tuple((text, round(chance, 4)) for text, chance in found[:_MOST] if text and chance >= _LEAST)


def _longer(
    beams: dict[tuple[int, ...], tuple[float, float]], blank: float, some: list[tuple[int, float]]
) -> dict[tuple[int, ...], tuple[float, float]]:
    """Go on by one column: each beginning stays, or takes one more sign."""
    grown: dict[tuple[int, ...], list[float]] = {}
    for text, (ended, going) in beams.items():
        same = grown.setdefault(text, [0.0, 0.0])
        same[0] += (ended + going) * blank
        for sign, chance in some:
            more = grown.setdefault((*text, sign), [0.0, 0.0])
            if text and text[-1] == sign:
                same[1] += going * chance
                more[1] += ended * chance
            else:
                more[1] += (ended + going) * chance
    best = sorted(grown.items(), key=lambda pair: -sum(pair[1]))[:_BEAMS]
    return {text: (ended, going) for text, (ended, going) in best}

"""How large a page may be, checked from the header before anything is decoded."""

from __future__ import annotations

from typing import Final

from tracer.errors import TooLarge

__all__ = ["MAX_PIXELS", "check_size"]

MAX_PIXELS: Final = 120_000_000
"""Most pixels of one page: an A0 sheet at 260 dpi, or A3 at 740 dpi."""


def check_size(width: int, height: int, name: str, advice: str) -> None:
    """Refuse a page of more than `MAX_PIXELS`.

    Parameters
    ----------
    width, height : int
        As the file's header states them, px.
    name : str
        The file, for the message.
    advice : str
        What the user can do next, as a whole sentence.

    Raises
    ------
    TooLarge

    Examples
    --------
    >>> check_size(9921, 7016, "a3.png", "Scan it at fewer dots per inch.")
    """
    if width * height > MAX_PIXELS:
        raise TooLarge(
            f"{name}: the page is {width} × {height} px ({width * height / 1e6:.0f} megapixels); "
            f"the limit is {MAX_PIXELS // 1_000_000} megapixels. Nothing was loaded. {advice}"
        )

"""Pages of a PDF, drawn by PDFium as grey pixels."""

from __future__ import annotations

import re
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from math import ceil, floor, sqrt
from typing import Any, Final

import numpy as np
import pypdfium2 as pdfium
import pypdfium2.raw as pdfium_raw
from numpy.typing import NDArray

from tracer.errors import BadPassword, DamagedImage, NoSuchPage
from tracer.scan.limits import MAX_PIXELS, check_size

__all__ = ["count", "decode"]

_POINTS_PER_INCH: Final = 72.0  # ISO 32000-1, 8.3.2.3: the default user space unit
_EMPTY_TREE: Final = re.compile(rb"/Kids\s*\[\s*\]")  # ISO 32000-1, 7.7.3.2: a page tree node without kids
_ONE_AT_A_TIME = threading.Lock()  # PDFium may not be entered from two threads


def decode(data: bytes, name: str, number: int, dpi: float) -> tuple[NDArray[np.uint8], float]:
    """Draw one page.

    Parameters
    ----------
    data : bytes
        The whole PDF.
    name : str
        For messages.
    number : int
        Page, from 1.
    dpi : float
        Dots per inch wanted.

    Returns
    -------
    (H, W) uint8 and the dpi.

    Raises
    ------
    DamagedImage, NoSuchPage, TooLarge, BadPassword
    ValueError
        When `dpi` is not above zero.
    """
    if not dpi > 0:
        raise ValueError(f"a page cannot be drawn at {dpi} dpi")
    with _document(data, name) as document:
        pages = len(document)
        if not 1 <= number <= pages:
            raise NoSuchPage(_no_page(name, number, pages))
        try:
            page = document[number - 1]
            width, height = page.get_size()
            _check(width, height, name, number, dpi)
            bitmap = page.render(
                scale=dpi / _POINTS_PER_INCH, grayscale=True, fill_color=(255, 255, 255, 255)
            )
            grey = np.array(bitmap.to_numpy(), dtype=np.uint8)
        except pdfium.PdfiumError as error:
            raise DamagedImage(_damaged(f"{name}, page {number}")) from error
    return grey.reshape(grey.shape[:2]), dpi


def count(data: bytes, name: str) -> int:
    """Count the pages.

    Raises
    ------
    DamagedImage, BadPassword
    """
    with _document(data, name) as document:
        return len(document)


@contextmanager
def _document(data: bytes, name: str) -> Iterator[Any]:
    with _ONE_AT_A_TIME:
        try:
            document = pdfium.PdfDocument(data)
        except pdfium.PdfiumError as error:
            code = getattr(error, "err_code", None)
            if code == pdfium_raw.FPDF_ERR_SUCCESS or _EMPTY_TREE.search(data):
                raise NoSuchPage(_no_page(name, 1, 0)) from error  # PDFium opens no document without pages
            if code == pdfium_raw.FPDF_ERR_PASSWORD:
                raise BadPassword(
                    f"{name}: the PDF is encrypted. Save a copy without a password and open that."
                ) from error
            raise DamagedImage(_damaged(name)) from error
        try:
            yield document
        finally:
            document.close()


def _check(width: float, height: float, name: str, number: int, dpi: float) -> None:
    scale = dpi / _POINTS_PER_INCH
    fits = floor(_POINTS_PER_INCH * sqrt(MAX_PIXELS / max(width * height, 1.0)))
    check_size(
        ceil(width * scale),
        ceil(height * scale),
        f"{name}, page {number} at {dpi:g} dpi",
        f"Open it at {fits} dpi or fewer.",
    )


def _damaged(name: str) -> str:
    return (
        f"{name}: the PDF is cut short or broken inside. Copy it again from where it came, or make it anew."
    )


def _no_page(name: str, number: int, pages: int) -> str:
    if pages == 0:
        return f"{name}: the PDF has no pages. Make it anew from the scan."
    return f"{name}: there is no page {number}; it has {pages}. Name a page from 1 to {pages}."

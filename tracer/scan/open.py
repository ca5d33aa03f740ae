"""Opening a scanned sheet: any usual image, a page of a TIFF, or a page of a PDF."""

from __future__ import annotations

import hashlib
from pathlib import Path

from tracer.errors import EmptyFile, FileMissing, NotAnImage
from tracer.progress import NullProgress, Progress, checkpoint
from tracer.scan import pdf, raster
from tracer.scan.page import Page

__all__ = ["open_page", "open_page_bytes", "page_count", "page_count_bytes"]

_HEAD = 1024  # a PDF may carry this much before its "%PDF-" (common practice of readers)
_STAGE = "opening the page"
_WATCH_NOTHING = NullProgress()


def open_page(
    path: str | Path,
    number: int = 1,
    *,
    pdf_dpi: float = 300.0,
    progress: Progress = _WATCH_NOTHING,
) -> Page:
    """Decode one page of a file.

    Colour becomes luminance, 16 bits become 8, transparent pixels are laid on white and the
    EXIF turn is applied. Sizes are checked from the header, before anything is decoded.

    Parameters
    ----------
    path : str or Path
        PNG, JPEG, TIFF, GIF, BMP, WebP, PNM, JPEG 2000 or PDF; told by its content, not its name.
    number : int
        Page, from 1. Only TIFF and PDF have more than one.
    pdf_dpi : float
        Dots per inch at which a PDF page is drawn.
    progress : Progress
        Watches the work.

    Raises
    ------
    FileMissing, EmptyFile, NotAnImage, DamagedImage, TooLarge, NoSuchPage, BadPassword, Cancelled
    """
    place = Path(path)
    checkpoint(progress, _STAGE, 0.0)
    return open_page_bytes(_read_file(place), place, number, pdf_dpi=pdf_dpi, progress=progress)


def open_page_bytes(
    data: bytes,
    name: str | Path,
    number: int = 1,
    *,
    pdf_dpi: float = 300.0,
    progress: Progress = _WATCH_NOTHING,
) -> Page:
    """Decode one page from a file's bytes, as a job file keeps them.

    Parameters
    ----------
    data : bytes
        The whole file.
    name : str or Path
        What to call it in messages; becomes ``Page.source``.
    number, pdf_dpi, progress
        As for `open_page`.

    Raises
    ------
    EmptyFile, NotAnImage, DamagedImage, TooLarge, NoSuchPage, BadPassword, Cancelled

    Examples
    --------
    >>> page = open_page_bytes(b"P4 8 1 " + bytes([0b11110000]), "tiny.pbm")
    >>> page.grey.tolist()
    [[0, 0, 0, 0, 255, 255, 255, 255]]
    """
    label = str(name)
    kind = _kind(data[:_HEAD], label)
    checkpoint(progress, _STAGE, 0.1)
    dpi: float | None
    if kind == "pdf":
        grey, dpi = pdf.decode(data, label, number, pdf_dpi)
    else:
        grey, dpi = raster.decode(data, label, number)
    checkpoint(progress, _STAGE, 0.9)
    digest = hashlib.sha256(data).hexdigest()
    progress.advance(_STAGE, 1.0)
    return Page(grey=grey, source=Path(name), number=number, dpi=dpi, sha256=digest)


def page_count(path: str | Path) -> int:
    """Count the pages of a file: those of a TIFF or PDF, else 1.

    Raises
    ------
    FileMissing, EmptyFile, NotAnImage, DamagedImage, TooLarge, BadPassword
    """
    place = Path(path)
    return page_count_bytes(_read_file(place), place)


def page_count_bytes(data: bytes, name: str | Path) -> int:
    """Count the pages in a file's bytes; see `page_count`."""
    label = str(name)
    if _kind(data[:_HEAD], label) == "pdf":
        return pdf.count(data, label)
    return raster.count(data, label)


def _read_file(path: Path) -> bytes:
    """Read a file whole, but only after its first bytes look like something that can be opened."""
    try:
        with path.open("rb") as file:
            head = file.read(_HEAD)
            _kind(head, str(path))
            return head + file.read()
    except FileNotFoundError as error:
        raise FileMissing(f"{path}: there is no such file. Check the name and the folder.") from error
    except IsADirectoryError as error:
        raise FileMissing(f"{path}: this is a folder. Name one file inside it.") from error
    except OSError as error:
        reason = error.strerror or str(error)
        raise FileMissing(f"{path}: cannot be read ({reason}). Check its permissions.") from error


def _kind(head: bytes, name: str) -> str:
    if not head:
        raise EmptyFile(f"{name}: the file holds 0 bytes. Copy or scan it again.")
    if b"%PDF-" in head:
        return "pdf"
    if raster.looks_like_image(head):
        return "image"
    raise NotAnImage(
        f"{name}: this is no image or PDF that can be opened. "
        "Save the sheet as PNG, TIFF, JPEG, GIF, BMP, WebP or PDF and open that."
    )

"""Images and TIFF pages, decoded by Pillow within limits and brought to 8-bit grey."""

from __future__ import annotations

import re
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from io import BytesIO
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageOps, UnidentifiedImageError

from tracer.errors import DamagedImage, NoSuchPage, NotAnImage, TooLarge
from tracer.scan.limits import MAX_PIXELS, check_size
from tracer.scan.webp import webp_size

__all__ = ["count", "decode", "looks_like_image"]

# Named one by one: Pillow knows formats that would start other programs (PostScript).
_FORMATS: Final = ("PNG", "TIFF", "JPEG", "GIF", "BMP", "WEBP", "PPM", "JPEG2000")
_SURE_MAGIC: Final = re.compile(
    rb"\x89PNG\r\n\x1a\n|II[*+]\x00|MM\x00[*+]|\xff\xd8\xff|GIF8[79]a|RIFF.{4}WEBP"
    rb"|\x00\x00\x00\x0cjP  |\xff\x4f\xff\x51|BM.{12}[\x0c\x28\x34\x38\x40\x6c\x7c]\x00\x00\x00",
    re.DOTALL,
)
_WEAK_MAGIC: Final = re.compile(rb"P[1-6]\s")
_ADVICE: Final = "Scan it at fewer dots per inch or cut it into parts."
_DECODER_ERRORS: Final = (
    OSError,
    SyntaxError,
    ValueError,
    EOFError,
    IndexError,
    KeyError,
    TypeError,
    MemoryError,
)


def looks_like_image(head: bytes) -> bool:
    """Whether a file that starts with `head` may be one of the formats opened here.

    Examples
    --------
    >>> looks_like_image(b"GIF89a..."), looks_like_image(b"<html>")
    (True, False)
    """
    return bool(_SURE_MAGIC.match(head) or _WEAK_MAGIC.match(head))


def decode(data: bytes, name: str, number: int) -> tuple[NDArray[np.uint8], float | None]:
    """Decode one page to luminance.

    Parameters
    ----------
    data : bytes
        The whole file.
    name : str
        For messages.
    number : int
        Page, from 1.

    Returns
    -------
    (H, W) uint8, and the dpi that the file states or None.

    Raises
    ------
    NotAnImage, DamagedImage, NoSuchPage, TooLarge
    """
    with _opened(data, name) as image:
        pages = _pages(image)
        if not 1 <= number <= pages:
            raise NoSuchPage(
                f"{name}: there is no page {number}; it has {pages}. Name a page from 1 to {pages}."
            )
        if number > 1:
            image.seek(number - 1)
        check_size(*image.size, name, _ADVICE)
        dpi = _dpi(image)
        if image.format in ("JPEG", "MPO") and image.mode == "RGB":
            image.draft("L", image.size)  # the decoder's own luminance: a third of the memory
        image.load()
        ImageOps.exif_transpose(image, in_place=True)
        grey = _grey(image)
        if _deep(image) and _white_is_zero(image):
            np.subtract(grey.max(initial=0), grey, out=grey)
        return grey, dpi


def count(data: bytes, name: str) -> int:
    """Count the pages: those of a TIFF, else 1.

    Raises
    ------
    NotAnImage, DamagedImage, TooLarge
    """
    with _opened(data, name) as image:
        return _pages(image)


@contextmanager
def _opened(data: bytes, name: str) -> Iterator[Image.Image]:
    """Open with every complaint of the decoders turned into ours."""
    size = webp_size(data[:64])
    if size is not None:
        check_size(*size, name, _ADVICE)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # our own limit is checked; odd metadata is harmless
            Image.init()  # otherwise only the commonest formats are known
            with Image.open(BytesIO(data), formats=_FORMATS) as image:
                yield image
    except Image.DecompressionBombError as error:
        raise TooLarge(
            f"{name}: the header claims far more than the limit of {MAX_PIXELS // 1_000_000} megapixels. "
            f"Nothing was loaded. {_ADVICE}"
        ) from error
    except UnidentifiedImageError as error:
        if _SURE_MAGIC.match(data):
            raise DamagedImage(_damaged(name)) from error
        raise NotAnImage(
            f"{name}: this is no image that can be opened. Save the sheet as PNG, TIFF or JPEG and open that."
        ) from error
    except _DECODER_ERRORS as error:
        raise DamagedImage(_damaged(name)) from error


def _damaged(name: str) -> str:
    return f"{name}: the image is cut short or broken inside. Copy it again from where it came, or scan anew."


def _pages(image: Image.Image) -> int:
    return int(getattr(image, "n_frames", 1)) if image.format == "TIFF" else 1


def _dpi(image: Image.Image) -> float | None:
    stated = image.info.get("dpi")
    if not stated:
        return None
    dpi = float(stated[0])
    return dpi if 1.0 < dpi < 20_000.0 else None


def _grey(image: Image.Image) -> NDArray[np.uint8]:
    """Bring any Pillow mode to luminance on white, (H, W) uint8."""
    if _deep(image):
        return _from_deep(image)
    if image.mode in ("LAB", "YCbCr"):
        return np.array(image.getchannel(0))
    if image.has_transparency_data:
        return _on_white(image)
    return np.array(image if image.mode == "L" else image.convert("L"))


def _from_deep(image: Image.Image) -> NDArray[np.uint8]:
    """Bring 16-bit, 32-bit and float pixels to 8 bits by the highest value in use.

    Pillow itself clips these at 255, which would leave a white page.
    """
    deep = np.asarray(image)
    if deep.dtype.kind == "f":
        finite = np.nan_to_num(deep, nan=0.0, posinf=0.0, neginf=0.0)
        top = max(float(finite.max(initial=0.0)), 1e-9)
        return np.asarray(np.clip(finite * (255.0 / top), 0, 255), dtype=np.uint8)
    shift = max(int(deep.max(initial=0)).bit_length() - 8, 0)
    return np.asarray(np.clip(deep, 0, None) >> shift, dtype=np.uint8)


def _deep(image: Image.Image) -> bool:
    return image.mode.startswith("I") or image.mode == "F"


def _white_is_zero(image: Image.Image) -> bool:
    """TIFF 6.0, tag 262 PhotometricInterpretation: 0 is WhiteIsZero; Pillow heeds it up to 8 bits only."""
    tags = getattr(image, "tag_v2", {})
    return bool(tags.get(262, 1) == 0)


def _on_white(image: Image.Image) -> NDArray[np.uint8]:
    """Lay a page with transparency on white.

    Some converters mark the ink itself as the transparent colour; such a page would come out
    blank, so then the transparency is dropped.
    """
    wanted = "LA" if image.mode in ("1", "L", "LA") else "RGBA"
    both = image if image.mode == wanted else image.convert(wanted)
    alpha = np.array(both.getchannel("A"))
    grey = np.array(both.convert("L"))
    if alpha.min(initial=255) == 255:
        return grey
    laid = np.asarray(255 - cv2.multiply(255 - grey, alpha, scale=1 / 255), dtype=np.uint8)
    return grey if np.ptp(laid) == 0 and np.ptp(grey) > 0 else laid

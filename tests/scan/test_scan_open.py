"""Opening pages: every usual kind of file comes out right, every bad one with its own error.

Expected greys: ITU-R BT.601 luma for colour (as in Pillow's and libjpeg's documentation).
"""

from __future__ import annotations

import contextlib
import hashlib
import struct
import zlib
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
import pypdfium2 as pdfium
import pytest
from numpy.typing import NDArray
from PIL import Image

from tracer.errors import (
    Cancelled,
    DamagedImage,
    EmptyFile,
    FileMissing,
    NoSuchPage,
    NotAnImage,
    TooLarge,
    TracerError,
)
from tracer.scan.open import open_page, open_page_bytes, page_count, page_count_bytes

Grey = NDArray[np.uint8]


def drawing() -> Grey:
    """A small page with an L of ink in the top left corner, so that a wrong turn shows."""
    page = np.full((40, 64), 255, np.uint8)
    page[4:8, 4:50] = 0
    page[4:30, 4:8] = 0
    return page


def saved(image: Image.Image, kind: str, **options: Any) -> bytes:
    buffer = BytesIO()
    image.save(buffer, kind, **options)
    return buffer.getvalue()


def opened(data: bytes, number: int = 1) -> Grey:
    return open_page_bytes(data, "sheet", number).grey


def pdf_of(*sizes: tuple[float, float]) -> bytes:
    document = pdfium.PdfDocument.new()
    for width, height in sizes:
        document.new_page(width, height)
    buffer = BytesIO()
    document.save(buffer)
    return buffer.getvalue()


@pytest.mark.parametrize("kind", ["PNG", "TIFF", "GIF", "BMP", "PPM", "JPEG2000"])
def test_lossless_grey_comes_back_exactly(kind: str) -> None:
    page = drawing()
    assert np.array_equal(opened(saved(Image.fromarray(page), kind)), page)


def test_lossless_webp_comes_back_exactly() -> None:
    page = drawing()
    assert np.array_equal(opened(saved(Image.fromarray(page), "WEBP", lossless=True)), page)


@pytest.mark.parametrize("kind", ["JPEG", "WEBP"])
def test_lossy_comes_back_nearly(kind: str) -> None:
    page = drawing()
    off = np.abs(opened(saved(Image.fromarray(page).convert("RGB"), kind, quality=95)).astype(int) - page)
    assert off.mean() < 2
    assert off.max() < 40


@pytest.mark.parametrize("compression", ["group4", "group3", "tiff_ccitt", "packbits", "tiff_lzw", None])
def test_one_bit_tiff(compression: str | None) -> None:
    page = drawing()
    data = saved(Image.fromarray(page).convert("1"), "TIFF", compression=compression)
    assert np.array_equal(opened(data), page)


def test_one_bit_png() -> None:
    page = drawing()
    assert np.array_equal(opened(saved(Image.fromarray(page).convert("1"), "PNG")), page)


@pytest.mark.parametrize("kind", ["PNG", "TIFF"])
def test_sixteen_bit_is_scaled_not_clipped(kind: str) -> None:
    deep = np.linspace(0, 65535, 64 * 40).astype(np.uint16).reshape(40, 64)
    assert np.array_equal(opened(saved(Image.fromarray(deep), kind)), (deep >> 8).astype(np.uint8))


def test_twelve_bits_in_sixteen_use_the_whole_scale() -> None:
    deep = np.linspace(0, 4095, 64 * 40).astype(np.uint16).reshape(40, 64)
    assert np.array_equal(opened(saved(Image.fromarray(deep), "TIFF")), (deep >> 4).astype(np.uint8))


def test_sixteen_bit_tiff_with_zero_for_white() -> None:
    deep = (255 - drawing()).astype(np.uint16) * 257
    data = bytearray(saved(Image.fromarray(deep), "TIFF"))
    entry = data.index(struct.pack("<HHI", 262, 3, 1))  # TIFF 6.0: PhotometricInterpretation
    data[entry + 8 : entry + 10] = b"\0\0"
    assert np.array_equal(opened(bytes(data)), drawing())


def test_float_tiff() -> None:
    assert np.array_equal(
        opened(saved(Image.fromarray(drawing().astype(np.float32) / 255), "TIFF")), drawing()
    )


@pytest.mark.parametrize("kind", ["TIFF", "JPEG"])
def test_cmyk(kind: str) -> None:
    cmyk = np.zeros((40, 64, 4), np.uint8)
    cmyk[..., 3] = 255 - drawing()
    off = np.abs(opened(saved(Image.fromarray(cmyk, "CMYK"), kind)).astype(int) - drawing())
    assert off.max() < (2 if kind == "TIFF" else 60)
    assert off.mean() < 3


def test_palette_colours_become_luma() -> None:
    image = Image.new("P", (8, 2))
    image.putpalette([255, 255, 255, 255, 0, 0, 0, 0, 255])
    image.putdata([0, 1, 2, 0, 1, 2, 0, 1] * 2)
    assert opened(saved(image, "PNG"))[0].tolist() == [255, 76, 29, 255, 76, 29, 255, 76]


def test_transparent_pixels_lie_on_white() -> None:
    pixels = np.zeros((2, 3, 4), np.uint8)
    pixels[:, 0, 3] = 255
    pixels[:, 1, 3] = 128
    assert opened(saved(Image.fromarray(pixels), "PNG"))[0].tolist() == [0, 127, 255]
    assert opened(saved(Image.fromarray(pixels[..., 2:]), "PNG"))[0].tolist() == [0, 127, 255]


def test_ink_marked_as_the_transparent_colour_is_kept() -> None:
    page = drawing()
    assert np.array_equal(opened(saved(Image.fromarray(page), "PNG", transparency=0)), page)
    assert np.array_equal(opened(saved(Image.fromarray(page), "GIF", transparency=0)), page)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "TIFF"])
@pytest.mark.parametrize("turn", range(1, 9))
def test_exif_turn(kind: str, turn: int) -> None:
    """Exif 2.32, tag 0x0112: where row 0 and column 0 of the stored pixels belong on the sheet."""
    page = drawing()
    stored = {
        1: page,
        2: page[:, ::-1],
        3: page[::-1, ::-1],
        4: page[::-1],
        5: page.T,
        6: np.rot90(page, 1),
        7: page[::-1, ::-1].T,
        8: np.rot90(page, -1),
    }[turn]
    exif = Image.Exif()
    exif[0x0112] = turn
    data = saved(Image.fromarray(np.ascontiguousarray(stored)), kind, exif=exif)
    grey = opened(data)
    assert grey.shape == page.shape
    assert np.abs(grey.astype(int) - page).mean() < 3


def test_pages_of_a_tiff() -> None:
    pages = [Image.new("L", (10 + n, 5), 50 * n) for n in range(3)]
    data = saved(pages[0], "TIFF", save_all=True, append_images=pages[1:])
    assert page_count_bytes(data, "sheets.tif") == 3
    for n in range(3):
        grey = opened(data, n + 1)
        assert grey.shape == (5, 10 + n)
        assert (grey == 50 * n).all()
    for wrong in (0, 4, -1):
        with pytest.raises(NoSuchPage, match=r"sheets\.tif.*1 to 3"):
            open_page_bytes(data, "sheets.tif", wrong)


def test_a_picture_of_one_page_has_no_second() -> None:
    data = saved(Image.fromarray(drawing()), "PNG")
    assert page_count_bytes(data, "a.png") == 1
    with pytest.raises(NoSuchPage):
        opened(data, 2)


def test_pdf_page_is_drawn_at_the_dpi_asked_for(tmp_path: Path) -> None:
    path = tmp_path / "sheets.pdf"
    first = Image.fromarray(drawing()).resize((640, 400), Image.Resampling.NEAREST)
    first.save(path, resolution=100.0, save_all=True, append_images=[Image.new("L", (300, 100), 255)])
    assert page_count(path) == 2
    page = open_page(path, pdf_dpi=100.0)
    assert page.grey.shape == (400, 640)
    assert page.dpi == 100.0
    assert np.abs(page.grey.astype(int) - np.asarray(first)).mean() < 4
    assert open_page(path, 2, pdf_dpi=200.0).grey.shape == (200, 600)


def test_what_a_page_records(tmp_path: Path) -> None:
    path = tmp_path / "sheet.png"
    Image.fromarray(drawing()).save(path, dpi=(300, 300))
    page = open_page(path)
    assert page.sha256 == hashlib.sha256(path.read_bytes()).hexdigest()
    assert (page.source, page.number) == (path, 1)
    assert page.dpi == pytest.approx(300, abs=0.1)
    assert opened(saved(Image.fromarray(drawing()), "PNG")).flags.c_contiguous


def test_missing_file_and_folder(tmp_path: Path) -> None:
    with pytest.raises(FileMissing, match=r"gone\.png.*no such file"):
        open_page(tmp_path / "gone.png")
    with pytest.raises(FileMissing, match="folder"):
        open_page(tmp_path)


def test_empty_file(tmp_path: Path) -> None:
    (tmp_path / "empty.png").touch()
    with pytest.raises(EmptyFile, match=r"empty\.png.*0 bytes"):
        open_page(tmp_path / "empty.png")
    with pytest.raises(EmptyFile):
        page_count(tmp_path / "empty.png")


@pytest.mark.parametrize(
    "data", [b"<html>404</html>", b"BM, he wrote, is no bitmap", b"%!PS-Adobe-3.0\n", b"\0" * 99]
)
def test_not_an_image(data: bytes) -> None:
    with pytest.raises(NotAnImage, match=r"sheet.*Save the sheet as"):
        opened(data)


@pytest.mark.parametrize("share", [0.15, 0.5, 0.9])
@pytest.mark.parametrize("kind", ["PNG", "JPEG", "TIFF", "GIF", "BMP", "WEBP"])
def test_cut_short(kind: str, share: float) -> None:
    noise = np.random.default_rng(1).integers(0, 256, (200, 300), dtype=np.uint8)
    data = saved(Image.fromarray(noise).convert("RGB" if kind == "WEBP" else "L"), kind)
    with pytest.raises(DamagedImage, match=r"sheet.*cut short"):
        opened(data[: int(len(data) * share)])


def huge_png() -> bytes:
    header = struct.pack(">IIBBBBB", 100_000, 100_000, 8, 0, 0, 0, 0)
    crc = zlib.crc32(b"IHDR" + header)
    return (
        b"\x89PNG\r\n\x1a\n"
        + struct.pack(">I", 13)
        + b"IHDR"
        + header
        + struct.pack(">I", crc)
        + b"\0\0\0\1IDAT"
    )


def huge_tiff(side: int = 100_000) -> bytes:
    tags = [(256, side), (257, side), (258, 8), (259, 1), (262, 1), (273, 8), (277, 1), (278, side), (279, 9)]
    entries = b"".join(struct.pack("<HHII", tag, 4, 1, value) for tag, value in tags)
    return b"II*\0" + struct.pack("<IH", 8, len(tags)) + entries + b"\0\0\0\0"


def huge_webp() -> bytes:
    body = b"WEBPVP8X" + struct.pack("<I", 10) + b"\0\0\0\0" + (99_999).to_bytes(3, "little") * 2
    return b"RIFF" + struct.pack("<I", len(body)) + body


@pytest.mark.parametrize(
    "data",
    [huge_png(), huge_tiff(), huge_tiff(11_000), huge_webp(), b"P5 100000 100000 255\n"],
    ids=["png", "tiff", "tiff just over", "webp", "pgm"],
)
def test_header_that_claims_too_much(data: bytes) -> None:
    with pytest.raises(TooLarge, match=r"sheet.*120 megapixels.*Nothing was loaded"):
        opened(data)


def test_pdf_page_too_large_says_which_dpi_would_fit() -> None:
    data = pdf_of((7200, 7200))
    with pytest.raises(TooLarge, match="109 dpi or fewer"):
        opened(data)
    assert open_page_bytes(data, "sheet", pdf_dpi=20).grey.shape == (2000, 2000)


def test_pdf_without_pages() -> None:
    with pytest.raises(NoSuchPage, match=r"sheet.*no pages"):
        opened(pdf_of())
    objects = (
        b"%PDF-1.4\n1 0 obj<</Type/Catalog/Pages 2 0 R>>endobj\n2 0 obj<</Type/Pages/Kids[]/Count 0>>endobj\n"
    )
    data = objects + b"trailer<</Root 1 0 R>>\n%%EOF\n"
    with pytest.raises(NoSuchPage, match=r"sheet.*no pages"):
        opened(data)


def test_pdf_page_out_of_range() -> None:
    with pytest.raises(NoSuchPage, match=r"no page 3; it has 2"):
        opened(pdf_of((72, 72), (72, 72)), 3)


def test_broken_pdf() -> None:
    with pytest.raises(DamagedImage, match=r"sheet.*PDF is cut short"):
        opened(b"%PDF-1.7\nnothing more")


def test_cancel() -> None:
    class Stop:
        def advance(self, stage: str, share: float) -> None: ...

        def cancelled(self) -> bool:
            return True

    with pytest.raises(Cancelled):
        open_page_bytes(saved(Image.fromarray(drawing()), "PNG"), "sheet", progress=Stop())


@pytest.mark.parametrize("kind", ["PNG", "JPEG", "TIFF", "GIF", "BMP", "WEBP", "PDF"])
def test_damage_anywhere_raises_only_our_errors(kind: str) -> None:
    data = saved(Image.fromarray(drawing()), kind)
    dice = np.random.default_rng(7)
    for _ in range(60):
        spoiled = bytearray(data)
        for place in dice.integers(0, len(data), 4):
            spoiled[place] = dice.integers(0, 256)
        with contextlib.suppress(TracerError):
            assert opened(bytes(spoiled)).ndim == 2

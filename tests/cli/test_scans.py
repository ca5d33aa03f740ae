"""``tracer nets`` and ``tracer parts`` on a sheet drawn here, and on files that are no sheets."""

from __future__ import annotations

import struct
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from ending import Run
from PIL import Image, ImageDraw

Fits = Callable[[Any, str], None]


@pytest.fixture(scope="module")
def sheet(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two wires that do not touch, one bent, and a third that ends at a resistor's body."""
    image = Image.new("L", (900, 600), 255)
    draw = ImageDraw.Draw(image)
    draw.line([(80, 100), (800, 100), (800, 300)], fill=0, width=3)
    draw.line([(80, 200), (600, 200)], fill=0, width=3)
    draw.line([(80, 420), (300, 420)], fill=0, width=3)
    draw.rectangle((300, 400, 420, 440), outline=0, width=3)
    draw.line([(420, 420), (760, 420)], fill=0, width=3)
    path = tmp_path_factory.mktemp("scan") / "sheet.png"
    image.save(path, dpi=(300, 300))
    return path


POINTS = (
    "name,x,y\nbegin,100,100\nbend,800,250\nother,500,201\nleft,100,420\nright,700,420\nnowhere,700,540\n"
)


@pytest.fixture
def points(tmp_path: Path) -> Path:
    """A table of points on the sheet."""
    path = tmp_path / "points.csv"
    path.write_text(POINTS, "utf-8")
    return path


def test_nets_tells_which_points_are_joined(run: Run, fits: Fits, sheet: Path, points: Path) -> None:
    ended = run("nets", sheet, "--points", points, "--json")
    assert ended.code == 0, ended.err
    fits(ended.json, "nets.schema.json")
    on = {point["name"]: point["conductor"] for point in ended.json["points"]}
    assert on["begin"] == on["bend"] is not None
    assert on["other"] not in (None, on["begin"])
    assert on["nowhere"] is None
    assert max(filter(None, on.values())) <= ended.json["conductors"]


def test_a_body_given_by_hand_divides_a_conductor(
    run: Run, sheet: Path, points: Path, tmp_path: Path
) -> None:
    parts = tmp_path / "parts.csv"
    parts.write_text("x0,y0,x1,y1,kind\n298,398,423,443,resistor\n", "utf-8")
    ended = run("nets", sheet, "--points", points, "--parts", parts, "--json")
    assert ended.code == 0, ended.err
    on = {point["name"]: point["conductor"] for point in ended.json["points"]}
    assert on["left"] is not None
    assert on["right"] is not None
    assert on["left"] != on["right"]


def test_nets_prints_a_table(run: Run, sheet: Path, points: Path) -> None:
    ended = run("nets", sheet, "--points", points)
    lines = ended.out.splitlines()
    assert lines[0].split() == ["point", "x", "y", "conductor"]
    assert "none here" in next(line for line in lines if line.startswith("nowhere"))
    assert lines[-1].endswith("conductors on page 1 of sheet.png.")


def test_parts_answers_with_proposals(run: Run, fits: Fits, sheet: Path) -> None:
    ended = run("parts", sheet, "--json")
    assert ended.code == 0, ended.err
    fits(ended.json, "parts.schema.json")
    plain = run("parts", sheet)
    number = len(ended.json["parts"])
    assert f"{number} part{'' if number == 1 else 's'} proposed" in plain.out


def _png_header(width: int, height: int) -> bytes:
    """A PNG (ISO/IEC 15948) that claims a size and holds no pixels to speak of."""
    chunks = [
        (b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)),
        (b"IDAT", zlib.compress(b"\0")),
    ]
    body = b"".join(
        struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        for kind, data in [*chunks, (b"IEND", b"")]
    )
    return b"\x89PNG\r\n\x1a\n" + body


BAD = {
    "nothing in it": (b"", 12, "EmptyFile"),
    "a text": (b"dear reader, this is no picture\n" * 40, 10, "NotAnImage"),
    "a header of a huge page": (_png_header(200_000, 200_000), 13, "TooLarge"),
    "cut short": (_png_header(300, 300), 11, "DamagedImage"),
    "a broken PDF": (b"%PDF-1.7\nnothing follows\n", 11, "DamagedImage"),
}


@pytest.mark.parametrize("command", ["nets", "parts"])
@pytest.mark.parametrize("case", BAD)
def test_bad_files_are_refused(run: Run, fits: Fits, tmp_path: Path, command: str, case: str) -> None:
    content, code, kind = BAD[case]
    path = tmp_path / "scan.png"
    path.write_bytes(content)
    ended = run(command, path, "--json")
    assert (ended.code, ended.json["error"]["kind"]) == (code, kind)
    fits(ended.json, "error.schema.json")
    assert "scan.png" in ended.json["error"]["message"]
    assert "Traceback" not in ended.err


def test_a_missing_scan(run: Run, tmp_path: Path) -> None:
    ended = run("nets", tmp_path / "absent.png")
    assert ended.code == 3
    assert "absent.png" in ended.err


def test_a_page_that_is_not_there(run: Run, sheet: Path) -> None:
    assert run("parts", sheet, "--page", 7).code == 14


TABLES = {
    "another heading": ("label,left,top\nA,1,2\n", "line 1"),
    "a heading too few": ("name,x\nA,1\n", "y is missing"),
    "no number": ("name,x,y\nA,1,2\nB,left,2\n", "line 3"),
    "not finite": ("name,x,y\nA,nan,2\n", "line 2"),
    "a short row": ("name,x,y\nA,1\n", "y is empty"),
}


def test_tables_may_lack_their_heading(run: Run, sheet: Path, tmp_path: Path) -> None:
    bare, headed = tmp_path / "bare.csv", tmp_path / "headed.csv"
    bare.write_text("A,10,12\nB,30,5.5\n", "utf-8")
    headed.write_text("name,x,y\nA,10,12\nB,30,5.5\n", "utf-8")
    assert (
        run("nets", sheet, "--points", bare, "--json").out
        == run("nets", sheet, "--points", headed, "--json").out
    )


def test_a_body_of_a_kind_that_is_not_ours_still_counts(run: Run, sheet: Path, tmp_path: Path) -> None:
    bodies = tmp_path / "bodies.csv"
    bodies.write_text("x0,y0,x1,y1,kind\n1,1,9,9,ground\n", "utf-8")
    ended = run("nets", sheet, "--parts", bodies)
    assert ended.code == 0
    assert "'ground' (1)" in ended.err


@pytest.mark.parametrize("case", TABLES)
def test_bad_tables_of_points(run: Run, sheet: Path, tmp_path: Path, case: str) -> None:
    text, told = TABLES[case]
    path = tmp_path / "table.csv"
    path.write_text(text, "utf-8")
    ended = run("nets", sheet, "--points", path)
    assert ended.code == 26
    assert told in ended.err


@pytest.mark.parametrize("row", ["10,10,10,40,resistor", "10,10,40,high,resistor"])
def test_bad_tables_of_parts(run: Run, sheet: Path, tmp_path: Path, row: str) -> None:
    path = tmp_path / "table.csv"
    path.write_text(f"x0,y0,x1,y1,kind\n{row}\n", "utf-8")
    ended = run("nets", sheet, "--parts", path)
    assert ended.code == 26
    assert "line 2" in ended.err


def test_a_missing_table(run: Run, sheet: Path, tmp_path: Path) -> None:
    assert run("nets", sheet, "--points", tmp_path / "absent.csv").code == 3

"""Lettering found and read on drawn pages."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from drawn_lettering import LetteredPage

from tracer.errors import WeightsDamaged
from tracer.reader import letters
from tracer.reader.letters import read_lettering
from tracer.reader.letters_glyphs import Glyphs, find_glyphs, grid_ink
from tracer.reader.letters_lines import FoundWord, find_words, words_in_lines
from tracer.reader.letters_network import load_letters
from tracer.reader.letters_points import with_points
from tracer.reader.text_line import Sign, TextLine, lines_from_bytes, lines_to_bytes
from tracer.resources import asset
from tracer.scan.level import level


def _found(page: LetteredPage) -> list[tuple[tuple[int, int, int, int], bool]]:
    layers = page.layers()
    return [
        (word.box, word.turned)
        for word in find_words(find_glyphs(grid_ink(level(page.grey), layers), layers))
    ]


def _texts(lines: tuple[TextLine, ...]) -> set[str]:
    return {line.text for line in lines}


def test_a_reference_and_the_value_below_it_are_two_words() -> None:
    page = LetteredPage()
    page.letter("R12", 100, 100)
    page.letter("470k", 100, 127)
    words = sorted(_found(page), key=lambda word: word[0][1])
    assert [turned for _, turned in words] == [False, False]
    assert words[0][0][3] <= words[1][0][1]


def test_turned_lettering_is_one_word_and_a_column_of_pins_is_not() -> None:
    page = LetteredPage()
    page.letter("VOLUME", 60, 300, up=True)
    for row, pin in enumerate("12345"):
        page.letter(pin, 400, 80 + 45 * row)
    turned = [box for box, is_turned in _found(page) if is_turned]
    assert len(turned) == 1
    assert turned[0][2] < 100
    assert len(_found(page)) == 6


def test_two_references_close_together_are_two_words() -> None:
    page = LetteredPage()
    page.letter("R55", 100, 100)
    page.letter("D61", 159, 104)
    page.letter("VR17", 400, 100)
    words = [word.text for line in read_lettering(page.page(), page.layers()) for word in line.words]
    assert sorted(words) == ["D61", "R55", "VR17"]


def test_words_on_one_base_line_are_one_line_and_far_ones_are_not() -> None:
    page = LetteredPage()
    page.letter("10H", 100, 100)
    page.letter("220R", 160, 100)
    page.letter("C9", 400, 100)
    layers = page.layers()
    lines = words_in_lines(find_words(find_glyphs(grid_ink(level(page.grey), layers), layers)))
    assert sorted(len(line) for line in lines) == [1, 2], [[word.box for word in line] for line in lines]


def test_bare_paper_and_specks_hold_no_words() -> None:
    page = LetteredPage()
    assert _found(page) == []
    page.grey[50:52, 60:62] = 0
    page.classes[50:52, 60:62] = 5
    assert read_lettering(page.page(), page.layers()) == ()


@pytest.mark.parametrize("scale", [1.0, 2.0])
def test_texts_are_read_wherever_they_stand(scale: float) -> None:
    wanted = ["R12", "470k", "C14", "V3", "2k2", "HT1", "330", "SK1", "R8", "100k"]
    page = LetteredPage()
    for row, text in enumerate(wanted):
        page.letter(text, 60 + 260 * (row % 2), 60 + 65 * (row // 2))
    lines = read_lettering(page.page(), page.layers(scale))
    assert len(_texts(lines) & set(wanted)) >= 9
    for line in lines:
        (x0, y0), _, (x1, y1), _ = line.box
        assert 0 <= line.confidence <= 1
        assert 12 < y1 - y0 < 30 > line.height
        assert (page.grey[int(y0) : int(y1), int(x0) : int(x1)] < 128).any()


def test_turned_lettering_is_read_upwards() -> None:
    page = LetteredPage()
    page.letter("VR17", 100, 300, up=True)
    (line,) = read_lettering(page.page(), page.layers())
    assert line.text == "VR17"
    assert line.angle == pytest.approx(-90, abs=1)
    assert line.box[0][1] > line.box[1][1]


def test_letters_that_a_wire_touches_are_read() -> None:
    page = LetteredPage()
    page.letter("R33", 100, 100, scale=1.0)
    page.wire((20, 103), (300, 103))
    (line,) = read_lettering(page.page(), page.layers())
    assert line.text == "R33"


@pytest.mark.parametrize("kind", ["resistor", "block"])
def test_lettering_inside_a_body_is_read_and_apart_from_that_outside(kind: str) -> None:
    page = LetteredPage()
    page.letter("470k", 103, 100)
    page.box(95, 75, 175, 108, kind)
    page.letter("13", 180, 100)
    page.letter("R33", 103, 65)
    assert _texts(read_lettering(page.page(), page.layers())) == {"470k", "13", "R33"}


def test_a_bodys_own_strokes_are_no_lettering() -> None:
    page = LetteredPage()
    page.letter("IC1", 103, 65)
    page.grey[88:91, 120:150] = 0
    page.grey[94:97, 120:150] = 0
    page.box(95, 75, 175, 108, "capacitor")
    assert _texts(read_lettering(page.page(), page.layers())) == {"IC1"}


def _signs(text: str) -> tuple[Sign, ...]:
    return tuple(Sign(sign, 0.9, (number + 0.5) / len(text)) for number, sign in enumerate(text))


@pytest.mark.parametrize(
    ("read_as", "boxes", "expected"),
    [
        ("1", [(0, 16, 4, 20), (10, 0, 14, 20)], ".1"),
        ("25", [(0, 16, 4, 20), (8, 0, 20, 20), (24, 0, 36, 20)], ".25"),
        ("22", [(0, 0, 12, 20), (15, 16, 19, 20), (24, 0, 36, 20)], "2.2"),
        (".1", [(0, 16, 4, 20), (10, 0, 14, 20)], ".1"),
        ("25", [(0, 2, 4, 6), (8, 0, 20, 20), (24, 0, 36, 20)], "25"),
        ("25", [(8, 0, 20, 20), (24, 0, 36, 20), (40, 16, 44, 20)], "25"),
        ("R1", [(0, 16, 4, 20), (8, 0, 20, 20), (24, 0, 28, 20)], "R1"),
    ],
)
def test_a_point_that_was_passed_over_is_put_in(
    read_as: str, boxes: list[tuple[int, int, int, int]], expected: str
) -> None:
    labels = np.zeros((1, 1), np.int32)
    glyphs = Glyphs(labels, np.array(boxes, np.int32), 20.0, 4.0, np.zeros(len(boxes), np.int32))
    around = (min(box[0] for box in boxes), 0, max(box[2] for box in boxes), 20)
    word = FoundWord(tuple(range(1, len(boxes) + 1)), around, False)
    found = with_points(word, _signs(read_as), glyphs)
    assert "".join(sign.text for sign in found) == expected
    if len(expected) > len(read_as):
        assert min(sign.confidence for sign in found) < 0.7, "it says that it is not sure"


def test_a_speck_before_a_number_makes_it_unsure() -> None:
    boxes = np.array([(0, 18, 2, 20), (8, 0, 20, 20), (24, 0, 36, 20)], np.int32)
    glyphs = Glyphs(np.zeros((1, 1), np.int32), boxes, 20.0, 4.0, np.zeros(3, np.int32))
    found = with_points(FoundWord((1, 2, 3), (0, 0, 36, 20), False), _signs("25"), glyphs)
    assert "".join(sign.text for sign in found) == "25"
    assert min(sign.confidence for sign in found) < 0.5


def test_each_sign_tells_its_chance_and_its_place() -> None:
    page = LetteredPage()
    page.letter("R12", 100, 100)
    (line,) = read_lettering(page.page(), page.layers())
    (word,) = line.words
    assert line.raw == word.text == "".join(sign.text for sign in word.signs)
    places = [sign.place for sign in word.signs]
    assert places == sorted(places)
    assert line.confidence == min(sign.confidence for sign in word.signs)
    assert lines_from_bytes(lines_to_bytes([line])) == (line,)


def test_without_weights_nothing_is_read(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    assert load_letters(tmp_path / "none.onnx", tmp_path / "none.json") is None
    monkeypatch.setattr(letters, "_installed", lambda: None)
    page = LetteredPage()
    page.letter("R12", 100, 100)
    assert read_lettering(page.page(), page.layers()) == ()


def test_weights_of_another_card_are_refused(tmp_path: Path) -> None:
    model = tmp_path / "letters.onnx"
    model.write_bytes(asset("letters.onnx").read_bytes() + b"\0")
    with pytest.raises(WeightsDamaged):
        load_letters(model, asset("letters.json"))


def test_the_same_page_reads_the_same_twice() -> None:
    page = LetteredPage()
    page.letter("C4a 16u", 100, 100)
    first, second = (read_lettering(page.page(), page.layers()) for _ in range(2))
    assert first == second
    assert np.all(page.grey.shape == (400, 700))


def test_lines_whose_letters_touch_are_read_apart() -> None:
    page = LetteredPage()
    for row in range(3):
        page.letter(f"R5{row + 2}", 100 + 180 * row, 100)
        page.letter("330k", 100 + 180 * row, 121)
        for x in (104, 130):
            page.grey[94:106, x + 180 * row : x + 2 + 180 * row] = 0
            page.classes[94:106, x + 180 * row : x + 2 + 180 * row] = 5
    words = {word.text for line in read_lettering(page.page(), page.layers()) for word in line.words}
    assert {"R52", "R53", "R54", "330k"} <= words


def test_what_else_a_word_may_say_is_kept_with_it() -> None:
    page = LetteredPage()
    page.letter("R12", 100, 100)
    (line,) = read_lettering(page.page(), page.layers())
    (word,) = line.words
    texts = dict(word.texts)
    assert max(texts, key=lambda text: texts[text]) == word.text == "R12"
    assert 0.5 < sum(texts.values()) <= 1.001


def test_a_page_finer_than_the_grid_is_read_from_its_own_pixels() -> None:
    page = LetteredPage()
    page.letter("R12", 100, 100)
    page.letter("470k", 300, 100)
    assert _texts(read_lettering(page.page(), page.layers(0.5))) == {"R12", "470k"}


def test_a_letter_that_was_taken_for_a_ganging_line_is_read_with_its_word() -> None:
    page = LetteredPage()
    page.letter("S2a", 100, 100)
    page.letter("R33", 300, 100)
    columns = np.nonzero((page.grey[80:104, 116:134] < 128).any(axis=0))[0] + 116
    page.classes[76:106, columns[0] : columns[-1] + 1][
        page.classes[76:106, columns[0] : columns[-1] + 1] > 0
    ] = 6
    assert "S2a" in _texts(read_lettering(page.page(), page.layers()))

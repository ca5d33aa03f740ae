"""The lines that the recogniser of lettering learns from, and the file it is kept in."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from tracer.training.letters_draw import BUILT_IN, FREEHAND, HEIGHT, STENCIL, WIDTH, draw_line, signs_of
from tracer.training.letters_forms import FORMS
from tracer.training.letters_hand import freehand_strokes, random_hand
from tracer.training.letters_text import ALPHABET, LONGEST, random_text


@pytest.mark.parametrize("face", [BUILT_IN, STENCIL, FREEHAND])
def test_a_line_is_drawn_whole_on_its_strip_in_signs_that_its_face_has(face: str) -> None:
    rng = np.random.default_rng(3)
    for _ in range(40):
        line = draw_line(rng, (face,), other_forms=0.5)
        assert line.image.shape == (HEIGHT, WIDTH)
        assert line.image.dtype == np.uint8
        assert 0 < len(line.text) <= LONGEST
        assert set(line.text) <= signs_of(face)
        assert (line.image < 128).any()
        assert (line.image[:, -1] == 255).all(), "bare paper at the right end"


def test_the_same_seed_draws_the_same_line() -> None:
    one, two = (draw_line(np.random.default_rng(5), (FREEHAND,)) for _ in range(2))
    assert one.text == two.text
    assert (one.image == two.image).all()


def test_a_writer_keeps_his_forms_and_writes_from_left_to_right() -> None:
    rng = np.random.default_rng(8)
    hand = random_hand(rng)
    strokes = freehand_strokes("R", hand, rng)
    assert len(strokes) >= len(hand.forms["R"].split("/"))
    middles = []
    for text in ("R", "RR", "RRR", "RRRR"):
        pieces = freehand_strokes(text, hand, rng)
        middles.append(max(float(points[:, 0].max()) for points, _ in pieces))
        assert all(width > 0 for _, width in pieces)
    assert middles == sorted(middles)


def test_each_sign_that_is_lettered_by_hand_has_forms_on_the_grid() -> None:
    assert set("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZknpuµΩ.,+-/") <= set(FORMS) <= set(ALPHABET)
    for ways in FORMS.values():
        for way in ways:
            for pair in way.replace("/", " ").split():
                assert len(pair) == 2
                assert 0 <= int(pair[0]) <= 5
                assert 0 <= int(pair[1]) <= 8


def test_made_up_texts_keep_to_the_alphabet() -> None:
    rng = np.random.default_rng(0)
    texts = [random_text(rng) for _ in range(500)]
    assert all(0 < len(text) <= LONGEST and set(text) <= set(ALPHABET) for text in texts)
    assert len(set(texts)) > 250


def test_weights_kept_in_half_precision_give_the_same_answers(tmp_path: Path) -> None:
    torch = pytest.importorskip("torch")
    pytest.importorskip("onnx")
    import onnxruntime

    from tracer.training.letters_export import export_letters
    from tracer.training.letters_network import LettersNetwork, LettersReadout

    torch.manual_seed(0)
    network = LettersNetwork().eval()
    path = export_letters(network, tmp_path, {"seed": 0})
    strips = np.random.default_rng(0).random((3, 1, 32, 96), np.float32)
    session = onnxruntime.InferenceSession(str(path), providers=["CPUExecutionProvider"])
    (found,) = session.run(["chances"], {"strips": strips})
    with torch.no_grad():
        whole = LettersReadout(network)(torch.from_numpy(strips)).numpy()
    assert found.shape == (3, 48, 1 + len(ALPHABET))
    assert np.abs(found - whole).max() < 5e-3
    assert path.stat().st_size < 1.6e6


def test_spoiling_keeps_the_strips_size_and_range_and_leaves_lettering_to_be_read() -> None:
    torch = pytest.importorskip("torch")
    from tracer.training.letters_spoil import spoil_lines

    torch.manual_seed(0)
    rng = np.random.default_rng(0)
    lines = torch.from_numpy(np.stack([draw_line(rng, (STENCIL,)).image for _ in range(40)]))
    for _ in range(4):
        strips, widths = spoil_lines(lines)
        assert tuple(strips.shape) == (40, 1, 32, 320)
        assert 8 < int(widths.min()) <= int(widths.max()) <= 320
        assert 0.0 <= float(strips.min()) <= float(strips.max()) <= 1.0
        dark = (1 - strips[:, 0, :, :40]).mean()
        bare = (1 - strips[:, 0, :, 280:]).mean()
        assert float(dark) > 2 * float(bare), "there is more ink where the lettering is"

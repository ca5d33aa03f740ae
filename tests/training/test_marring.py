"""What the accelerator does to tiles: each trouble keeps the range, and lost strokes are not asked about."""

import numpy as np
import pytest

torch = pytest.importorskip("torch")

from tracer.training import marring  # noqa: E402
from tracer.training.augment import Tiles, cut_tiles, forget_lost  # noqa: E402
from tracer.training.classes import BODY, UNKNOWN, WIRE  # noqa: E402

TROUBLES = ("dotted", "fattened", "faxed", "gutter", "one_bit", "ringing", "screened", "squared", "thinned")


def lines(count: int = 6, size: int = 96) -> "torch.Tensor":
    page = torch.ones(count, 1, size, size)
    page[:, :, 20::24, :] = 0.0
    page[:, :, 21::24, :] = 0.0
    page[:, :, :, 30:34] = 0.0
    return page


@pytest.mark.parametrize("name", TROUBLES)
@pytest.mark.parametrize("size", [96, 100, 141])
def test_a_trouble_keeps_shape_and_range(name: str, size: int) -> None:
    torch.manual_seed(3)
    page = 0.9 * lines(size=size) + 0.05
    marred = getattr(marring, name)(page)
    assert marred.shape == page.shape
    assert marred.dtype == page.dtype
    assert marred.min() >= 0
    assert marred.max() <= 1
    assert not torch.equal(marred, page)


def test_one_bit_is_black_or_white_at_its_own_fineness() -> None:
    torch.manual_seed(1)
    values = {tuple(torch.unique(marring.one_bit(lines() * 0.9)).tolist()) for _ in range(8)}
    assert (0.0, 1.0) in values


def test_fattened_strokes_are_wider_and_thinned_ones_paler() -> None:
    torch.manual_seed(1)
    assert marring.fattened(lines()).mean() < lines().mean()
    assert marring.thinned(lines()).mean() > lines().mean()


def test_ringing_is_what_an_encoder_of_that_table_leaves() -> None:
    """Against Pillow's own JPEG, whose tables at quality 50 are those of ITU-T T.81 annex K."""
    import io

    from PIL import Image

    torch.manual_seed(0)
    page = lines(1)
    store = io.BytesIO()
    Image.fromarray((page[0, 0].numpy() * 255).astype(np.uint8)).save(store, "JPEG", quality=50)
    told = np.asarray(Image.open(store).convert("L"), dtype=np.float64) / 255
    steady = pytest.MonkeyPatch()
    steady.setattr(marring, "rand", lambda count, low, high, like: torch.ones(count))
    mine = marring.ringing(page)[0, 0].numpy()
    steady.undo()
    assert np.abs(mine - told).max() < 0.02


def test_some_spares_most() -> None:
    torch.manual_seed(2)
    page = lines(40)
    changed = (marring.some(page, 0.2, marring.fattened) != page).flatten(1).any(dim=1)
    assert 6 <= int(changed.sum()) <= 10


def test_strokes_without_a_trace_are_not_asked_about() -> None:
    page = lines(1)
    classes = torch.where(page[:, 0] < 0.5, WIRE, 0).long()
    classes[:, :, 30:34] = BODY
    spoilt = page.clone()
    spoilt[:, :, 44:46, 40:] = 1.0  # a long stretch gone
    spoilt[:, :, 68:70, 60:66] = 1.0  # a short break
    told = forget_lost(Tiles(page, classes, classes[:, ::4, ::4]), spoilt).classes
    assert (told[0, 44:46, 56:90] == UNKNOWN).all()
    assert (told[0, 68:70, 60:66] == WIRE).all()
    assert (told[0, 20:22, 40:] == WIRE).all()
    assert (told[0, :, 31:33] == BODY).all()


def test_a_seam_moves_picture_and_truth_alike() -> None:
    torch.manual_seed(5)
    images = torch.full((1, 400, 400), 255, dtype=torch.uint8)
    images[:, ::20] = images[:, 1::20] = images[:, 2::20] = 0
    classes = (images == 0).to(torch.uint8) * WIRE
    tiles = cut_tiles(images, classes, torch.zeros((1, 100, 100), dtype=torch.uint8), 64, 128)
    known = tiles.classes != UNKNOWN
    agree = ((tiles.images[:, 0] < 0.5) == (tiles.classes == WIRE))[known].float().mean()
    assert agree > 0.93

"""Train the recogniser of lettering: ``python -m tracer.training.letters_train --fonts DIR --out DIR``.

Writes to DIR: ``letters.onnx``, its card ``letters.json`` and ``letters.pt`` to go on from.
"""

from __future__ import annotations

import argparse
import copy
import json
import math
import time
from pathlib import Path
from typing import Any

import torch
from torch import Tensor, nn
from torch.nn import functional

from tracer.training.letters_draw import BUILT_IN, FREEHAND, STENCIL, font_files
from tracer.training.letters_export import export_letters
from tracer.training.letters_network import LettersNetwork
from tracer.training.letters_pool import LinePool
from tracer.training.letters_store import StripStore

__all__ = ["main", "mixed_faces"]

_STENCIL_SHARE = 0.22
_FREEHAND_SHARE = 0.28
_SAVED_EVERY = 60.0  # s
_SETTLED = 0.75  # part of the time after which batches are no longer normalised each by itself
_MOMENTUM = 0.01  # of the means and variances that the recogniser is read with


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tracer.training.letters_train", description=__doc__)
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--fonts", type=Path, required=True, help="folder of faces to draw with")
    parser.add_argument(
        "--other-forms", type=float, default=0.6, help="share of hand-lettered lines with them"
    )
    parser.add_argument("--fonts-from", default="", help="where the faces came from, for the card")
    parser.add_argument("--minutes", type=float, default=2.5, help="time to train for, drawing included")
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--start", type=Path, help="weights (letters.pt) to go on from")
    parser.add_argument("--workers", type=int, default=12)
    parser.add_argument("--lines", type=int, default=120_000, help="drawn lines held in memory")
    parser.add_argument("--batch", type=int, default=640, help="a multiple of 10")
    parser.add_argument("--rate", type=float, default=2.5e-3)
    parser.add_argument("--dealt", type=int, default=5, help="how often a spoilt line is learned from")
    return parser.parse_args()


def _loss(network: LettersNetwork, strips: Tensor, signs: Tensor, device: str) -> Tensor:
    with torch.autocast(device, dtype=torch.bfloat16, enabled=device == "cuda"):
        scores = network(1.0 - strips)
    chances = functional.log_softmax(scores.float(), dim=2).transpose(0, 1)
    lengths = (signs > 0).sum(dim=1)
    frames = torch.full_like(lengths, chances.shape[0])
    return functional.ctc_loss(chances, signs.long(), frames, lengths, zero_infinity=True)


def _share(part: float) -> float:
    """Learning rate at `part` of the time, as a share of the highest: a short rise, then half a cosine."""
    return part / 0.05 if part < 0.05 else 0.5 * (1 + math.cos(math.pi * (part - 0.05) / 0.95)) + 1e-3


def mixed_faces(printed: tuple[str, ...]) -> tuple[str, ...]:
    """Add the stencil and the freehand to printed faces as often as gives each its share of the lines.

    Examples
    --------
    >>> [mixed_faces(("a",) * 50).count(face) for face in ("a", STENCIL, FREEHAND)]
    [50, 22, 28]
    """
    whole = len(printed) / (1 - _STENCIL_SHARE - _FREEHAND_SHARE)
    return (
        *printed,
        *(STENCIL,) * round(_STENCIL_SHARE * whole),
        *(FREEHAND,) * round(_FREEHAND_SHARE * whole),
    )


def _run(options: argparse.Namespace, device: str) -> tuple[LettersNetwork, dict[str, Any]]:
    torch.manual_seed(options.seed)
    start = time.monotonic()
    printed = (BUILT_IN, *font_files(options.fonts))
    pool = LinePool(options.lines, options.workers, options.seed, mixed_faces(printed), options.other_forms)
    network = _begin(options.start, device)
    pool.wait(min(options.lines // 2, 20 * options.batch))
    store = StripStore(pool, options.batch, device, options.dealt)
    if device == "cuda":
        _lay_out(network, *store.deal(options.batch), device)
    print(f"first lines after {time.monotonic() - start:.0f} s", flush=True)
    steady, steps = _learn(network, store, options, device, start)
    drawn = pool.drawn
    pool.close()
    return steady, {
        "steps": steps,
        "lines_drawn": drawn,
        "lines_read": steps * options.batch,
        "seconds": round(60 * options.minutes),
        "faces": [Path(face).stem for face in printed],
        "share_stencil": _STENCIL_SHARE,
        "share_freehand": _FREEHAND_SHARE,
    }


def _begin(weights: Path | None, device: str) -> LettersNetwork:
    network: LettersNetwork = LettersNetwork().to(device)
    for module in network.modules():
        if isinstance(module, nn.BatchNorm2d):
            module.momentum = _MOMENTUM
    if weights is not None:
        network.load_state_dict(torch.load(weights, map_location=device, weights_only=True))
    return network


def _learn(
    network: LettersNetwork, store: StripStore, options: argparse.Namespace, device: str, start: float
) -> tuple[LettersNetwork, int]:
    """Train until the time since `start` is over; gives the steady mean of the weights, and the steps."""
    steady = copy.deepcopy(network)
    optimiser = torch.optim.AdamW(network.parameters(), lr=options.rate, weight_decay=0.01)
    began = time.monotonic() - start
    seconds, steps, shown, saved, settled = 60 * options.minutes, 0, 0.0, 0.0, False
    while (now := time.monotonic() - start) < seconds:
        part = (now - began) / (seconds - began)
        for group in optimiser.param_groups:
            group["lr"] = options.rate * _share(part)
        if part > _SETTLED and not settled:
            settled = True
            _settle(network)
        loss = _loss(network, *store.deal(options.batch), device)
        optimiser.zero_grad(set_to_none=True)
        loss.backward()  # type: ignore[no-untyped-call]
        torch.nn.utils.clip_grad_norm_(network.parameters(), 1.0)
        optimiser.step()
        steps += 1
        _follow(steady, network, min(0.998, steps / (steps + 20)))
        if now - shown > 10:
            shown = now
            print(f"{now:5.0f} s  step {steps}  loss {loss.item():.4f}", flush=True)
        if now - saved > _SAVED_EVERY:
            saved = now
            _save(steady, options.out)
    return steady, steps


def _settle(network: LettersNetwork) -> None:
    """Learn from now on with the means and variances that the recogniser will be read with.

    Batches are of one width each, and so not quite alike.
    """
    for module in network.modules():
        if isinstance(module, nn.BatchNorm2d):
            module.eval()


def _lay_out(network: LettersNetwork, strips: Tensor, signs: Tensor, device: str) -> None:
    """Keep the network's numbers in the order in which this card is faster."""
    seconds = {}
    for order in (torch.contiguous_format, torch.channels_last):
        network.to(memory_format=order)  # type: ignore[call-overload]
        for turn in range(12):
            if turn == 4:  # the first few choose their algorithms
                torch.cuda.synchronize()
                start = time.monotonic()
            _loss(network, strips, signs, device).backward()  # type: ignore[no-untyped-call]
        torch.cuda.synchronize()
        seconds[order] = time.monotonic() - start
        network.zero_grad(set_to_none=True)
    print({str(order): round(took / 8, 4) for order, took in seconds.items()}, flush=True)
    network.to(memory_format=min(seconds, key=lambda order: seconds[order]))  # type: ignore[call-overload]


@torch.no_grad()
def _follow(steady: LettersNetwork, network: LettersNetwork, keep: float) -> None:
    """Move the steady copy a little towards the network."""
    for mine, theirs in zip(steady.state_dict().values(), network.state_dict().values(), strict=True):
        if mine.is_floating_point():
            mine.lerp_(theirs, 1 - keep)


def _save(network: LettersNetwork, folder: Path) -> None:
    torch.save({key: value.cpu() for key, value in network.state_dict().items()}, folder / "letters.pt")


def main() -> None:
    """Train and export."""
    options = _arguments()
    device = "cuda" if torch.cuda.is_available() else "cpu"
    torch.backends.cuda.matmul.allow_tf32 = True
    torch.backends.cudnn.benchmark = True
    options.out.mkdir(parents=True, exist_ok=True)
    network, run = _run(options, device)
    _save(network, options.out)
    where = torch.cuda.get_device_name(0) if device == "cuda" else "processor only"
    command = (
        f"python -m tracer.training.letters_train --fonts FONTS --out DIR --minutes {options.minutes:g}"
        f" --seed {options.seed} --batch {options.batch} --rate {options.rate:g}"
        f" --other-forms {options.other_forms:g}"
    )
    if options.start is not None:
        command += " --start FIRST/letters.pt"
    export_letters(
        network.cpu().eval(),
        options.out,
        {
            "command": command,
            "fonts_from": options.fonts_from,
            "seed": options.seed,
            "made_on": where,
            "torch": torch.__version__,
            "run": run,
        },
    )
    print(json.dumps({key: value for key, value in run.items() if key != "faces"}), flush=True)


if __name__ == "__main__":
    main()

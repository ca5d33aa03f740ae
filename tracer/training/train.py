"""Train the reader: ``python -m tracer.training.train --out DIR --minutes M --seed S``.

Writes to DIR: ``reader.onnx``, its card ``reader.json`` and the weights ``reader.pt`` to go on from.
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
from torch.nn import functional

from tracer.training.augment import Tiles, blacken, cut_tiles, forget_lost, spoil_tiles
from tracer.training.classes import UNKNOWN
from tracer.training.export import export_reader
from tracer.training.measure import measure
from tracer.training.network import ReaderNetwork
from tracer.training.pool import SheetPool

__all__ = ["main"]

# Thin and rare classes count for more: a missed dot or crossing costs a join.
_CLASS_WEIGHTS = (1.0, 1.8, 3.5, 3.5, 1.2, 1.2, 1.6)


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tracer.training.train", description=__doc__)
    parser.add_argument("--out", type=Path, required=True, help="folder for the reader, its card and weights")
    parser.add_argument("--minutes", type=float, default=8.0, help="time to train for, drawing included")
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--start", type=Path, help="weights (reader.pt) to go on from")
    parser.add_argument("--workers", type=int, default=15, help="processes that draw sheets")
    parser.add_argument("--sheets", type=int, default=2400, help="drawn sheets held in memory")
    parser.add_argument("--sheet-size", type=int, default=1024, help="px")
    parser.add_argument("--tile", type=int, default=352, help="px, a multiple of 32")
    parser.add_argument("--batch", type=int, default=64)
    parser.add_argument("--rate", type=float, default=3e-3, help="highest learning rate")
    parser.add_argument(
        "--measure", type=int, default=24, help="sheets to measure on at each level; 0 for none"
    )
    return parser.parse_args()


def _loss(network: ReaderNetwork, tiles: Tiles, weights: torch.Tensor) -> torch.Tensor:
    spoilt = spoil_tiles(tiles.images)
    tiles = forget_lost(tiles, spoilt)
    scores, kinds = network(spoilt.contiguous(memory_format=torch.channels_last))
    flat = functional.cross_entropy(
        scores.float(), tiles.classes, weight=weights, ignore_index=UNKNOWN, label_smoothing=0.01
    )
    named = functional.cross_entropy(kinds.float(), tiles.kinds, ignore_index=UNKNOWN, reduction="none")
    body = torch.where(tiles.kinds > 0, 1.0, 0.25) * (tiles.kinds != UNKNOWN)
    total: torch.Tensor = flat + 0.25 * (named * body).sum() / body.sum().clamp(min=1.0)
    return total


def _rate(part: float) -> float:
    """Learning rate at `part` of the time, as a share of the highest: a short rise, then half a cosine."""
    rise = 0.06
    return part / rise if part < rise else 0.5 * (1 + math.cos(math.pi * (part - rise) / (1 - rise))) + 1e-3


def _run(options: argparse.Namespace, device: str) -> tuple[ReaderNetwork, dict[str, Any]]:
    torch.manual_seed(options.seed)
    start = time.monotonic()
    pool = SheetPool(options.sheets, options.sheet_size, options.workers, options.seed)
    network = ReaderNetwork().to(device, memory_format=torch.channels_last)  # type: ignore[call-overload]
    if options.start is not None:
        network.load_state_dict(torch.load(options.start, map_location=device, weights_only=True))
    steady = copy.deepcopy(network)
    decay = [p for p in network.parameters() if p.ndim > 1]
    plain = [p for p in network.parameters() if p.ndim <= 1]
    optimiser = torch.optim.AdamW(
        [{"params": decay, "weight_decay": 0.02}, {"params": plain, "weight_decay": 0.0}], lr=options.rate
    )
    weights = torch.tensor(_CLASS_WEIGHTS, device=device)
    pool.wait(min(options.sheets, 3 * options.workers + 160))
    print(f"first sheets after {time.monotonic() - start:.0f} s", flush=True)
    held = pool.on(device)
    steps, shown = 0, time.monotonic()
    seconds, began = 60 * options.minutes, time.monotonic() - start
    while (now := time.monotonic() - start) < seconds:
        if steps % 10 == 0:
            held.refresh(first=steps == 0)
        share = _rate((now - began) / (seconds - began))
        for group in optimiser.param_groups:
            group["lr"] = options.rate * share
        tiles = blacken(cut_tiles(*held.ready(), options.batch, options.tile))
        with torch.autocast(device.split(":")[0], dtype=torch.bfloat16):
            loss = _loss(network, tiles, weights)
        optimiser.zero_grad(set_to_none=True)
        loss.backward()  # type: ignore[no-untyped-call]
        torch.nn.utils.clip_grad_norm_(network.parameters(), 2.0)
        optimiser.step()
        steps += 1
        _follow(steady, network, min(0.998, steps / (steps + 20)))
        if time.monotonic() - shown > 15:
            shown = time.monotonic()
            print(f"{now:5.0f} s  step {steps}  loss {loss.item():.4f}  sheets {pool.drawn}", flush=True)
    drawn = pool.drawn
    pool.close()
    run = {"steps": steps, "sheets_drawn": drawn, "tiles": steps * options.batch, "seconds": round(seconds)}
    return steady, run


@torch.no_grad()
def _follow(steady: ReaderNetwork, network: ReaderNetwork, keep: float) -> None:
    """Move the steady copy a little towards the network."""
    mine, theirs = list(steady.state_dict().values()), list(network.state_dict().values())
    floats = [index for index, value in enumerate(mine) if value.is_floating_point()]
    torch._foreach_lerp_([mine[i] for i in floats], [theirs[i] for i in floats], 1 - keep)


def main() -> None:
    """Train, measure, export."""
    options = _arguments()
    device = "cuda" if torch.cuda.is_available() else "cpu"
    torch.backends.cuda.matmul.allow_tf32 = True
    torch.backends.cudnn.benchmark = True
    options.out.mkdir(parents=True, exist_ok=True)
    network, run = _run(options, device)
    network.eval()
    torch.save({k: v.cpu() for k, v in network.state_dict().items()}, options.out / "reader.pt")
    print(json.dumps(run), flush=True)
    figures = measure(network, device, options.measure) if options.measure else {}
    where = torch.cuda.get_device_name(0) if device == "cuda" else "processor only"
    command = (
        f"python -m tracer.training.train --out DIR --minutes {options.minutes:g} --seed {options.seed}"
        f" --tile {options.tile} --batch {options.batch} --rate {options.rate:g}"
    )
    if options.start is not None:
        command += " --start FIRST/reader.pt"
    card = {
        "command": command,
        "seed": options.seed,
        "made_on": where,
        "torch": torch.__version__,
        "run": run,
        "figures": {"pixel_iou_and_kind_share": figures},
    }
    export_reader(network.cpu(), options.out, card)
    for level, values in figures.items():
        print(level, values, flush=True)


if __name__ == "__main__":
    main()

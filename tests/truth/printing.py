"""Summing up what was counted, and printing it as tables."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

from counting import TALLIES, SheetFigures, Tally, add
from sheets import SheetOrder

from tracer.reader.weights import Weights

__all__ = ["by_sheet", "print_changes", "print_tables", "summary", "write_card"]

_FLAGS = (0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95)
_SHORT = {
    "clean": "clean",
    "found": "bodies",
    "kind": "kinds",
    "proposals": "are parts",
    "terminals": "terminals",
    "references": "references",
    "values": "values",
}
_COUNTS = ("split", "merged", "missed", "mends_per_sheet", "mends_to_a_circuit", "doubts_per_sheet", "sheets")


def summary(figures: Mapping[SheetOrder, SheetFigures]) -> dict[str, Any]:
    """Sum up by group and level, ready for JSON: each share as right, of, share and interval."""
    by: dict[tuple[str, str], list[SheetFigures]] = defaultdict(list)
    for order, row in figures.items():
        by[order.group, str(order.level)].append(row)
        by[order.group, "all"].append(row)
    found: dict[str, Any] = {}
    for (group, level), rows in sorted(by.items()):
        found.setdefault(group, {})[level] = _plain(add(rows), per_kind=level == "all")
    return found


def _plain(row: SheetFigures, *, per_kind: bool) -> dict[str, Any]:
    plain: dict[str, Any] = {name: _share(row.tallies[name]) for name in TALLIES}
    plain |= {"split": row.split, "merged": row.merged, "missed": row.missed, "sheets": row.sheets}
    plain["doubts_per_sheet"] = round(row.doubts / max(row.sheets, 1), 1)
    plain["mends_per_sheet"] = round(row.mends / max(row.sheets, 1), 2)
    plain["mends_to_a_circuit"] = round(row.mends_to_a_circuit / max(row.sheets, 1), 2)
    plain["flags"] = [
        {
            "score_below": below,
            "wrong_floods_flagged": _share(_below(row.lowest_wrong, below)),
            "clean_floods_flagged": _share(_below(row.lowest_clean, below)),
            "flags_per_sheet": round(_below(row.scores, below).right / max(row.sheets, 1), 1),
        }
        for below in _FLAGS
    ]
    if per_kind:
        plain["confusion"] = [[*pair, count] for pair, count in row.confusion.most_common()]
    return plain


def _below(scores: Sequence[float], limit: float) -> Tally:
    return Tally(sum(score < limit for score in scores), len(scores))


def _share(tally: Tally) -> dict[str, float]:
    low, high = tally.interval
    return {
        "right": tally.right,
        "of": tally.of,
        "share": round(tally.share, 4),
        "low": round(low, 4),
        "high": round(high, 4),
    }


def print_tables(found: Mapping[str, Any]) -> None:
    """Print the tables: shares in percent with the interval that holds the true one in 95 of 100 cases."""
    for group, levels in found.items():
        heads = " ".join(f"{name:>22}" for name in _SHORT.values())
        print(
            f"\n{group}\n{'level':6} {'sheets':>6} {heads}  split merged missed  mends a sheet  to a circuit"
        )
        for level, row in levels.items():
            cells = " ".join(f"{_cell(row[name]):>22}" for name in _SHORT)
            counts = " ".join(f"{row[name]:6}" for name in ("split", "merged", "missed"))
            print(
                f"{level:6} {row['sheets']:6} {cells} {counts} {row['mends_per_sheet']:14.2f}"
                f" {row['mends_to_a_circuit']:13.2f}"
            )
        every = levels["all"]
        wrong = [(true, said, n) for true, said, n in every["confusion"] if true != said][:12]
        print("  taken for another: " + ", ".join(f"{true} → {said} {n}" for true, said, n in wrong))
        print(
            f"  joins to be looked at first: {every['doubts_per_sheet']} a sheet; on"
            f" {_cell(every['doubted'])} of wrong floods, {_cell(every['doubted clean'])} of clean ones"
        )
        for flag in every["flags"]:
            print(
                f"  joins scored below {flag['score_below']:.2f}: {flag['flags_per_sheet']} a sheet; on"
                f" {_cell(flag['wrong_floods_flagged'])} of wrong floods,"
                f" {_cell(flag['clean_floods_flagged'])} of clean ones"
            )


def _cell(share: Mapping[str, float]) -> str:
    if not share["of"]:
        return "–"
    return (
        f"{100 * share['share']:.1f} [{100 * share['low']:.0f}–{100 * share['high']:.0f}]"
        f" {share['right']:.0f}/{share['of']:.0f}"
    )


def by_sheet(figures: Mapping[SheetOrder, SheetFigures]) -> list[dict[str, Any]]:
    """List every sheet with its counts, ready for JSON."""
    rows = []
    for order, row in sorted(figures.items()):
        facts = {"group": order.group, "name": order.name, "manner": order.manner, "level": order.level}
        counts = {name: [tally.right, tally.of] for name, tally in row.tallies.items()}
        rows.append({**facts, "mends": row.mends, **counts})
    return rows


def print_changes(old: Iterable[Mapping[str, Any]], new: Iterable[Mapping[str, Any]]) -> None:
    """Say on which sheets more or fewer conductors are clean than before."""

    def key(row: Mapping[str, Any]) -> tuple[Any, ...]:
        return row["group"], row["name"], row["manner"], row["level"]

    before = {key(row): row["clean"] for row in old}
    up = down = 0
    for row in new:
        if key(row) in before:
            change = row["clean"][0] - before[key(row)][0]
            up, down = up + max(change, 0), down + max(-change, 0)
            if change:
                print(f"  {change:+d} of {row['clean'][1]:3}  {key(row)}")
    print(f"against the other: {up} conductors gained, {down} lost")


def write_card(card: Path, weights: Weights, which: str, found: Mapping[str, Any]) -> None:
    """Put the sums into the card of the weights, under ``figures.truth_tables``; the rest stays as it is.

    Raises
    ------
    ValueError
        The card is of other weights.
    """
    facts = json.loads(card.read_text(encoding="utf-8"))
    if facts["sha256"] != weights.sha256:
        raise ValueError(
            f"{card} is the card of other weights: {facts['sha256'][:12]}, not {weights.sha256[:12]}"
        )
    groups: dict[str, Any] = {}
    for group, levels in found.items():
        for level, row in levels.items():
            shares = {name: _brief(row[name]) for name in TALLIES if row[name]["of"]}
            counts = {name: row[name] for name in _COUNTS}
            groups.setdefault(group, {})[level] = shares | counts
    facts.setdefault("figures", {})["truth_tables"] = {
        "what": "right / of, and the share with the interval that holds it in 95 of 100 cases (Wilson 1927)",
        "command": f"python tests/truth/tables.py FOLDER --set {which} --card CARD",
        "read_with": {"stroke_px": weights.stroke, "strokes_px": list(weights.strokes)},
        "tallies": dict(TALLIES),
        "groups": groups,
    }
    card.write_text(json.dumps(facts, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")


def _brief(share: Mapping[str, float]) -> str:
    return (
        f"{share['right']:.0f} / {share['of']:.0f}, {share['share']:.3f} ({share['low']:.3f} to"
        f" {share['high']:.3f})"
    )

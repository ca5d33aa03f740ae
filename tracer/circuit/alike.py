"""Settings that answer alike, told as one: which switch banks matter to a pair, and what each gives."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TypeAlias

from tracer.circuit.elements import Circuit, Setting
from tracer.circuit.expect import expect_all_on, lead_node
from tracer.circuit.results import Expectation, Meter, Open
from tracer.circuit.search import from_node
from tracer.circuit.settings import every_setting
from tracer.circuit.switched import networks_in
from tracer.progress import NullProgress, Progress, checkpoint

__all__ = ["Alike", "alike_settings", "expect_in_every_setting"]

_Answer: TypeAlias = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Alike:
    """One expectation and the settings that it holds in.

    Attributes
    ----------
    words : str
        The positions of the banks that matter to the pair; empty where none does.
    settings : tuple of Setting
    expectation : Expectation
        Its limits hold in all of those settings.
    """

    words: str
    settings: tuple[Setting, ...]
    expectation: Expectation


def expect_in_every_setting(
    circuit: Circuit,
    start: str,
    ends: Iterable[str] | None = None,
    base: Setting | None = None,
    meter: Meter | None = None,
    progress: Progress | None = None,
) -> tuple[Alike, ...]:
    """Return what a meter should show in every setting of the switches, settings that answer alike as one.

    Parameters
    ----------
    circuit : Circuit
    start : str
        Where the positive lead goes.
    ends : iterable of str, optional
        Where the other one goes; by default every named point.
    base : Setting, optional
        What is out or lifted and where wipers stand in all of them; its banks are passed over.
    meter : Meter, optional
    progress : Progress, optional
        Watches, and may cancel.

    Returns
    -------
    tuple of Alike
        By end, then by setting.

    Raises
    ------
    Cancelled
    UnknownPoint, SamePoint, BadValue, BadWiring
        As `tracer.circuit.expect.expect`.

    Examples
    --------
    >>> from tracer.circuit.wiring import parse_wiring
    >>> found = expect_in_every_setting(parse_wiring('''
    ... bank S: Off, On, Spare
    ... contact S1: common=HT make=A; closed=S:On
    ... resistor R1: 1=A 2=B; 47k; tol=10%
    ... '''), "HT", ["B"])
    >>> [(each.words, each.expectation.expected) for each in found]
    [('S at Off or Spare', None), ('S at On', 47000.0)]
    """
    base = base or Setting()
    turned = list(every_setting(circuit))
    settings = [replace(each, out=base.out, lifted=base.lifted, wipers=base.wipers) for each in turned]
    chosen = ends if ends is None else tuple(ends)
    meter, progress = meter or Meter(), progress or NullProgress()
    networks = list(networks_in(circuit, settings, meter))
    # Settings that come to the same network are worked out once.
    distinct = list({id(network): network for network in networks}.values())
    here = lead_node(networks[0], circuit, start)
    made: dict[int, tuple[Expectation, ...]] = {}
    for place, (network, corners) in enumerate(zip(distinct, from_node(distinct, here), strict=True)):
        checkpoint(progress, "working out every setting", place / len(distinct))
        made[id(network)] = expect_all_on(network, circuit, start, meter, chosen, corners)
    found: dict[str, list[Expectation]] = {}
    for network in networks:
        for row in made[id(network)]:
            found.setdefault(row.end, []).append(row)
    return tuple(each for rows in found.values() for each in alike_settings(circuit, settings, rows))


def alike_settings(
    circuit: Circuit, settings: Sequence[Setting], rows: Sequence[Expectation]
) -> Iterator[Alike]:
    """Yield the distinct answers of one pair, given its expectation in each of `settings`."""
    answers = [_answer(row) for row in rows]
    matter = _banks_that_matter(circuit, settings, answers)
    for answer in dict.fromkeys(answers):
        here = [place for place, other in enumerate(answers) if other == answer]
        words = _in_words([settings[place] for place in here], settings, matter)
        yield Alike(words, tuple(settings[place] for place in here), _widest([rows[place] for place in here]))


def _answer(expectation: Expectation) -> _Answer:
    """What a person would tell apart: the expected ohms where they are known, else the limits."""
    if expectation.expected is not None and expectation.open is Open.NEVER:
        return (f"{expectation.expected:.3g}",)
    ohms = (expectation.low, expectation.high)
    return (*("" if value is None else f"{value:.2g}" for value in ohms), str(expectation.open))


def _widest(rows: Sequence[Expectation]) -> Expectation:
    """The first of `rows` with limits that hold in all of them."""
    return replace(
        rows[0],
        low=_least(row.low for row in rows),
        high=_most(row.high for row in rows),
        accept_low=_least(row.accept_low for row in rows),
        accept_high=_most(row.accept_high for row in rows),
        settles_s=max(row.settles_s for row in rows),
    )


def _least(ohms: Iterable[float | None]) -> float | None:
    found = list(ohms)
    return None if None in found else min(each for each in found if each is not None)


def _most(ohms: Iterable[float | None]) -> float | None:
    found = list(ohms)
    return None if None in found else max(each for each in found if each is not None)


def _banks_that_matter(
    circuit: Circuit, settings: Sequence[Setting], answers: Sequence[_Answer]
) -> tuple[str, ...]:
    """Names of the banks that, the others left alone, change the answer."""
    matter = []
    for bank in circuit.banks:
        by_rest: dict[tuple[tuple[str, str], ...], set[_Answer]] = {}
        for setting, answer in zip(settings, answers, strict=True):
            rest = tuple(sorted((name, at) for name, at in setting.banks.items() if name != bank.name))
            by_rest.setdefault(rest, set()).add(answer)
        if any(len(group) > 1 for group in by_rest.values()):
            matter.append(bank.name)
    return tuple(matter)


def _in_words(here: Sequence[Setting], every: Sequence[Setting], matter: Sequence[str]) -> str:
    """Name the positions of the banks that matter, positions that come to the same joined by "or"."""
    all_positions = [list(dict.fromkeys(_at(each.banks[name]) for each in every)) for name in matter]
    combinations = {tuple(_at(each.banks[name]) for name in matter) for each in here}
    return "; or ".join(_phrases(frozenset(combinations), matter, all_positions))


def _phrases(
    combinations: frozenset[tuple[str, ...]], names: Sequence[str], positions: Sequence[Sequence[str]]
) -> list[str]:
    if not names:
        return [""]
    by_rest: dict[frozenset[tuple[str, ...]], list[str]] = {}
    for position in positions[0]:
        rest = frozenset(each[1:] for each in combinations if each[0] == position)
        if rest:
            by_rest.setdefault(rest, []).append(position)
    found = []
    for rest, at in by_rest.items():
        head = "" if len(at) == len(positions[0]) else f"{names[0]} at {' or '.join(at)}"
        tails = _phrases(rest, names[1:], positions[1:])
        found += [", ".join(part for part in (head, tail) if part) for tail in tails]
    return found


def _at(position: str) -> str:
    """Return what a bank stands at in words: several keys joined, or none."""
    return position.replace(",", " and ") or "none"

"""Results as JSON, in the forms that ``shared/schemas`` fix. Ohms above every bound become null."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import Any

from tracer.circuit.alike import Alike
from tracer.circuit.discharge import DISCHARGE_CAUTION, Discharge
from tracer.circuit.elements import Setting
from tracer.circuit.explain import Explained
from tracer.circuit.results import Cause, Expectation, NextReading, Reading

__all__ = [
    "alike_to_json",
    "causes_to_json",
    "discharges_to_json",
    "next_to_json",
    "ohms_to_json",
    "setting_from_json",
    "setting_to_json",
    "why_to_json",
]

Json = dict[str, Any]


def setting_to_json(setting: Setting) -> Json:
    """Return a setting as ``shared/schemas/setting.schema.json`` says.

    Examples
    --------
    >>> setting_to_json(Setting(banks={"INPUT": "Disc"}))
    {'banks': {'INPUT': 'Disc'}, 'out': [], 'lifted': [], 'wipers': {}}
    """
    return {
        "banks": dict(sorted(setting.banks.items())),
        "out": sorted(setting.out),
        "lifted": sorted(setting.lifted),
        "wipers": dict(sorted(setting.wipers.items())),
    }


def setting_from_json(data: Mapping[str, Any]) -> Setting:
    """Return the setting that `setting_to_json` wrote; a missing key counts as empty."""
    return Setting(
        banks=dict(data.get("banks", {})),
        out=frozenset(data.get("out", ())),
        lifted=frozenset(data.get("lifted", ())),
        wipers={name: float(place) for name, place in data.get("wipers", {}).items()},
    )


def ohms_to_json(
    setting: Setting, expectations: Iterable[Expectation], given: Expectation | None = None
) -> Json:
    """Return expectations under one setting as ``shared/schemas/ohms.schema.json`` says.

    `given` is what the only one of them comes to given the readings so far (`tracer.circuit.given`).
    """
    answer: Json = {"setting": setting_to_json(setting), "rows": [_row(each) for each in expectations]}
    if given is not None:
        ohms = {"low": given.low, "expected": given.expected, "high": given.high}
        answer["given"] = {name: _finite(value) for name, value in ohms.items()}
    return answer


def alike_to_json(base: Setting, found: Iterable[Alike]) -> Json:
    """Return distinct answers as ``shared/schemas/ohms.schema.json`` says, with the settings they hold in."""
    rows = [{**_row(each.expectation), "holds_in": each.words} for each in found]
    return {"setting": setting_to_json(base), "rows": rows}


def _row(expectation: Expectation) -> Json:
    probable = expectation.probable or (None, None)
    return {
        "from": expectation.start,
        "at": expectation.end,
        "low": _finite(expectation.low),
        "expected": _finite(expectation.expected),
        "high": _finite(expectation.high),
        "probable_low": _finite(probable[0]),
        "probable_high": _finite(probable[1]),
        "accept_low": _finite(expectation.accept_low),
        "accept_high": _finite(expectation.accept_high),
        "open": expectation.open.value,
        "settles_s": _finite(expectation.settles_s),
        "through": [{"part": each.part, "share": each.share} for each in expectation.through],
        "blocked_by": list(expectation.blocked_by),
        "notes": list(expectation.notes),
    }


def why_to_json(explained: Iterable[Explained]) -> Json:
    """Return explanations as ``shared/schemas/why.schema.json`` says; `causes` are those of the first."""
    groups = [
        {
            "readings": [_reading(each) for each in group.readings],
            "causes": causes_to_json(group.causes),
        }
        for group in explained
    ]
    return {"causes": groups[0]["causes"] if groups else [], "explained": groups}


def causes_to_json(causes: Iterable[Cause]) -> list[Json]:
    """Return causes in the form that they have in ``shared/schemas/why.schema.json``."""
    return [_cause(cause) for cause in causes]


def _reading(reading: Reading) -> Json:
    return {
        "number": reading.number or None,
        "from": reading.start,
        "at": reading.end,
        "ohms": _finite(reading.ohms),
        "rising": reading.rising,
        "setting": setting_to_json(reading.setting),
    }


def _cause(cause: Cause) -> Json:
    return {
        "cause": cause.kind.value,
        "element": cause.element,
        "setting": setting_to_json(cause.setting) if cause.setting is not None else None,
        "value": _finite(cause.value),
        "weight": cause.weight,
        "says": cause.says,
        "then_measure": _next(cause.then_measure) if cause.then_measure is not None else None,
        "elements": list(cause.elements),
    }


def next_to_json(readings: Iterable[NextReading]) -> Json:
    """Return the next readings as ``shared/schemas/next.schema.json`` says."""
    return {"readings": [_next(reading) for reading in readings]}


def _next(reading: NextReading) -> Json:
    return {
        "from": reading.start,
        "at": reading.end,
        "setting": setting_to_json(reading.setting),
        "low": _finite(reading.low),
        "expected": _finite(reading.expected),
        "high": _finite(reading.high),
        "settles_s": _finite(reading.settles_s),
        "carries": list(reading.carries),
        "pins": list(reading.pins),
    }


def discharges_to_json(setting: Setting, found: Iterable[Discharge]) -> Json:
    """Return what keeps its charge as ``shared/schemas/discharge.schema.json`` says."""
    rows = []
    for each in found:
        seconds = each.seconds if each.seconds is not None else (None, None)
        rows.append(
            {
                "part": each.part,
                "farads": each.farads,
                "volts": each.volts,
                "volts_told": each.told,
                "bled": each.seconds is not None,
                "below_50_v_s": _finite(seconds[0]),
                "below_10_v_s": _finite(seconds[1]),
                "through": list(each.through),
            }
        )
    return {"caution": DISCHARGE_CAUTION, "setting": setting_to_json(setting), "capacitors": rows}


def _finite(number: float | None) -> float | None:
    return None if number is None or not math.isfinite(number) else float(number)

"""The setting the set stands at (switches, valves out, leads lifted), the meter, cautions shown, power."""

from __future__ import annotations

import json
from dataclasses import asdict
from datetime import datetime
from typing import Any

from tracer.circuit.elements import Setting
from tracer.circuit.results import Meter
from tracer.job.edits import Change, perform
from tracer.job.file import Job, transaction

__all__ = [
    "cautions_shown",
    "choice",
    "choose",
    "current_meter",
    "current_setting",
    "meter_from_text",
    "meter_to_text",
    "power_applied",
    "record_cautions_shown",
    "record_power_applied",
    "set_meter",
    "set_setting",
    "setting_from_text",
    "setting_to_text",
]


def current_setting(job: Job) -> Setting:
    """Return the setting that was last chosen; every bank at its first position when none was."""
    text = choice(job, "setting")
    return Setting() if text is None else setting_from_text(text)


def set_setting(job: Job, setting: Setting, words: str = "change the setting") -> None:
    """Store the setting as one undoable edit; `words` may say more: ``"take V2 out"``."""
    with transaction(job):
        if setting != current_setting(job):
            choose(job, "setting", setting_to_text(setting), words)


def current_meter(job: Job) -> Meter:
    """Return the meter that was last chosen, or the default one."""
    text = choice(job, "meter")
    return Meter() if text is None else meter_from_text(text)


def set_meter(job: Job, meter: Meter) -> None:
    """Store the meter's profile as one undoable edit. The same again is none."""
    with transaction(job):
        if meter != current_meter(job):
            choose(job, "meter", meter_to_text(meter), "change the meter")


def cautions_shown(job: Job) -> str | None:
    """Return when the cautions were last shown for this job (ISO 8601), or None."""
    row = job.connection.execute('SELECT max("when") FROM cautions').fetchone()
    return None if row[0] is None else str(row[0])


def record_cautions_shown(job: Job) -> str:
    """Record that the cautions were shown now; return the moment. This is a fact and cannot be undone."""
    moment = _moment()
    with transaction(job) as connection:
        connection.execute("INSERT INTO cautions VALUES (?)", (moment,))
    return moment


def power_applied(job: Job) -> tuple[str, ...]:
    """Return every moment (ISO 8601) at which a person said that power was put on the set, in order."""
    return tuple(str(row[0]) for row in job.connection.execute('SELECT "when" FROM power ORDER BY rowid'))


def record_power_applied(job: Job) -> str:
    """Record that power was applied; return the moment. This is a fact and cannot be undone."""
    moment = _moment()
    with transaction(job) as connection:
        connection.execute("INSERT INTO power VALUES (?)", (moment,))
    return moment


def setting_to_text(setting: Setting) -> str:
    """Return a setting as JSON text, the same for equal settings."""
    return json.dumps(
        {
            "banks": dict(sorted(setting.banks.items())),
            "out": sorted(setting.out),
            "lifted": sorted(setting.lifted),
            "wipers": dict(sorted(setting.wipers.items())),
        }
    )


def setting_from_text(text: str) -> Setting:
    """Read what `setting_to_text` wrote.

    Examples
    --------
    >>> setting = Setting(banks={"INPUT": "Tape"}, out=frozenset({"V2"}))
    >>> setting_from_text(setting_to_text(setting)) == setting
    True
    """
    data: dict[str, Any] = json.loads(text)
    return Setting(data["banks"], frozenset(data["out"]), frozenset(data["lifted"]), data["wipers"])


def meter_to_text(meter: Meter) -> str:
    """Return a meter's profile as JSON text."""
    return json.dumps(asdict(meter))


def meter_from_text(text: str) -> Meter:
    """Read what `meter_to_text` wrote."""
    return Meter(**json.loads(text))


def _moment() -> str:
    """The present moment, fine enough to tell whether power came before the cautions or after."""
    return datetime.now().astimezone().isoformat()


def choice(job: Job, name: str) -> str | None:
    """Return the text kept under `name`, or None."""
    row = job.connection.execute("SELECT value FROM choices WHERE name = ?", (name,)).fetchone()
    return None if row is None else str(row[0])


def choose(job: Job, name: str, value: str, words: str) -> None:
    """Keep `value` under `name` as one undoable edit, said in `words`."""
    before = choice(job, name)
    row = None if before is None else {"name": name, "value": before}
    perform(job, words, [Change("choices", row, {"name": name, "value": value})])  # type: ignore[arg-type]

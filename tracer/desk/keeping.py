"""What the window remembers between days: its own size, and where each sheet was looked at from."""

from __future__ import annotations

import hashlib
from pathlib import Path

from platformdirs import user_config_path
from PyQt6.QtCore import QByteArray, QSettings

from tracer.desk.viewpoint import Viewpoint

__all__ = [
    "keep_strength",
    "keep_view",
    "keep_window",
    "kept_sheet",
    "kept_strength",
    "kept_view",
    "kept_window",
]


def keep_view(job: Path, sheet: int, view: Viewpoint) -> None:
    """Remember from where `sheet` of `job` is looked at."""
    store = _store()
    store.setValue(f"{_key(job)}/sheet", sheet)
    store.setValue(f"{_key(job)}/view{sheet}", f"{view.x:.1f} {view.y:.1f} {view.scale:.5f}")


def kept_view(job: Path, sheet: int) -> Viewpoint | None:
    """Return from where `sheet` was looked at last, or None."""
    text = str(_store().value(f"{_key(job)}/view{sheet}", "") or "")
    try:
        x, y, scale = (float(word) for word in text.split())
    except ValueError:
        return None
    return Viewpoint(x, y, scale) if scale > 0 else None


def kept_sheet(job: Path) -> int | None:
    """Return the number of the sheet that was in view last, or None."""
    text = str(_store().value(f"{_key(job)}/sheet", "") or "")
    return int(text) if text.isdecimal() else None


def keep_window(geometry: QByteArray, drawer: bool, magnify: float, tone: bool, legend: bool) -> None:
    """Remember the window's size, whether the drawer is out, the strip's type, the tone and the legend."""
    store = _store()
    store.setValue("window", geometry)
    store.setValue("drawer", "out" if drawer else "in")
    store.setValue("magnify", f"{magnify:.2f}")
    store.setValue("tone", "on" if tone else "off")
    store.setValue("legend", "on" if legend else "off")


def kept_window() -> tuple[QByteArray | None, bool, float, bool, bool]:
    """Return what `keep_window` kept; the drawer is out at first, tone and legend are on."""
    store = _store()
    geometry = store.value("window")
    try:
        magnify = float(str(store.value("magnify", "1") or "1"))
    except ValueError:
        magnify = 1.0
    return (
        (geometry if isinstance(geometry, QByteArray) else None),
        store.value("drawer", "out") != "in",
        magnify,
        store.value("tone", "on") != "off",
        store.value("legend", "on") != "off",
    )


def keep_strength(percent: int) -> None:
    """Remember how strong the tint is drawn."""
    _store().setValue("strength", percent)


def kept_strength() -> int:
    """Return how strong the tint is drawn, in percent."""
    text = str(_store().value("strength", "100") or "100")
    return int(text) if text.isdecimal() else 100


def _store() -> QSettings:
    path = user_config_path("tracer", appauthor=False) / "desk.ini"
    return QSettings(str(path), QSettings.Format.IniFormat)


def _key(job: Path) -> str:
    return "job-" + hashlib.sha256(str(job.resolve()).encode()).hexdigest()[:16]

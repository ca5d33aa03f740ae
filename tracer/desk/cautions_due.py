"""Whether the cautions must be asked before the next reading."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

__all__ = ["asked_today", "powered_since"]


def asked_today(shown: str | None, now: datetime, power: Iterable[str] = ()) -> bool:
    """Whether cautions shown at `shown` (ISO 8601) still count at `now`: on that day, until power is applied.

    Examples
    --------
    >>> asked_today("1990-05-01T09:00:00+00:00", datetime(1990, 5, 2).astimezone())
    False
    """
    if shown is None or powered_since(shown, power):
        return False
    return datetime.fromisoformat(shown).astimezone().date() == now.astimezone().date()


def powered_since(shown: str | None, power: Iterable[str]) -> bool:
    """Whether power was applied after the cautions were shown at `shown`, or ever; moments are ISO 8601."""
    moments = [datetime.fromisoformat(each) for each in power]
    return any(shown is None or moment > datetime.fromisoformat(shown) for moment in moments)

"""How long work reports itself and is cancelled, without knowing who watches."""

from __future__ import annotations

from typing import Protocol

from tracer.errors import Cancelled

__all__ = ["NullProgress", "Progress", "checkpoint"]


class Progress(Protocol):
    """Watches one piece of long work."""

    def advance(self, stage: str, share: float) -> None:
        """Tell that `stage` (a few words for a person) stands at `share`, 0 to 1, of the whole work."""

    def cancelled(self) -> bool:
        """Whether the watcher wants the work to stop at the next checkpoint."""


class NullProgress:
    """Watches nothing and never cancels."""

    def advance(self, stage: str, share: float) -> None:
        """Do nothing."""

    def cancelled(self) -> bool:
        """Return False."""
        return False


def checkpoint(progress: Progress, stage: str, share: float) -> None:
    """Report progress and raise if the watcher has cancelled.

    Raises
    ------
    Cancelled
        When ``progress.cancelled()`` is true.

    Examples
    --------
    >>> checkpoint(NullProgress(), "levelling the light", 0.1)
    """
    if progress.cancelled():
        raise Cancelled(f"Cancelled while {stage}. Nothing was written.")
    progress.advance(stage, share)

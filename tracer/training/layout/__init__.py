"""Random sheets in the manner of service sheets."""

from __future__ import annotations

from tracer.training.layout.draw import draw_sheet

__all__ = ["draw_sheet"]

"""How a command ended, for the tests of the command line."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

__all__ = ["Ended", "Run"]


@dataclass(frozen=True)
class Ended:
    """How a command ended."""

    code: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        """The document on stdout."""
        return json.loads(self.out)


Run = Callable[..., Ended]

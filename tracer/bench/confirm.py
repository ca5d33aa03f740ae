"""Confirmations from a JSON file: tags in pixels (never nodes), banks and rails, applied as one edit."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from tracer.circuit.elements import Bank
from tracer.job.file import Job
from tracer.job.records import Rail, Tag
from tracer.trace.mend import Mend

__all__ = ["Confirmations", "apply_confirmations", "load_confirmations"]


@dataclass(frozen=True, slots=True)
class Confirmations:
    """What a confirmations file holds; see ``shared/schemas/confirmations.json``."""

    tags: tuple[Tag, ...]
    banks: tuple[Bank, ...] = ()
    rails: tuple[Rail, ...] = ()
    mends: tuple[Mend, ...] = ()


def load_confirmations(path: Path) -> Confirmations:
    """Read and check a confirmations file; raise `BadConfirmation` naming the entry that is wrong."""
    raise NotImplementedError


def apply_confirmations(job: Job, confirmations: Confirmations) -> str:
    """Store all of it as one undoable edit and return the edit in words."""
    raise NotImplementedError

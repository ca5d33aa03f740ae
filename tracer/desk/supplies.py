"""Labels that name a supply line: the rail comes into the job with the first of them."""

from __future__ import annotations

import re
from collections.abc import Sequence

from tracer.job.banks import rail_changes, rails
from tracer.job.edits import perform
from tracer.job.file import Job, transaction
from tracer.job.records import Rail, Tag
from tracer.job.tags import tag_changes

__all__ = ["confirm_tags", "is_supply"]

# Names of supply lines on valve-era sheets, British and American (common practice).
_SUPPLY = re.compile(r"(E?HT|LT|HTR|HTRS|GB|B|C|A)\s?\d*\s?[+\-−]{0,2}\s?\d*", re.IGNORECASE)
_LETTER_ALONE = re.compile(r"[A-Z]\d*", re.IGNORECASE)


def is_supply(name: str) -> bool:
    """Whether a label's name is one that supply lines have.

    Examples
    --------
    >>> [is_supply(name) for name in ("HT1", "B+", "HTR", "A", "GRAM")]
    [True, True, True, False, False]
    """
    return _SUPPLY.fullmatch(name) is not None and _LETTER_ALONE.fullmatch(name) is None


def confirm_tags(job: Job, made: Sequence[Tag], said: str = "") -> int:
    """Store confirmed parts and the rails that labels among them name, as one edit; return how many parts."""
    with transaction(job):
        known = {rail.name for rail in rails(job)}
        named = (tag.value for tag in made if tag.kind == "label" and tag.value and is_supply(tag.value))
        fresh = [Rail(name) for name in dict.fromkeys(named) if name not in known]
        changes = [*tag_changes(job, made), *rail_changes(job, fresh)]
        perform(job, said or f"tag {made[0].reference}", changes)
    return len(made)

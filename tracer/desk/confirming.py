"""Storing what a person confirmed: a part, the value that is fitted in it, the rail that its label names."""

from __future__ import annotations

import re
from collections.abc import Sequence

from tracer.desk import words
from tracer.job.banks import rail_changes, rails
from tracer.job.edits import Change, now, perform
from tracer.job.file import Job, transaction
from tracer.job.fitted import fitted_changes, fitted_values, ruling
from tracer.job.records import FittedValue, Rail, Tag, ValueSource
from tracer.job.tags import changed_tag, tag_changes, tags

__all__ = ["Fitted", "change_part", "confirm_tags", "is_supply"]

Fitted = tuple[str, str, ValueSource]
"""Value and tolerance as fitted, both "" where the print rules, and how that is known."""

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


def confirm_tags(job: Job, made: Sequence[Tag], said: str = "", *, fitted: Fitted | None = None) -> int:
    """Store confirmed parts and the rails that labels among them name, as one edit; return how many parts."""
    with transaction(job):
        known = {rail.name for rail in rails(job)}
        named = (tag.value for tag in made if tag.kind == "label" and tag.value and is_supply(tag.value))
        fresh = [Rail(name) for name in dict.fromkeys(named) if name not in known]
        changes = [*tag_changes(job, made), *rail_changes(job, fresh)]
        if fitted is not None and fitted[0] and changes[0].after is not None:
            changes += _fitting(job, int(changes[0].after["id"] or 0), fitted)
        perform(job, said or f"tag {made[0].reference}", changes)
    return len(made)


def change_part(job: Job, tag: Tag, fitted: Fitted) -> None:
    """Put `tag` in place of the stored one of its id, and what is fitted in place of what was: one edit."""
    with transaction(job):
        before = next(each for each in tags(job) if each.id == tag.id)
        changes = changed_tag(before, tag)
        ruled = ruling(fitted_values(job)).get(tag.id or 0)
        now_fitted = (
            (ruled.value, ruled.tolerance, ruled.source) if ruled is not None else ("", "", fitted[2])
        )
        said = f"change {before.reference}"
        if fitted != now_fitted:
            changes += _fitting(job, tag.id or 0, fitted)
            said = (words.SAID_FITTED if fitted[0] else words.SAID_PRINTED).format(
                reference=tag.reference, value=fitted[0]
            )
        elif tag.reference != before.reference:
            said += f" to {tag.reference}"
        perform(job, said, changes)


def _fitting(job: Job, tag: int, fitted: Fitted) -> list[Change]:
    value, tolerance, source = fitted
    return fitted_changes(job, [FittedValue(tag, value, source, now(), tolerance)])

"""Which contacts a switch bank closes at which position: between tags, a table of ticks, and CSV."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from tracer.circuit.conditions import condition_positions, parse_condition
from tracer.circuit.elements import Bank
from tracer.desk.natural import natural
from tracer.errors import BadConfirmation, BadValue
from tracer.job.records import Tag

__all__ = ["Ticks", "changed_tags", "parse_table", "print_table", "ticks_of"]

Ticks = Mapping[str, frozenset[str]]
"""By contact, the positions of one bank at which it is closed; one without any is not worked by the bank."""

_NOT_TICKED = frozenset({"", "0", "-", "–", "no", "open", "."})


def ticks_of(tags: Iterable[Tag], bank: Bank) -> dict[str, frozenset[str]]:
    """Return the ticks of every contact among `tags` for `bank`, in the order of the references.

    Examples
    --------
    >>> tag = Tag(1, (0, 0, 9, 9), "contact", "S1a", None, (), (("closed", "INPUT:Mic,Tape&BAND:Long"),))
    >>> sorted(ticks_of([tag], Bank("INPUT", ("Mic", "Gram", "Tape")))["S1a"])
    ['Mic', 'Tape']
    """
    found: dict[str, frozenset[str]] = {}
    for tag in sorted((t for t in tags if t.kind == "contact"), key=lambda t: natural(t.reference)):
        parts = dict(_condition(tag))
        found[tag.reference] = found.get(tag.reference, frozenset()) | frozenset(parts.get(bank.name, ()))
    return found


def changed_tags(tags: Iterable[Tag], bank: Bank, ticks: Ticks) -> tuple[Tag, ...]:
    """Return the tags that `ticks` change, as they are to be; conditions on other banks stay."""
    changed = []
    for tag in tags:
        if tag.kind != "contact" or tag.reference not in ticks:
            continue
        parts = {name: list(positions) for name, positions in _condition(tag)}
        wanted = [position for position in condition_positions(bank) if position in ticks[tag.reference]]
        if set(wanted) == set(parts.get(bank.name, ())):
            continue
        if wanted:
            parts[bank.name] = wanted
        else:
            parts.pop(bank.name, None)
        text = "&".join(f"{name}:{','.join(positions)}" for name, positions in parts.items())
        options = dict(tag.options)
        options.pop("closed", None)
        if text:
            options["closed"] = text
        changed.append(replace(tag, options=tuple(options.items())))
    return tuple(changed)


def parse_table(text: str, bank: Bank, contacts: Iterable[str]) -> dict[str, frozenset[str]]:
    """Read a table from CSV: either rows of a contact and its positions, or a column for each position.

    Parameters
    ----------
    text : str
        Cells parted by commas, semicolons or tabs. With the positions as headings any mark is a tick;
        without, the second cell lists positions, parted by commas, semicolons, strokes or plus signs.
    bank : Bank
    contacts : iterable of str
        References that there are; capitals make no difference.

    Raises
    ------
    BadConfirmation
        A contact or a position that there is not; nothing is taken then.

    Examples
    --------
    >>> bank = Bank("INPUT", ("Mic", "Gram"))
    >>> parse_table("contact,Mic,Gram\\nS1a,x,\\nS1b,,x", bank, ["S1a", "S1b"])["S1b"]
    frozenset({'Gram'})
    >>> parse_table("S1a;Mic+Gram", bank, ["S1a"]) == {"S1a": frozenset({"Mic", "Gram"})}
    True
    """
    rows = [[cell.strip() for cell in row] for row in csv.reader(io.StringIO(text), delimiter=_between(text))]
    rows = [row for row in rows if any(row)]
    known = {contact.casefold(): contact for contact in contacts}
    places = {position.casefold(): position for position in condition_positions(bank)}
    heads = [places.get(cell.casefold()) for cell in rows[0][1:]] if rows else []
    matrix = len(rows) > 1 and bool(heads) and all(heads) and rows[0][0].casefold() not in known
    named = any(name.casefold() in places for name in _listed(rows[0][1:])) if rows else False
    if rows and (matrix or not (named or rows[0][0].casefold() in known)):
        rows = rows[1:]
    ticks: dict[str, frozenset[str]] = {}
    for row in rows:
        contact = known.get(row[0].casefold())
        if contact is None:
            raise BadConfirmation(
                f"The table names a contact {row[0]!r}, which is confirmed on no sheet. The contacts "
                f"are {', '.join(known.values()) or 'none yet'}. Nothing was taken from it."
            )
        if matrix:
            marked = [head for head, cell in zip(heads, row[1:], strict=False) if _is_tick(cell)]
        else:
            marked = [_position(name, bank, places) for name in _listed(row[1:])]
        ticks[contact] = frozenset(each for each in marked if each)
    return ticks


def print_table(bank: Bank, ticks: Ticks) -> str:
    """Return the table as CSV with a column for each position, as `parse_table` reads it."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    positions = condition_positions(bank)
    writer.writerow(["contact", *positions])
    for contact, marked in ticks.items():
        writer.writerow([contact, *("x" if position in marked else "" for position in positions)])
    return out.getvalue()


def _condition(tag: Tag) -> tuple[tuple[str, tuple[str, ...]], ...]:
    text = dict(tag.options).get("closed", "")
    try:
        return parse_condition(text) if text else ()
    except BadValue:
        return ()


def _between(text: str) -> str:
    first = next((line for line in text.splitlines() if line.strip()), "")
    return max("\t;,", key=first.count)


def _is_tick(cell: str) -> bool:
    return cell.casefold() not in _NOT_TICKED


def _listed(cells: Sequence[str]) -> list[str]:
    return [name.strip() for cell in cells for name in re.split(r"[,;/+]", cell) if name.strip()]


def _position(name: str, bank: Bank, places: Mapping[str, str]) -> str:
    if name.casefold() not in places:
        raise BadConfirmation(
            f"The table names a position {name!r}, which the switch bank {bank.name} has not. Its "
            f"positions are {', '.join(condition_positions(bank))}. Nothing was taken from it."
        )
    return places[name.casefold()]

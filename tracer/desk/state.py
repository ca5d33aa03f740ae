"""What is looked at and picked just now: one frozen record and the functions that step it."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from enum import Enum, auto

from tracer.circuit.elements import Setting

__all__ = [
    "Hand",
    "State",
    "clear_leads",
    "flooded",
    "hovered",
    "place_lead",
    "reach",
    "swap_leads",
    "turn_to",
    "with_hand",
    "with_setting",
    "with_tag",
]


class Hand(Enum):
    """What the next press on the sheet does."""

    LOOK = auto()  # floods a conductor, opens a part, or puts a lead on a terminal
    BOX = auto()  # drags a box round a part
    JOIN = auto()  # picks the second place of a join
    CORNERS = auto()  # puts the chosen corner of a photographed sheet


@dataclass(frozen=True, slots=True)
class State:
    """What is picked.

    Attributes
    ----------
    sheet : int
        The sheet in view, from 1; 0 before any.
    conductor, hover : int or None
        The flooded conductor and the one under the pointer, on that sheet.
    spot : (float, float) or None
        Where the sheet was last pressed, page px; mends go there.
    tag : int or None
        Id of the picked tag.
    leads : (str, str)
        Points under the positive and the negative lead; "" where a lead hangs free.
    awaiting : int
        Which lead the next terminal takes, 0 or 1.
    setting : Setting
        Switches, what is out and what is lifted.
    hand : Hand
        What the next press does.
    """

    sheet: int = 0
    conductor: int | None = None
    hover: int | None = None
    spot: tuple[float, float] | None = None
    tag: int | None = None
    leads: tuple[str, str] = ("", "")
    awaiting: int = 0
    setting: Setting = field(default_factory=Setting)
    hand: Hand = Hand.LOOK


def flooded(state: State, conductor: int | None, spot: tuple[float, float]) -> State:
    """Return the state after a press at `spot` that found `conductor`."""
    return replace(state, conductor=conductor, spot=spot, tag=None)


def hovered(state: State, conductor: int | None) -> State:
    """Return the state with the pointer over `conductor`."""
    return state if state.hover == conductor else replace(state, hover=conductor)


def place_lead(state: State, point: str, lead: int | None = None) -> State:
    """Return the state with the awaited lead (or `lead`) on `point`; the other lead waits next.

    Examples
    --------
    >>> place_lead(place_lead(State(), "HT1"), "V1.6").leads
    ('HT1', 'V1.6')
    """
    at = state.awaiting if lead is None else lead
    leads = (point, state.leads[1]) if at == 0 else (state.leads[0], point)
    return replace(state, leads=leads, awaiting=1 - at)


def reach(state: State, start: str, end: str) -> State:
    """Return the state with both leads placed; the positive one waits next."""
    return replace(state, leads=(start, end), awaiting=0)


def swap_leads(state: State) -> State:
    """Return the state with the leads the other way round."""
    return replace(state, leads=(state.leads[1], state.leads[0]))


def clear_leads(state: State) -> State:
    """Return the state with both leads off the set."""
    return replace(state, leads=("", ""), awaiting=0)


def turn_to(state: State, sheet: int) -> State:
    """Return the state with another sheet in view and nothing picked on it."""
    return replace(state, sheet=sheet, conductor=None, hover=None, spot=None, tag=None, hand=Hand.LOOK)


def with_tag(state: State, tag: int | None) -> State:
    """Return the state with another tag picked."""
    return replace(state, tag=tag)


def with_setting(state: State, setting: Setting) -> State:
    """Return the state under another setting."""
    return replace(state, setting=setting)


def with_hand(state: State, hand: Hand) -> State:
    """Return the state with another use for the next press."""
    return replace(state, hand=hand)

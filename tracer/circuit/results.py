"""What the arithmetic answers: expectations, verdicts, causes, proof, next readings."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from tracer.circuit.elements import Circuit, Setting

__all__ = [
    "Cause",
    "CauseKind",
    "Expectation",
    "Meter",
    "NextReading",
    "Open",
    "Pinned",
    "Proof",
    "Reading",
    "Share",
    "Tint",
    "Verdict",
]


@dataclass(frozen=True, slots=True)
class Meter:
    """A meter's profile on ohms; the default is a common 3½-digit digital meter (common practice).

    Attributes
    ----------
    error : float
        Fraction of the reading.
    counts : float
        Last-digit counts added to it, each `top` range step / 2000.
    leads : float
        Ω of the leads at most, 0 Ω at least.
    top : float
        Top of range, Ω: above it the meter shows OL.
    current : float
        Test current at most, A.
    open_volts : float
        Volts at the open leads.
    reversed_leads : bool
        Whether the lead that is positive on volts is the negative one on ohms, as on many moving-coil meters
        (common practice).
    """

    error: float = 0.01
    counts: float = 2.0
    leads: float = 0.3
    top: float = 20e6
    current: float = 1e-3
    open_volts: float = 2.8
    reversed_leads: bool = False


class Open(StrEnum):
    """Whether the pair reads above the meter's top of range."""

    NEVER = "never"
    MAYBE = "maybe"
    ALWAYS = "always"


@dataclass(frozen=True, slots=True)
class Share:
    """One part's share, 0 to 1, of the expected ohms."""

    part: str
    share: float


@dataclass(frozen=True, slots=True)
class Expectation:
    """Expected ohms between two points. None: `low` and `high` when always open, `high` alone when
    unbounded, `expected` where a value is unknown or the pair should end open, which `ends_open` tells
    apart. `accept_*` add the meter's error and leads. `blocked_by` names, for an open pair, the elements
    that break every path. `notes` are sentences. `probable` is the least and most by the root of the sum of
    squares, no limit and no measure of a pass; None where `expected` is."""

    start: str
    end: str
    low: float | None
    expected: float | None
    high: float | None
    accept_low: float | None
    accept_high: float | None
    open: Open
    settles_s: float
    through: tuple[Share, ...]
    blocked_by: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    ends_open: bool = False
    probable: tuple[float, float] | None = None


class Verdict(StrEnum):
    """What a reading says."""

    PASS = "pass"
    HIGH = "high"
    LOW = "low"
    WAIT = "wait"
    CANNOT_TELL = "cannot tell"


@dataclass(frozen=True, slots=True)
class Reading:
    """What the meter showed: `ohms` is ``inf`` for OL; `start` took the positive lead.

    `rising` tells that the reading was still climbing. `number` is the record's own number.
    """

    start: str
    end: str
    ohms: float
    setting: Setting
    rising: bool = False
    number: int = 0


class CauseKind(StrEnum):
    """Why a reading may differ."""

    AS_EXPECTED = "as_expected"
    SETTING = "setting"
    CONTACT = "contact"
    OPEN = "open"
    SHORT = "short"
    DRIFTED = "drifted"
    LEAKY = "leaky"
    REVERSED = "reversed"
    WRONG_POINT = "wrong_point"
    JOIN = "join"
    RISING = "rising"
    LEADS = "leads"
    FINGERS = "fingers"
    UNTELLABLE = "untellable"
    PAIR = "pair"


@dataclass(frozen=True, slots=True)
class NextReading:
    """A reading worth taking: what it is expected to be, and what a pass would prove."""

    start: str
    end: str
    setting: Setting
    low: float | None
    expected: float | None
    high: float | None
    settles_s: float
    carries: tuple[str, ...]
    pins: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Cause:
    """One explanation. `weight`s of a list sum to 1. `value` is Ω (or the part's unit) where it is solved.

    `then_measure` would tell it from the others, None where nothing can. `elements` are all of which
    one is at fault, or those of a pair.
    """

    kind: CauseKind
    element: str | None
    setting: Setting | None
    value: float | None
    weight: float
    says: str
    then_measure: NextReading | None = None
    elements: tuple[str, ...] = ()


class Tint(StrEnum):
    """How an element stands after the readings so far; a drawing gives each a colour and a pattern."""

    NOT_MEASURED = "not measured"
    CARRIED = "carried"
    PINNED = "pinned"  # carried, and its value bound within its limits; a contact: seen made and broken
    SUSPECT = "suspect"
    BAD = "bad"
    ONE_OF_TWO = "one of two"
    CONTRADICTED = "contradicted"


@dataclass(frozen=True, slots=True)
class Pinned:
    """The values of one part that the passing readings allow, in Ω; `high` None when unbounded."""

    part: str
    low: float
    high: float | None
    within_limits: bool


@dataclass(frozen=True, slots=True)
class Proof:
    """What the readings prove of each element, and from which reading (by number) each was carried.

    `verdicts` has one entry a reading, in order. `absent` names pairs of points proved not shorted.
    """

    tints: tuple[tuple[str, Tint], ...]
    carried_by: tuple[tuple[str, int], ...]
    pinned: tuple[Pinned, ...]
    absent: tuple[tuple[str, str], ...]
    verdicts: tuple[tuple[int, Verdict], ...]
    circuit: Circuit

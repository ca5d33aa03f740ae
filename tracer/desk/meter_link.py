"""A bench meter that sends its readings: SCPI over whatever PyVISA reaches. Needs the ``meter`` extra.

Commands and figures are those of SCPI-1999 (SCPI Consortium, volumes 1 and 2) on top of IEEE 488.2:
``*IDN?``, ``CONFigure:RESistance``, ``READ?``, and 9.9E37 for what lies above the range.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from types import TracebackType
from typing import Any

from tracer.circuit.meter import count_ohms
from tracer.circuit.results import Meter
from tracer.errors import MeterSilent

__all__ = ["LIBRARY", "MeterLink", "found_meters", "ohms_of", "steady_value"]

LIBRARY = "@py"
"""PyVISA's own backend in Python; it needs no driver of a maker."""

INFINITE, NO_NUMBER = 9.9e37, 9.91e37
"""What SCPI-1999 volume 1, section 7.2.1 (numeric values), sends for infinity and for no number."""

TIMEOUT_MS = 8000
STEADY = 4
"""How many readings in a row must agree."""
FIGURES = 2.0
"""Counts within which they agree, and a two-thousandth of the reading beside that (our own line)."""


def found_meters(library: str = LIBRARY) -> tuple[str, ...]:
    """Return the names of what answers to PyVISA: ``USB0::…::INSTR``, ``ASRL/dev/ttyUSB0::INSTR``.

    Raises
    ------
    MeterSilent
        When PyVISA is not installed.
    """
    return tuple(_manager(library).list_resources())


class MeterLink:
    """An open line to one meter, set to ohms; a context manager.

    Parameters
    ----------
    resource : str
        As `found_meters` names it.
    library : str
        PyVISA's backend.

    Raises
    ------
    MeterSilent
        When there is no such meter, or it does not answer.
    """

    def __init__(self, resource: str, library: str = LIBRARY) -> None:
        self._resource = resource
        # PyVISA has one manager a backend: closing it would close the lines of others.
        manager = _manager(library)
        try:
            self._line: Any = manager.open_resource(
                resource, read_termination="\n", write_termination="\n", timeout=TIMEOUT_MS
            )
            self.identity = self._ask("*IDN?")
            if not self.identity:
                raise ValueError("it does not say what it is")
            self._line.write("CONF:RES")
        except MeterSilent:
            self.close()
            raise
        except Exception as error:  # each backend has exceptions of its own
            self.close()
            raise _silent(resource, error) from error

    def read(self) -> float:
        """Return one reading, Ω; ``inf`` above the range.

        Raises
        ------
        MeterSilent
            When it does not answer, or with no number.
        """
        text = self._ask("READ?")
        try:
            return ohms_of(text)
        except ValueError as error:
            raise _silent(self._resource, error) from error

    def close(self) -> None:
        """Close the line."""
        line = getattr(self, "_line", None)
        if line is not None:
            line.close()

    def __enter__(self) -> MeterLink:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def _ask(self, command: str) -> str:
        try:
            return str(self._line.query(command)).strip()
        except Exception as error:  # each backend has exceptions of its own
            raise _silent(self._resource, error) from error


def ohms_of(text: str) -> float:
    """Return the ohms that a meter's answer stands for; the first of several, never less than none.

    Raises
    ------
    ValueError
        When it is no number.

    Examples
    --------
    >>> ohms_of("+4.70112E+03"), ohms_of("9.9E37"), ohms_of("-0.002,1")
    (4701.12, inf, 0.0)
    """
    number = float(text.split(",")[0])
    if math.isnan(number) or number == NO_NUMBER:
        raise ValueError(f"it answered {text!r}, which stands for no number")
    return math.inf if number >= INFINITE else max(0.0, number)


def steady_value(readings: Sequence[float], meter: Meter) -> float | None:
    """Return what the last readings agree on, or None while they wander or climb.

    Examples
    --------
    >>> steady_value([3.0, 4700.1, 4700.4, 4700.0, 4700.2], Meter())
    4700.15
    >>> steady_value([4000.0, 4100.0, 4180.0, 4230.0], Meter()) is None
    True
    """
    last = sorted(readings[-STEADY:])
    if len(last) < STEADY:
        return None
    if all(math.isinf(each) for each in last):
        return math.inf
    if any(math.isinf(each) for each in last):
        return None
    middle = (last[STEADY // 2 - 1] + last[STEADY // 2]) / 2
    room = FIGURES * count_ohms(middle, meter) + middle / 2000
    return middle if last[-1] - last[0] <= room else None


def _manager(library: str) -> Any:
    try:
        import pyvisa

        return pyvisa.ResourceManager(library)
    except (ImportError, ValueError, OSError) as error:
        raise MeterSilent(
            f"No meter can be reached: PyVISA or its backend is missing ({error}). Install the extra with "
            "pip install 'tracer[meter]', or type the readings."
        ) from error


def _silent(resource: str, error: Exception) -> MeterSilent:
    return MeterSilent(
        f"The meter {resource} gave no reading ({error}). Check that it is on, that its cable is in and that "
        "no other program holds it; readings can be typed meanwhile."
    )

"""Whether a reading agrees with what was expected."""

from __future__ import annotations

import math

from tracer.circuit.results import Expectation, Meter, Open, Verdict

__all__ = ["judge"]


def judge(expectation: Expectation, ohms: float, rising: bool = False, meter: Meter | None = None) -> Verdict:
    """Return what a reading says.

    Parameters
    ----------
    expectation : Expectation
    ohms : float
        What the meter showed, Ω; ``inf`` for OL.
    rising : bool
        Whether it was still climbing. A climbing reading will end at or above what it shows now, so all it
        can prove is that it is too high already; otherwise the verdict is to wait.
    meter : Meter, optional
        A reading above its top of range counts as OL.

    Returns
    -------
    Verdict
        ``CANNOT_TELL`` where the limits leave room for any reading: from nought to open.
    """
    top = (meter or Meter()).top
    over = math.isinf(ohms) or ohms > top
    least = 0.0 if expectation.accept_low is None else expectation.accept_low
    most = math.inf if expectation.accept_high is None else expectation.accept_high
    if expectation.open is Open.ALWAYS:
        if over:
            return Verdict.PASS
        return Verdict.WAIT if rising else Verdict.LOW
    if (expectation.open is Open.NEVER) if over else (ohms > most):
        return Verdict.HIGH
    if rising:
        return Verdict.WAIT
    if least <= 0.0 and expectation.open is Open.MAYBE:
        return Verdict.CANNOT_TELL
    return Verdict.LOW if not over and ohms < least else Verdict.PASS

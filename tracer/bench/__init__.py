"""The work on one set: job and traced sheets into network, verdicts, proof and next readings."""

__all__: list[str] = []

"""Trace the conductors of a scanned circuit diagram and prove them with an ohmmeter."""

__all__ = ["__version__"]

__version__ = "0.1.0"

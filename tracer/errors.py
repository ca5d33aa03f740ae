"""Every error a user can meet, each with the exit code that the command line ends on.

A message says what happened, to which file or line, and what to do next. The codes are
listed in ``shared/exit_codes.json``, which a test holds against this module.
"""

from __future__ import annotations

__all__ = [
    "BadConfirmation",
    "BadPassword",
    "BadTable",
    "BadValue",
    "BadWiring",
    "Cancelled",
    "DamagedImage",
    "DamagedJob",
    "DemoFailed",
    "EmptyFile",
    "FileMissing",
    "JobTooNew",
    "MeterSilent",
    "NoSuchPage",
    "NotAJob",
    "NotAnImage",
    "SamePoint",
    "TargetUnwritable",
    "TooLarge",
    "TracerError",
    "UnknownPoint",
    "UnknownPosition",
    "WeightsDamaged",
]


class TracerError(Exception):
    """The root of all errors that are the user's to mend; ``exit_code`` is what the process ends on."""

    exit_code: int = 1


class FileMissing(TracerError):
    """The named file does not exist or cannot be read."""

    exit_code = 3


class NotAnImage(TracerError):
    """The file is no image, PDF or TIFF that can be opened."""

    exit_code = 10


class DamagedImage(TracerError):
    """The image or PDF starts well but is cut short or broken inside."""

    exit_code = 11


class EmptyFile(TracerError):
    """The file holds 0 bytes."""

    exit_code = 12


class TooLarge(TracerError):
    """The page has more pixels than the stated limit; nothing was loaded."""

    exit_code = 13


class NoSuchPage(TracerError):
    """The file has no page of that number, or none at all."""

    exit_code = 14


class BadPassword(TracerError):
    """The PDF is encrypted."""

    exit_code = 15


class BadWiring(TracerError):
    """A line of a wiring list cannot be understood; the message carries the line number and its text."""

    exit_code = 20


class BadValue(TracerError):
    """A printed value or a reading cannot be understood; the message says why."""

    exit_code = 21


class UnknownPoint(TracerError):
    """No terminal, node or rail of that name; the message lists near ones."""

    exit_code = 22


class UnknownPosition(TracerError):
    """No such switch bank or position; the message lists those that do exist."""

    exit_code = 23


class SamePoint(TracerError):
    """Both leads were put on the same terminal."""

    exit_code = 24


class BadConfirmation(TracerError):
    """A tag, mark or confirmation does not fit the sheet (outside it, no conductor there, unknown kind)."""

    exit_code = 25


class BadTable(TracerError):
    """A table (CSV) given on the command line cannot be understood; the message carries the line number."""

    exit_code = 26


class NotAJob(TracerError):
    """The file is no job file."""

    exit_code = 30


class DamagedJob(TracerError):
    """The job file is damaged; it was left untouched."""

    exit_code = 31


class JobTooNew(TracerError):
    """The job file was written by a newer version; it was left untouched."""

    exit_code = 32


class TargetUnwritable(TracerError):
    """The place to write to is read-only or missing; nothing was half written."""

    exit_code = 40


class WeightsDamaged(TracerError):
    """The reader's weights are missing or their SHA-256 does not match the card."""

    exit_code = 50


class DemoFailed(TracerError):
    """The demo's confirmations do not fit what was traced on the demo sheet."""

    exit_code = 60


class MeterSilent(TracerError):
    """A bench meter cannot be reached, or sends no reading."""

    exit_code = 70


class Cancelled(TracerError):
    """The user cancelled; nothing was half written."""

    exit_code = 130

"""Finding the files that travel with the program: ``assets/`` and ``shared/``.

In a clone they lie at the root beside the package; in an installed wheel, under ``tracer/_data``.
"""

from __future__ import annotations

from pathlib import Path

from tracer.errors import FileMissing

__all__ = ["asset", "shared"]

_PACKAGE = Path(__file__).resolve().parent


def asset(name: str) -> Path:
    """Give the path of a file or folder under ``assets/``.

    Parameters
    ----------
    name : str
        Path below ``assets``, with forward slashes: ``"reader.onnx"``.

    Raises
    ------
    FileMissing
        When neither the clone nor the wheel has it.
    """
    return _find("assets", name)


def shared(name: str) -> Path:
    """Give the path of a file or folder under ``shared/``.

    Parameters
    ----------
    name : str
        Path below ``shared``, with forward slashes: ``"kinds.json"``.

    Raises
    ------
    FileMissing
        When neither the clone nor the wheel has it.

    Examples
    --------
    >>> shared("exit_codes.json").name
    'exit_codes.json'
    """
    return _find("shared", name)


def _find(folder: str, name: str) -> Path:
    places = (_PACKAGE / "_data" / folder / name, _PACKAGE.parent / folder / name)
    for place in places:
        if place.exists():
            return place
    raise FileMissing(
        f"{folder}/{name} is missing from this installation "
        f"(looked at {places[0]} and {places[1]}). Install the program again."
    )

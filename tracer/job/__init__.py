"""The job file: everything a person has entered about one set, with undo."""

__all__: list[str] = []

"""The command line, one file a command."""

__all__: list[str] = []

"""The window. The only room that imports PyQt6."""

__all__: list[str] = []

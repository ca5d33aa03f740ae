"""Many sheets at once. Not built yet."""

__all__: list[str] = []
